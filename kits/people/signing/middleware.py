"""Around every request: from which address it comes, and whether the session that it belongs to still holds."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Final

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import logout
from django.contrib.auth.models import User
from django.core import signing
from django.http import HttpRequest, HttpResponseBase
from django.utils import timezone
from django.utils.crypto import salted_hmac

from kits.people.models import Person
from kits.people.signing import actions
from kits.people.signing.access import cookie_name
from kits.people.signing.address import client_address
from kits.people.signing.limits import SEEN_EVERY, Stay, span, stay_of
from vehicles.records.access import roles_of

Respond = Callable[[HttpRequest], HttpResponseBase]

BEGAN: Final = "began"  # in the session
SEEN: Final = "kitwright-seen"
POLLS: Final = "Kitwright-Polls"
"""The header of what a page asks by itself, every few seconds: nobody need sit before it."""


class ClientAddressMiddleware:
    """Sets `request.client_address`."""

    def __init__(self, get_response: Respond) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Read it once for all who ask."""
        request.client_address = client_address(  # type: ignore[attr-defined]
            request.META.get("REMOTE_ADDR", ""),
            request.META.get("HTTP_X_FORWARDED_FOR", ""),
            trusts_proxy=settings.TRUST_PROXY,
        )
        return self.get_response(request)


class StayMiddleware:
    """Ends a session that nobody has used for too long, that is too old, or that was signed out everywhere.

    When it was last used stands in a signed cookie, not in the database: else every page would have to write, and
    would wait where somebody else holds the database. An older cookie put in its place only ends it sooner.
    """

    def __init__(self, get_response: Respond) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Sets `request.left_by`: the key of whoever was signed out just now, else None."""
        request.left_by = None  # type: ignore[attr-defined]
        now = timezone.now()
        if request.user.is_authenticated:
            self.look_after(request, now)
        response = self.get_response(request)
        if is_used(request, now):
            see(request, response, now)
        return response

    def look_after(self, request: HttpRequest, now: datetime) -> None:
        """Sign out whose time is over, and say why on the next page."""
        user: User = request.user  # type: ignore[assignment]
        if BEGAN not in request.session:
            request.session[BEGAN] = now.timestamp()
        began = moment(request.session[BEGAN])
        stay = stay_of(roles_of(user))
        event, sentence = why_over(user, began, last_seen(request, began), now, stay)
        if not event:
            return
        actions.note(event, name=user.get_username(), address=request.client_address)  # type: ignore[attr-defined]
        logout(request)
        request.left_by = user.pk  # type: ignore[attr-defined]
        messages.warning(request, sentence)


def why_over(user: User, began: datetime, seen: datetime, now: datetime, stay: Stay) -> tuple[str, str]:
    """What ended the session, as it is recorded and as it is told; two empty texts when it still holds."""
    person = Person.objects.filter(user=user).only("signed_out_at").first()
    if person and person.signed_out_at and began <= person.signed_out_at:
        return (
            "everywhere",
            f"You were signed out everywhere at {timezone.localtime(person.signed_out_at):%H:%M %Z}.",
        )
    if now - seen > stay.idle:
        return "idle", f"You were signed out after {span(stay.idle)} without a request."
    if now - began > stay.whole:
        return "too old", f"You were signed out, as after every {span(stay.whole)}."
    return "", ""


def moment(seconds: float) -> datetime:
    """A moment that was kept as seconds."""
    return datetime.fromtimestamp(seconds, UTC)


def last_seen(request: HttpRequest, began: datetime) -> datetime:
    """When the session was last used; without a cookie of its own: when it began."""
    try:
        key, seconds = signing.loads(request.COOKIES.get(cookie_name(SEEN), ""), salt=SEEN)
    except (signing.BadSignature, ValueError, TypeError):
        return began
    return max(began, moment(seconds)) if key == mark_of(request) else began


def mark_of(request: HttpRequest) -> str:
    """Tells this session from every other without naming its key."""
    return salted_hmac(SEEN, request.session.session_key or "", algorithm="sha256").hexdigest()


def is_used(request: HttpRequest, now: datetime) -> bool:
    """Whether somebody uses the session, and that has not been written down within the last minute."""
    if not request.user.is_authenticated or request.headers.get(POLLS):
        return False
    began = moment(request.session.get(BEGAN, now.timestamp()))
    return now - last_seen(request, began) >= SEEN_EVERY


def see(request: HttpRequest, response: HttpResponseBase, now: datetime) -> None:
    """Write down that the session is used."""
    text = signing.dumps([mark_of(request), now.timestamp()], salt=SEEN)
    response.set_cookie(
        cookie_name(SEEN), text, max_age=cookie_age(stay_of(roles_of(request.user))), httponly=True, samesite="Lax",
        secure=bool(settings.SESSION_COOKIE_SECURE),
    )  # fmt: skip


def cookie_age(stay: Stay) -> int:
    """Seconds that the browser keeps a session: a day longer than it lasts, so that its end can still be told."""
    return int((stay.whole + timedelta(days=1)).total_seconds())
