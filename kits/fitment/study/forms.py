"""What people ask of a fitment, and the note they keep of it."""

import math
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.http import QueryDict

from kits.fitment.forms import LONGEST_NUMBER
from kits.sizing.case.case import Case, Duty
from kits.sizing.study.study import Question, levers_of, refusals, stored_values
from kits.sizing.study.study_words import ASKED
from vehicles.heatload.inputs import AIR_MODES
from vehicles.records.forms import KeyField

LONGEST_NOTE = 4000
NUMBERS = ("outside_c", "humidity_pct", "sun_pct", "road_speed_km_h", "engine_rpm", "compressor_rpm", "blower_pct",
           "fresh_pct", "target_c")  # fmt: skip
FOLLOWS = ("engine_rpm",)
"""Left empty, since it follows from the road speed unless somebody asks for another."""


class StudyForm(forms.Form):
    """A question about one duty point of a fitment; what stands as stored, or is left empty, is no change."""

    def __init__(self, case: Case, duty: Duty, data: QueryDict) -> None:
        self.case, self.duty = case, duty
        self.stored = stored_values(case, duty)
        shown = {name: _typed(value) for name, value in self.stored.items() if name not in FOLLOWS}
        filled = QueryDict(mutable=True)
        for name, value in shown.items():
            filled[name] = value
        for name in data:
            filled.setlist(name, data.getlist(name))
        super().__init__(filled)
        self.fields.update(self._fields_of_case())

    def _fields_of_case(self) -> dict[str, forms.Field]:
        plant, steps = self.case.plant, self.case.plant.blower_steps
        left_out = {"engine_rpm" if plant.compressor.electric else "compressor_rpm"}
        left_out.add("blower_pct" if steps else "blower_step")
        makers = {"blower_step": self._blower_step, "air_mode": self._air_mode, "occupants": self._occupants}
        fields: dict[str, forms.Field] = {
            name: makers[name]() if name in makers else self._number(name)
            for name in ASKED
            if name not in left_out
        }
        for name, field in fields.items():
            described = f"wrong-{name} help-{name}" if field.help_text else f"wrong-{name}"
            field.widget.attrs["aria-describedby"] = described
        fields["levers"] = self._levers()
        return fields

    def _number(self, name: str, kind: type[forms.FloatField] = forms.FloatField) -> forms.Field:
        asked = ASKED[name]
        unit = f" of {asked.unit}" if asked.unit else ""
        sentence = f"{asked.label} must be a number{unit}, such as {asked.example}."
        attrs = {
            "inputmode": "decimal", "autocomplete": "off", "maxlength": LONGEST_NUMBER,
            "placeholder": _typed(self.stored[name]),
        }  # fmt: skip
        help_text = "Empty: as it follows from the duty point." if name in FOLLOWS else ""
        return kind(
            label=asked.label, required=False, widget=forms.TextInput(attrs=attrs), help_text=help_text,
            error_messages={"invalid": sentence},
        )  # fmt: skip

    def _occupants(self) -> forms.Field:
        field = self._number("occupants", forms.IntegerField)  # type: ignore[arg-type]
        field.error_messages["invalid"] = "The number of people must be a whole number, such as 2."
        return field

    def _blower_step(self) -> forms.Field:
        share = self.stored["blower_pct"]
        own = f"as the duty point has it: {_typed(share)} % of the voltage"
        steps = [
            (f"{n}", f"step {n}: {_typed(100 * share)} % of the voltage")
            for n, share in self.case.plant.blower_steps
        ]
        return forms.TypedChoiceField(
            label=ASKED["blower_step"].label, choices=[("", own), *steps], coerce=int, empty_value=None, required=False,
            error_messages={"invalid_choice": "This blower has no such step."},
        )  # fmt: skip

    def _air_mode(self) -> forms.Field:
        return forms.ChoiceField(
            label=ASKED["air_mode"].label, choices=[(mode, mode) for mode in AIR_MODES], required=False,
            error_messages={"invalid_choice": "Choose one of the air modes in the list."},
        )  # fmt: skip

    def _levers(self) -> forms.Field:
        return forms.MultipleChoiceField(
            label="Changes to car or kit", required=False, widget=forms.CheckboxSelectMultiple,
            choices=[(lever.code, lever.name) for lever in levers_of(self.case)],
            error_messages={"invalid_choice": "“%(value)s” is no change for this fitment."},
        )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        """What can be typed but makes no sense for this fitment is refused beside its field."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        for name, sentence in refusals(self.case, self.question()).items():
            self.add_error(name if name in self.fields else None, sentence)
        return cleaned

    def question(self) -> Question:
        """What is asked: only what differs from the duty point."""
        asked = {name: self._difference(name) for name in ASKED}
        return Question(self.duty.code, levers=tuple(self.cleaned_data.get("levers", ())), **asked)

    def _difference(self, name: str) -> Any:
        value, own = self.cleaned_data.get(name), self.stored[name]
        if value in (None, ""):
            return None
        if name in FOLLOWS:
            return value
        # 100 times a share is seldom the number that was typed to the last digit
        is_near = isinstance(own, float) and math.isclose(value, own, rel_tol=1e-9)
        return None if is_near or value == own else value

    def units(self) -> list[tuple[Any, str]]:
        """Each field but the levers, with its unit."""
        return [(self[name], ASKED[name].unit) for name in self.fields if name in ASKED]


def _typed(value: Any) -> str:
    return value if isinstance(value, str) else "" if value is None else f"{value:.10g}"


def query_of(question: Question) -> str:
    """The question as the end of an address; what stands as stored is left out."""
    asked = {name: _typed(getattr(question, name)) for name in ASKED if getattr(question, name) is not None}
    return urlencode({"duty": question.duty, **asked, "levers": list(question.levers)}, doseq=True)


class NoteForm(forms.Form):
    """What somebody wants to remember of a fitment."""

    text = forms.CharField(
        label="Note", max_length=LONGEST_NOTE, widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Notes are only added, never changed.",
        error_messages={
            "required": "Write in a few words what is to be remembered.",
            "max_length": f"A note has at most {LONGEST_NOTE:,} characters; this one has %(show_value)d.",
        },
    )  # fmt: skip
    idempotency_key = KeyField(required=False)
