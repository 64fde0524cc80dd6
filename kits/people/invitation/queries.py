"""The link to choose a password: what stands in it, and whose it is."""

from datetime import datetime

from django.conf import settings
from django.urls import reverse
from django.utils.crypto import constant_time_compare, salted_hmac

from kits.people.models import Person
from kits.people.queries import link_ends_at
from vehicles.records.asked import LONGEST_DIGITS, whole_number

SALT = "kits.people.invitation"


def token_of(person: Person) -> str:
    """What stands in the link that is open: the account's number and a signature over the state of its password.

    Nothing of it is stored. It is another one once a password was chosen, and with the next link. Signing in with the
    old password does not end it: else whoever knows that password could keep its owner from choosing another.
    """
    user, made_at = person.user, person.link_made_at
    state = f"{user.pk}|{user.password}|{made_at.isoformat() if made_at else ''}"
    return f"{user.pk}-{salted_hmac(SALT, state, algorithm='sha256').hexdigest()}"


def link_of(person: Person, now: datetime) -> str:
    """The whole address of the link that is open; empty when there is none."""
    ends_at = link_ends_at(person)
    if ends_at is None or ends_at <= now or not person.user.is_active:
        return ""
    return f"{settings.BASE_URL}{reverse('invitation', args=[token_of(person)])}"


def invited(token: str, now: datetime, *, lock: bool = False) -> Person | None:
    """Whose link it is; None for one that was used, has ended, or never was, all the same."""
    number = whole_number(token.partition("-")[0], 1, 10**LONGEST_DIGITS - 1)
    if number is None:
        return None
    rows = Person.objects.select_related("user")
    if lock:
        rows = rows.select_for_update(of=("self",))
    person = rows.filter(user=number, user__is_active=True, left_on__isnull=True).first()
    ends_at = link_ends_at(person) if person else None
    if person is None or ends_at is None or ends_at <= now:
        return None
    return person if constant_time_compare(token, token_of(person)) else None
