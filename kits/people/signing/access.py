"""Whence somebody tries to sign in, and what stands in his session between the password and the code."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final
from uuid import uuid4

from django.conf import settings
from django.contrib.auth import get_user_model
from django.contrib.auth.models import User
from django.core import signing
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.crypto import constant_time_compare, salted_hmac

from kits.people.signing.address import network_of
from kits.people.signing.limits import BROWSER_KNOWN, CODE_WITHIN, TYPED_KEPT
from kits.people.signing.models import BROWSER_PLACE

BROWSER: Final = "kitwright-browser"
NAMES_OF_A_BROWSER: Final = 20
PENDING: Final = "second step"
LONGEST_NAME: Final = 150


def cookie_name(name: str) -> str:
    """What a cookie of ours is called: over https with the prefix by which only this very host may set it."""
    return f"__Host-{name}" if settings.SESSION_COOKIE_SECURE else name


def key_of(name: str) -> str:
    """One spelling of a name for counting: capitals and spaces around it make no other.

    What forms of the same letters there are is settled by the form's field already. Two accounts that differ in
    capitals only would share their count; a wrong spelling of a name never gets more tries than the right one.
    """
    return name.strip().casefold()[:LONGEST_NAME]


@dataclass(frozen=True)
class Whence:
    """From where a name is tried: its address, and what is counted: a browser known for that name, or the address."""

    address: str
    place: str
    is_known: bool


def whence(request: HttpRequest, name: str) -> Whence:
    """From where this request tries the name.

    A browser in which this very name has signed in is counted by itself: so nobody else, not even from the same
    address, can keep a person out of the browser he works with. It says nothing about a name to anybody else.
    """
    address: str = request.client_address  # type: ignore[attr-defined]
    found = _browser(request.COOKIES)
    if _mark(name) in found["names"]:
        return Whence(address, f"{BROWSER_PLACE}{found['id']}", True)
    return Whence(address, network_of(address), False)


def remember_browser(request: HttpRequest, response: HttpResponse, name: str) -> None:
    """Let this browser be known for the name from now on."""
    found = _browser(request.COOKIES)
    names = [_mark(name), *(known for known in found["names"] if known != _mark(name))]
    text = signing.dumps({"id": found["id"], "names": names[:NAMES_OF_A_BROWSER]}, salt=BROWSER)
    response.set_cookie(
        cookie_name(BROWSER),
        text,
        max_age=int(BROWSER_KNOWN.total_seconds()),
        secure=bool(settings.SESSION_COOKIE_SECURE),
        httponly=True,
        samesite="Lax",
    )


def _mark(name: str) -> str:
    """Stands for the name in the cookie, where others who use the browser could read it."""
    return salted_hmac(BROWSER, key_of(name), algorithm="sha256").hexdigest()[:32]


def _browser(cookies: Mapping[str, str]) -> dict[str, Any]:
    """What the browser's cookie says, or a new browser that is known for nobody."""
    try:
        found: dict[str, Any] = signing.loads(
            cookies.get(cookie_name(BROWSER), ""), salt=BROWSER, max_age=BROWSER_KNOWN
        )
    except signing.BadSignature:
        return {"id": uuid4().hex, "names": []}
    return found


@dataclass(frozen=True)
class Pending:
    """Somebody whose password was right and whose code is waited for: he is not signed in."""

    user: User
    to: str
    kept: str


def await_code(request: HttpRequest, user: User, to: str, kept: str) -> None:
    """Wait for the code of the person, in a session with a new key."""
    request.session.cycle_key()
    request.session.set_expiry(int(TYPED_KEPT.total_seconds()))  # as long as what it carries along
    request.session[PENDING] = {
        "user": user.pk,
        "hash": user.get_session_auth_hash(),  # a password that is changed meanwhile ends it
        "at": timezone.now().timestamp(),
        "to": to,
        "kept": kept,
    }


def pending(request: HttpRequest) -> Pending | None:
    """Whose code is waited for; None when nobody's is, or the password was given too long ago."""
    held = request.session.get(PENDING)
    if not held or timezone.now().timestamp() - held["at"] > CODE_WITHIN.total_seconds():
        return None
    user = get_user_model().objects.filter(pk=held["user"], is_active=True).first()
    if user is None or not constant_time_compare(held["hash"], user.get_session_auth_hash()):
        return None
    return Pending(user, held["to"], held["kept"])
