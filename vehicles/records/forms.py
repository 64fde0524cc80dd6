"""What forms share: the key by which a form that is sent twice counts once."""

from typing import Any
from uuid import uuid4

from django import forms

from vehicles.records.asked import LOST_STATE, is_key


def fresh_key() -> str:
    """A key for a form that is shown: a new one each time, so that a form that was corrected is another one."""
    return uuid4().hex


class KeyField(forms.CharField):
    """The hidden key; one that can't be ours is told as a lost state, since nobody typed it."""

    widget = forms.HiddenInput

    def __init__(self, **options: Any) -> None:
        super().__init__(label="The form", **options)

    def clean(self, value: Any) -> str:
        """The key. Raises ValidationError."""
        if is_key(f"{value}") or not (value or self.required):
            return f"{value or ''}"
        raise forms.ValidationError(LOST_STATE)


def with_fresh_key(form: Any) -> Any:
    """The form as it comes back with an error: what was typed is kept, the key is a new one."""
    if form.is_bound:
        form.data = form.data.copy()
        form.data[form.add_prefix("idempotency_key")] = fresh_key()
    return form
