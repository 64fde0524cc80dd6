"""Write that a survey is finished."""

from kits.editing.actions import Written, edit_rows
from kits.editing.changes import RowEdit
from kits.exchange.values import fold
from vehicles.records.access import Actor


def finish_survey(*, actor: Actor, line: str, variant: str, reason: str) -> Written:
    """Take the mark “to be surveyed” off a car. Raises PermissionDenied, Stale.

    The mark enters into no sizing, so answers stay as fresh as they were.
    """
    edit = RowEdit(
        "change", "Variants", (fold(variant),), {"to_be_surveyed": False}, {"to_be_surveyed": True}
    )
    return edit_rows(actor=actor, line=line, edits=[edit], reason=reason, fitments=(), kind="finish_survey")
