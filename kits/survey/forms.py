"""The form that takes many values of one section with one origin for all of them."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from datetime import date
from typing import Any, Final

from django import forms

from kits.editing.cells import read
from kits.editing.forms import ask_beside
from kits.exchange.columns import ONE_EACH, Sheet
from kits.exchange.rules import Rule
from kits.exchange.unusual import Question
from kits.exchange.values import CellProblem, Row
from kits.fitment.forms import cars_field, day_that_has_been
from kits.survey.entry import ORIGIN, Entered, Place, entered, fields_of
from kits.survey.sections import Section
from vehicles.physics.origin import Kind

KINDS: Final = ("measured", "weighed", "data sheet", "calculated", "estimate")


def _text(label: str, most: int, help_text: str, *, required: bool = False, **attrs: str) -> forms.CharField:
    widget = forms.TextInput(attrs={"autocomplete": "off", **attrs})
    return forms.CharField(
        label=label, max_length=most, help_text=help_text, required=required, widget=widget
    )


class EntryForm(forms.Form):
    """One input a place and value, kept as the text it was typed as; what is empty is left alone."""

    origin_kind = forms.ChoiceField(
        label="Origin", choices=[(kind, kind) for kind in KINDS],
        error_messages={"invalid_choice": "Choose one of the origins in the list."},
    )  # fmt: skip
    origin_instrument = _text(
        "Instrument", 80, "One for all, such as: tape, class II. A measured value needs one."
    )
    origin_uncertainty = _text("Uncertainty", 40, "With its unit, such as ±2 mm.")
    origin_on = forms.DateField(
        label="Date", help_text="When it was measured, such as 2026-05-01.",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"), input_formats=["%Y-%m-%d"],
        error_messages={
            "required": "Say when it was measured.", "invalid": "Write the date as 2026-05-01.",
        },
    )  # fmt: skip
    origin_by = _text("Person", 80, "Who measured.", required=True)
    origin_source = _text("Source", 200, "Which car, drawing or document.", required=True)
    cars_count = cars_field()
    reason = _text("Reason", 200, "It stands in the history.")

    def __init__(
        self, section: Section, sheet: Sheet, places: Sequence[Place], rules: Sequence[Rule], today: date,
        data: Any = None, *, seen: Mapping[str, Any] | None = None, initial: Mapping[str, Any] | None = None,
    ) -> None:  # fmt: skip
        super().__init__(data, initial=dict(initial or {}))
        self.section, self.sheet, self.places, self.rules = section, sheet, places, rules
        self.today, self.seen = today, seen or {}
        self.found = Entered()
        if section.slug != "routes":
            del self.fields["cars_count"]
        for place in places:
            for name in fields_of(section, place):
                label = f"{self._words(name)}, {place.label}"
                attrs = {"inputmode": "decimal", "autocomplete": "off", "aria-label": label}
                self.fields[place.name(name)] = forms.CharField(
                    label=label, required=False, widget=forms.TextInput(attrs=attrs)
                )

    @property
    def common(self) -> list[Any]:
        """The fields that hold for all values."""
        return [self[name] for name in (*ORIGIN, "cars_count", "reason") if name in self.fields]

    @property
    def rows(self) -> Iterator[tuple[Place, list[tuple[str, str, Any]]]]:
        """Each place with its inputs: column, its words, and the bound field."""
        for place in self.places:
            names = fields_of(self.section, place)
            yield place, [(name, self._words(name), self[place.name(name)]) for name in names]

    def ask(self, questions: Iterable[Question], meant: Collection[str]) -> None:
        """Put what is not usual beside its input; a question's row says which edit it is of."""
        places = self.found.places
        asked = [(places[(question.row or 1) - 1].name(question.field), question) for question in questions]
        ask_beside(self, asked, meant)

    def _words(self, name: str) -> str:
        head = self.sheet.by_field[name].head.partition(" [")[0]
        return head[:1].upper() + head[1:]

    def clean_origin_on(self) -> date:
        """A day that has been."""
        return day_that_has_been(self.cleaned_data["origin_on"], self.today)

    def clean(self) -> dict[str, Any]:
        """Read the inputs of all places; each that can't be taken says so beside itself."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        kind = cleaned.get("origin_kind")
        if kind in (Kind.MEASURED, Kind.WEIGHED) and not cleaned.get("origin_instrument"):
            self.add_error("origin_instrument", f"Say with what it was {kind}.")
        common: Row = {}
        for name in (*ORIGIN, "cars_count"):
            if name in self.fields and name in cleaned:
                common[name] = cleaned[name]
        for name in ("origin_instrument", "origin_uncertainty", "origin_by", "origin_source"):
            self._read_text(name, common)
        typed = {name: str(self.data.get(name, "")) for name in self.fields}
        self.found = entered(
            section=self.section,
            sheet=self.sheet,
            places=self.places,
            typed=typed,
            common=common,
            seen=self.seen,
            rules=self.rules,
        )
        for name, sentence in self.found.wrong.items():
            self.add_error(name, sentence)
        if not self.found.edits and not self.found.wrong:
            self.add_error(None, "No value was typed: fill at least one of the inputs below.")
        return cleaned

    def _read_text(self, name: str, common: Row) -> None:
        """A text as the workbook would take it: no signs that can't be seen."""
        try:
            common[name] = read(self.sheet.by_field[name], f"{common.get(name, '')}", {}, ONE_EACH)
        except CellProblem as problem:
            if name not in self.errors:
                self.add_error(name, f"{problem}")
