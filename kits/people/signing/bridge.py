"""A form that was sent by somebody who was no longer signed in, carried over his sign-in as a signed text."""

from dataclasses import dataclass
from typing import Any, Final
from urllib.parse import urlsplit

from django.core import signing
from django.http import HttpRequest

from kits.people.signing.limits import TYPED_KEPT
from vehicles.records.asked import own_address, typed_form

SALT: Final = "kept form"
KEPT: Final = "kept form"  # in the session
MOST_SIGNS: Final = 48_000
"""Whoever has not signed in may send 64 kB; packed, the largest of our forms has far less."""


@dataclass(frozen=True)
class Kept:
    """What was typed. to: where it was sent; back: the page it was typed on.

    by: the key of the account whose session ended just then; None: nobody knows who typed it.
    """

    to: str
    back: str
    fields: tuple[tuple[str, str], ...]
    can_send: bool
    by: int | None


def keep(request: HttpRequest) -> str:
    """The form that a request carries, as a signed text; "" when it holds nothing or too much.

    Its token has been checked by then, so that it was sent by a page of ours. Files and secrets are left out.
    """
    to, found = own_address(request.get_full_path()), typed_form(request.POST, request.FILES)
    if not to or found.is_empty:
        return ""
    held = {
        "to": to,
        "back": page_before(request),
        "fields": found.fields,
        "can_send": found.can_send,
        "by": getattr(request, "left_by", None),
    }
    text = signing.dumps(held, salt=SALT, compress=True)
    return text if len(text) <= MOST_SIGNS else ""


def kept(text: str) -> Kept | None:
    """What a text carries; None when it is none of ours or older than two hours."""
    try:
        held: dict[str, Any] = signing.loads(text, salt=SALT, max_age=TYPED_KEPT)
    except signing.BadSignature:
        return None
    fields = tuple((name, value) for name, value in held.pop("fields"))
    return Kept(fields=fields, **held)


def page_before(request: HttpRequest) -> str:
    """The page of ours that a form was sent from, as its header says; "" without."""
    try:
        told = urlsplit(request.headers.get("Referer", ""))
    except ValueError:
        return ""
    if told.netloc != request.get_host():
        return ""
    return own_address(told.path + (f"?{told.query}" if told.query else ""))
