"""What every action shares: the version check and the answer to a repeated POST."""

from collections.abc import Callable
from typing import TypeVar

from django.db import IntegrityError, transaction

from vehicles.records.access import Actor, user_of
from vehicles.records.asked import Sent
from vehicles.records.models import IdempotencyKey, Versioned

Row = TypeVar("Row", bound=Versioned)


REUSED = (
    "This form was sent before with other content, and that was written. Nothing was written this time; look at the "
    "state of now."
)


class Stale(Exception):
    """Somebody changed the thing since it was read; nothing was written."""


class Reused(Stale):
    """The form's key has been used for other content; nothing was written."""

    def __init__(self) -> None:
        super().__init__(REUSED)


def take_version(row: Row, expected_version: int) -> Row:
    """Refuse unless the row still has the version the person saw; then count it up (not saved yet)."""
    if row.version != expected_version:
        raise Stale(
            f"“{row}” was changed in the meantime (version {row.version}, you saw {expected_version}). "
            "Nothing was written; look at the new state and enter your change again."
        )
    row.version += 1
    return row


def once(actor: Actor, action: str, sent: Sent, make: Callable[[], str]) -> str:
    """Run ``make`` unless this person already sent this form; returns where the (first) result is.

    sent: the form's key and the digest of its content. Raises Reused when the key was used for other content.
    """
    user = user_of(actor)
    if user is None or not sent.key:
        return make()
    try:
        with transaction.atomic():
            held = IdempotencyKey(user=user, action=action, key=sent.key, digest=sent.digest, location="")  # type: ignore[misc]
            held.save()
            held.location = make()
            held.save()
            return held.location
    except IntegrityError:
        found = IdempotencyKey.objects.filter(user=user, action=action, key=sent.key).first()  # type: ignore[misc]
        if found is None:
            raise
        # of forms sent before digests were kept nothing is known
        if found.digest and found.digest != sent.digest:
            raise Reused from None
        return found.location
