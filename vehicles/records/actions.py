"""What every action shares: the version check, and the act that it is, answered once however often it is sent."""

from collections.abc import Callable
from typing import TypeVar
from uuid import UUID, uuid4

from django.db import transaction

from vehicles.records.access import Actor, user_of
from vehicles.records.asked import Sent
from vehicles.records.models import Act, Versioned

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


def new_act(actor: Actor, kind: str, reason: str = "") -> Act:
    """An act without a key, for what nobody can send twice; call inside its transaction."""
    user = user_of(actor)
    return Act.objects.create(person_id=user.pk if user else None, kind=kind, reason=reason)


def once(actor: Actor, kind: str, sent: Sent, make: Callable[[Act], object], *, reason: str = "") -> str:
    """Open an act and run ``make`` within it, or answer what the act of this key answered before.

    sent: the key of what was sent and the digest of its content; without a key it is an act of its own. What ``make``
    raises takes the act back, so that its key is free again. Raises Reused when the key was used for something else.
    """
    user, key = user_of(actor), UUID(sent.key) if sent.key else uuid4()
    person_id = user.pk if user else None
    with transaction.atomic():
        act, is_new = Act.objects.get_or_create(
            key=key, defaults={"person_id": person_id, "kind": kind, "reason": reason, "asked": sent.digest}
        )
        if is_new:
            act.answer = f"{make(act)}"
            act.save(update_fields=["answer"])
        # of forms sent before digests were kept nothing is known
        elif (act.person_id, act.kind) != (person_id, kind) or act.asked not in ("", sent.digest):
            raise Reused
    return act.answer
