"""What every action shares: the version check and the answer to a repeated POST."""

from collections.abc import Callable
from typing import TypeVar

from django.db import IntegrityError, transaction

from vehicles.records.access import Actor, user_of
from vehicles.records.models import IdempotencyKey, Versioned

Row = TypeVar("Row", bound=Versioned)


class Stale(Exception):
    """Somebody changed the thing since it was read; nothing was written."""


def take_version(row: Row, expected_version: int) -> Row:
    """Refuse unless the row still has the version the person saw; then count it up (not saved yet)."""
    if row.version != expected_version:
        raise Stale(
            f"“{row}” was changed in the meantime (version {row.version}, you saw {expected_version}). "
            "Nothing was written; look at the new state and enter your change again."
        )
    row.version += 1
    return row


def once(actor: Actor, action: str, key: str, make: Callable[[], str]) -> str:
    """Run ``make`` unless this person already sent this key; returns where the (first) result is."""
    user = user_of(actor)
    if user is None or not key:
        return make()
    try:
        with transaction.atomic():
            held = IdempotencyKey(user=user, action=action, key=key, location="")  # type: ignore[misc]
            held.save()
            held.location = make()
            held.save()
            return held.location
    except IntegrityError:
        found = IdempotencyKey.objects.filter(user=user, action=action, key=key).first()  # type: ignore[misc]
        if found is None:
            raise
        return found.location
