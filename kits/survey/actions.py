"""Write what a survey found, and that it is finished."""

from collections.abc import Sequence
from datetime import date, datetime

from django.db import transaction

from kits.editing.actions import Written, edit_rows
from kits.editing.changes import RowEdit
from kits.exchange.values import fold
from kits.fitment.actions import keep_fresh, lock_catalogue, size_these
from kits.fitment.bridge import Key
from kits.fitment.models import Fitment
from vehicles.records.access import Actor


def record_lengths(
    *, actor: Actor, key: Key, edits: Sequence[RowEdit], reason: str, on: date, now: datetime
) -> Written:
    """Add lengths of one fitment's routes, all or nothing, and size that fitment.

    key: codes of kit, line and variant; the answers of other fitments stay as fresh as they were.
    Raises PermissionDenied.
    """
    kit, line, variant = key
    with transaction.atomic():
        before = lock_catalogue().value
        written = edit_rows(actor=actor, line=line, edits=edits, reason=reason)
        if written.count:
            fitment = Fitment.objects.get(kit__code=kit, variant__line__code=line, variant__code=variant)
            keep_fresh(before, [fitment.pk])
    if written.count:
        size_these(actor=actor, keys=[key], on=on, now=now)
    return written


def finish_survey(*, actor: Actor, line: str, variant: str, reason: str) -> Written:
    """Take the mark “to be surveyed” off a car. Raises PermissionDenied, Stale.

    The mark enters into no sizing, so answers stay as fresh as they were.
    """
    edit = RowEdit(
        "change", "Variants", (fold(variant),), {"to_be_surveyed": False}, {"to_be_surveyed": True}
    )
    with transaction.atomic():
        before = lock_catalogue().value
        written = edit_rows(actor=actor, line=line, edits=[edit], reason=reason)
        if written.count:
            keep_fresh(before, [])
    return written
