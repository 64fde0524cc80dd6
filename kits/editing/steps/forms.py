"""The list of steps to put in order: the place beside each step, as a browser sends it."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.http import QueryDict

from kits.bom.step_patterns import patterns
from kits.editing.seen import packed, unpacked_numbers
from kits.editing.steps.asked import Lacking
from kits.editing.steps.sequence import arranged
from vehicles.records.asked import whole_number
from vehicles.records.forms import KeyField

PLACE = "place:"
UP, DOWN = "up", "down"
LOST_STATE = "The list had lost its state; look at the order and save it again."


class _StillKnown(forms.MultipleChoiceField):
    """What was offered when the form was shown may be there by now: it is taken, and adds nothing."""

    def valid_value(self, value: Any) -> bool:
        return f"{value}" in patterns() or "/" in f"{value}"


class AskedForm(forms.Form):
    """Which of the steps and blanks that are asked for are to be added.

    At first all are ticked but the steps that only some cars lack.
    """

    idempotency_key = KeyField()

    def __init__(self, lacking: Lacking, data: QueryDict | None = None, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        for name, label, things in (
            ("steps", "Steps", lacking.steps),
            ("blanks", "Blanks of steps that are there", lacking.blanks),
        ):
            if things or name in self.data:
                self.fields[name] = _StillKnown(
                    label=label,
                    required=False,
                    choices=[(thing.token, thing.label) for thing in things],
                    initial=[thing.token for thing in things if getattr(thing, "is_everywhere", True)],
                    widget=forms.CheckboxSelectMultiple,
                )

    def chosen(self) -> frozenset[str]:
        """The tokens of what is ticked."""
        return frozenset([*self.cleaned_data.get("steps", ()), *self.cleaned_data.get("blanks", ())])

    def clean(self) -> dict[str, Any]:
        """Something must be ticked. Raises ValidationError."""
        cleaned: dict[str, Any] = super().clean() or {}
        if not self.errors and not cleaned.get("steps") and not cleaned.get("blanks"):
            raise forms.ValidationError("Tick at least one thing that is to be added.")
        return cleaned


class OrderForm:
    """What was sent: the steps as they were shown, the place typed beside each, and the numbers the person saw.

    A field a step, "place:KEY", in the order shown; a script moves the fields and counts the places anew.
    """

    def __init__(self, held: Mapping[str, int], data: QueryDict | None = None) -> None:
        self.problems: list[str] = []
        self.wrong: dict[str, str] = {}
        self.seen: dict[str, Any] = dict(held)
        self.keys = list(held)
        self.typed = {key: f"{i}" for i, key in enumerate(self.keys, 1)}
        if data is not None:
            self._read(data)

    def _read(self, data: QueryDict) -> None:
        seen = unpacked_numbers(data.get("seen", ""))
        keys = [name.removeprefix(PLACE) for name in data if name.startswith(PLACE)]
        if seen is None or set(seen) != set(keys):
            self.problems.append(LOST_STATE)
            return
        self.seen, self.keys = seen, keys
        self.typed = {key: f"{data.get(PLACE + key, '')}".strip() for key in keys}
        for key, text in self.typed.items():
            if whole_number(text, 1, len(keys)) is None:
                said = f"“{text[:40]}”" if text else "nothing"
                self.wrong[key] = (
                    f"The place of step {key} must be a number from 1 to {len(keys)}, not {said}."
                )
        if not self.wrong:
            self._settle(arranged(keys, [int(self.typed[key]) for key in keys]))
            self._nudge(f"{data.get(UP, '')}", -1)
            self._nudge(f"{data.get(DOWN, '')}", 1)

    def _settle(self, keys: list[str]) -> None:
        self.keys = keys
        self.typed = {key: f"{i}" for i, key in enumerate(keys, 1)}

    def _nudge(self, key: str, by: int) -> None:
        """Change places with the neighbour; at the end of the list nothing happens."""
        if key not in self.keys:
            return
        i = self.keys.index(key)
        if 0 <= i + by < len(self.keys):
            keys = list(self.keys)
            keys[i], keys[i + by] = keys[i + by], keys[i]
            self._settle(keys)

    @property
    def has_errors(self) -> bool:
        """Whether anything must be mended first."""
        return bool(self.problems or self.wrong)

    @property
    def seen_text(self) -> str:
        """The numbers the person saw, for a hidden field."""
        return packed(self.seen)

    def was_changed_by_others(self, held: Mapping[str, int]) -> bool:
        """Whether a step was added, removed or moved since."""
        return dict(held) != self.seen

    def lay_over(self, held: Mapping[str, int]) -> None:
        """Keep the order that was made, over the steps of now: those gone fall out, new ones stand at the end."""
        self._settle([k for k in self.keys if k in held] + [k for k in held if k not in self.seen])
        self.seen = dict(held)
