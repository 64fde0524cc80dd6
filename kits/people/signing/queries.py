"""What the pages about signing in show."""

from datetime import datetime

from django.contrib.auth.models import User
from django.db.models import Exists, OuterRef, QuerySet
from django_otp.plugins.otp_static.models import StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice

from kits.people.signing.models import SignInRecord, SignInTry

OWN_SHOWN = 20


def locks(now: datetime) -> QuerySet[SignInTry]:
    """Those that hold now."""
    return SignInTry.objects.filter(locked_until__gt=now)


def records() -> QuerySet[SignInRecord]:
    """All that happened, the newest first."""
    return SignInRecord.objects.select_related("user", "by")


def own_records(user: User) -> QuerySet[SignInRecord]:
    """The newest of one person."""
    return SignInRecord.objects.filter(user=user).select_related("by")[:OWN_SHOWN]


def has_second_step(user: User) -> bool:
    """Whether a code is asked for after the password."""
    return bool(TOTPDevice.objects.filter(user=user, confirmed=True).exists())


def unconfirmed(user: User) -> TOTPDevice | None:
    """The device that is being set up."""
    return TOTPDevice.objects.filter(user=user, confirmed=False).first()


def codes_left(user: User) -> int:
    """How many recovery codes have not been used."""
    return int(StaticToken.objects.filter(device__user=user).count())


def people_with_second_step() -> QuerySet[User]:
    """Who is asked for a code."""
    device = TOTPDevice.objects.filter(user=OuterRef("pk"), confirmed=True)
    return User.objects.filter(Exists(device)).select_related("person").order_by("username")
