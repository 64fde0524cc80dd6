"""Write what a survey found, and that it is finished."""

from collections.abc import Callable, Sequence
from datetime import date

from kits.editing.actions import Written, edit_rows
from kits.editing.changes import RowEdit
from kits.exchange.models import UnusualValue
from kits.exchange.unusual import Question
from kits.exchange.values import fold
from kits.fitment.actions import ask_to_size
from kits.fitment.bridge import Key
from kits.fitment.models import Fitment
from vehicles.records.access import Actor, require
from vehicles.records.actions import once
from vehicles.records.asked import UNSENT, Sent
from vehicles.records.models import Act


def record_values(
    *,
    actor: Actor,
    line: str,
    edits: Sequence[RowEdit],
    reason: str,
    sent: Sent,
    on: date,
    fitment: Key | None = None,
) -> Written:
    """Write values of a car, all or nothing, once however often the form was sent.

    sent: the form's key and digest, and what was ticked of values that are not usual; fitment: codes of kit, line and
    variant when the values are of one fitment alone, which is then sized, while answers of others stay as fresh as
    they were.
    Raises PermissionDenied, Stale.
    """
    fitments = None
    if fitment:
        kit, line_code, variant = fitment
        found = Fitment.objects.get(kit__code=kit, variant__line__code=line_code, variant__code=variant)
        fitments = [found.pk]
    written = edit_rows(
        actor=actor, line=line, edits=edits, reason=reason, sent=sent, meant=sent.meant, fitments=fitments,
        kind="record_values",
    )  # fmt: skip
    if written.count and fitment:
        ask_to_size(actor=actor, on=on, fitment=fitment)
    return written


def finish_survey(*, actor: Actor, line: str, variant: str, reason: str) -> Written:
    """Take the mark “to be surveyed” off a car. Raises PermissionDenied, Stale.

    The mark enters into no sizing, so answers stay as fresh as they were.
    """
    edit = RowEdit(
        "change", "Variants", (fold(variant),), {"to_be_surveyed": False}, {"to_be_surveyed": True}
    )
    return edit_rows(actor=actor, line=line, edits=[edit], reason=reason, fitments=(), kind="finish_survey")


def record_as_meant(*, actor: Actor, questions: Sequence[Question], record: Callable[[], object]) -> None:
    """Record a value of a fitment, and with it who said of what is not usual that it is as meant.

    record: the act that writes it, which asks for its own right and raises what it raises. Raises PermissionDenied.
    """
    require(actor, "edit_rows")

    def make(act: Act) -> str:
        record()
        UnusualValue.objects.bulk_create(
            UnusualValue(
                act=act,
                line=asked.line,
                sheet=asked.sheet,
                key=asked.key,
                field=asked.field,
                value=asked.value,
            )
            for asked in questions
        )
        return ""

    once(actor, "record_as_meant", UNSENT, make)
