"""Keep a note of a fitment, with the study it rests on or without one; notes are only added."""

from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError

from kits.fitment.models import FitmentNote
from vehicles.records.access import Actor, require
from vehicles.records.actions import once
from vehicles.records.asked import Sent
from vehicles.records.models import Act


def keep_note(
    *, actor: Actor, fitment_id: int, text: str, study: dict[str, Any] | None, sent: Sent, now: datetime
) -> str:
    """Add a note; what is sent twice with one key is kept once. Returns the note's id as text.

    Parameters: study (question and answer as JSON values, or None for a plain note), sent (the form's key
    and digest). Raises PermissionDenied, Reused, and ValidationError for a text that is empty or too long.
    """
    require(actor, "keep_note")

    def make(_act: Act) -> int:
        note = FitmentNote(
            fitment_id=fitment_id, text=text, study=study, written_by=str(actor), written_at=now
        )
        _check(note)
        note.save()
        return note.pk

    return once(actor, "keep_note", sent, make)


def _check(note: FitmentNote) -> None:
    note.full_clean(exclude=("fitment",))
    # a text field's own limit is asked of forms only
    longest = FitmentNote._meta.get_field("text").max_length or 0
    if len(note.text) > longest:
        raise ValidationError({"text": f"A note has at most {longest:,} characters."})
