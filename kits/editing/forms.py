"""The form of one row of any sheet, drawn from the sheet's columns."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from django import forms

from kits.bom.step_text import PLACEHOLDERS_TOLD
from kits.exchange.columns import (
    CHOICE,
    DATE,
    LIST,
    NUMERIC,
    ONE_EACH,
    OPTIONS,
    TERMS,
    YES_NO,
    Column,
    FeatureOptions,
    Sheet,
)
from kits.exchange.layout import STEPS
from kits.exchange.unusual import Question
from kits.exchange.values import NOT, terms_of
from vehicles.records.forms import KeyField

MOST_IN_A_SELECT: Final = 60
MOST_SUGGESTED: Final = 600
LONG_TEXTS: Final = frozenset({"text", "note"})


class OptionsWidget(forms.Widget):
    """The options of one feature as boxes to tick, with "only" or "not"; its value is the workbook's text."""

    template_name = "editing/_options.html"
    use_fieldset = True

    def __init__(self, options: Sequence[str], *, with_not: bool) -> None:
        super().__init__()
        self.options, self.with_not = options, with_not

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        """What the template draws."""
        context = super().get_context(name, value, attrs)
        excluded, held = terms_of(value)
        folded = {option.casefold() for option in held}
        context["widget"] |= {
            "options": [(option, option.casefold() in folded) for option in self.options],
            "excluded": excluded,
            "with_not": self.with_not,
        }
        return context

    def value_from_datadict(self, data: Any, files: Any, name: str) -> str:
        """The ticked options as a cell holds them."""
        ticked = [text for text in data.getlist(name) if text] if hasattr(data, "getlist") else []
        text = ", ".join(ticked)
        return (NOT if text and data.get(f"{name}-not") == "not" else "") + text

    def id_for_label(self, id_: str) -> str:
        """A group has no control of its own."""
        return ""


@dataclass(frozen=True)
class Tick:
    """The box beside a field by which somebody says that its value is as meant."""

    token: str
    is_ticked: bool


def ask_beside(form: forms.Form, asked: Iterable[tuple[str, Question]], meant: Collection[str]) -> None:
    """Put each question beside its field, with a box to tick; one that is answered already is only ticked."""
    for name, question in asked:
        is_ticked = question.token in meant
        form.fields[name].asks = Tick(question.token, is_ticked)  # type: ignore[attr-defined]
        if not is_ticked:
            form.add_error(name, question.sentence)


@dataclass(frozen=True)
class RowShape:
    """What the form of a row needs to know: its sheet, features, what may be pointed at, which fields are fixed.

    confirmed: by field who said that its value is as meant, in a sentence.
    """

    sheet: Sheet
    features: Mapping[str, FeatureOptions] = field(default_factory=dict)
    candidates: Mapping[str, Sequence[str]] = field(default_factory=dict)
    fixed: frozenset[str] = frozenset()
    confirmed: Mapping[str, str] = field(default_factory=dict)


TOLD: Final = {
    (STEPS, "text"): PLACEHOLDERS_TOLD,
    (STEPS, "pattern"): "What the step is for safety's sake; it then needs the blanks that are asked for.",
    (STEPS, "standard_caution"): "Printed before the step's own; it must be true where the step stands.",
    ("Lengths", "length_mm"): "Along the path, from port to port, in mm.",
    ("Lengths", "spread_mm"): "Longest less shortest, in mm. Leave it empty for one car.",
    ("Charges", "charge_g"): "Mass of refrigerant, in g.",
    ("Charges", "tolerance_g"): "How far a fill may be from it, more or less, in g.",
    (
        "Air trials",
        "airflow_m3_h",
    ): "Through the coil: a hood at the vents, or the sum of vent readings.",
    (
        "Air trials",
        "blower_static_pa",
    ): "Static, behind less before the blower, with a clean filter and all vents open.",
    ("Air trials", "motor_voltage_v"): "At the motor's own plug, at the step that was on.",
    ("Air trials", "air_c"): "Its temperature, for its density.",
    ("Readings", "writes"): "What is written into the blank; only a number has a unit and limits.",
    (
        "Readings",
        "answers",
    ): "Which blank of the step's pattern it is; “Steps that are asked for” fills it in.",
}
"""What a field asks for, where its name alone does not tell."""


class RowForm(forms.Form):
    """One row. Every field is a text, so that what was typed is kept; `kits.editing.cells` reads it."""

    def __init__(
        self, shape: RowShape, data: Any = None, *, initial: Mapping[str, str] | None = None
    ) -> None:
        super().__init__(data, initial=dict(initial or {}), prefix="row")
        self.shape = shape
        self.is_filter = True  # a label says when a field must be filled, not when it need not
        for column in shape.sheet.columns:
            self.fields[column.field] = _field(shape, column)

    def typed(self) -> dict[str, str]:
        """What was typed, by field; of fields that are fixed what they were."""
        found = {}
        for name in self.fields:
            raw = self.fields[name].widget.value_from_datadict(self.data, {}, self.add_prefix(name))
            found[name] = self.initial.get(name, "") if name in self.shape.fixed else str(raw or "")
        return found

    def _named(self, test: Any) -> list[Any]:
        return [self[c.field] for c in self.shape.sheet.columns if test(c)]

    @property
    def own(self) -> list[Any]:
        """Fields of the thing itself."""
        return self._named(lambda c: c.kind != OPTIONS and not c.field.startswith("origin_"))

    @property
    def terms(self) -> list[Any]:
        """One field a feature."""
        return self._named(lambda c: c.kind == OPTIONS)

    @property
    def origin(self) -> list[Any]:
        """Where the values come from."""
        return self._named(lambda c: c.field.startswith("origin_"))


def _field(shape: RowShape, column: Column) -> forms.Field:
    return forms.CharField(
        label=_label(column),
        required=False,
        strip=False,
        help_text=f"{_help(shape, column)} {shape.confirmed.get(column.field, '')}".strip(),
        widget=_widget(shape, column),
        disabled=False,
    )


def _label(column: Column) -> str:
    head = column.head.partition(": ")[2] or column.head
    head = head.removeprefix("origin ") if column.field.startswith("origin_") else head
    return head[:1].upper() + head[1:]


def _help(shape: RowShape, column: Column) -> str:
    if column.field in shape.fixed:
        return "This names the row and stays as it is."
    if column.kind == DATE:
        return "Such as 2026-05-01."
    if column.kind == LIST:
        return "Several apart by commas."
    must = "Must be filled." if column.required else ""
    return f"{must} {TOLD.get((shape.sheet.name, column.field), '')}".strip()


def _widget(shape: RowShape, column: Column) -> forms.Widget:
    if column.field in shape.fixed:
        return forms.TextInput(attrs={"readonly": True})
    if column.kind == OPTIONS:
        feature = shape.features.get(column.field)
        options = list(feature.options.values()) if feature else []
        if shape.sheet.options == ONE_EACH:
            return forms.Select(choices=[("", "–"), *((o, o) for o in options)])
        return OptionsWidget(options, with_not=shape.sheet.options == TERMS)
    if column.kind == YES_NO:
        return forms.Select(choices=[("yes", "yes"), ("no", "no")])
    if column.kind == CHOICE:
        blank = [] if column.required or column.default else [("", "–")]
        return forms.Select(choices=[*blank, *((c, c) for c in column.choices)])
    known = shape.candidates.get(column.field)
    if known is not None and len(known) <= MOST_IN_A_SELECT:
        return forms.Select(choices=[("", "–"), *((k, k) for k in known)])
    if column.field in LONG_TEXTS:
        return forms.Textarea(attrs={"rows": 4})
    attrs: dict[str, Any] = {"autocomplete": "off"}
    if known is not None and len(known) <= MOST_SUGGESTED:
        attrs["list"] = f"known-{column.field}"
    if column.kind in NUMERIC:
        attrs["inputmode"] = "decimal"
    return forms.TextInput(attrs=attrs)


class CopyVariantForm(forms.Form):
    """A variant made from another."""

    code = forms.CharField(label="Code of the new variant", max_length=40, help_text="Such as CP12R.")
    name = forms.CharField(label="Name", max_length=160)
    idempotency_key = KeyField()

    def __init__(
        self,
        options: Mapping[str, Sequence[str]],
        held: Mapping[str, str],
        parts: Mapping[str, str],
        data: Any = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(data, **kwargs)
        self.option_fields = [f"option:{feature.casefold()}" for feature in options]
        for feature, codes in options.items():
            name = f"option:{feature.casefold()}"
            self.fields[name] = forms.ChoiceField(
                label=feature.capitalize(), choices=[(c, c) for c in codes], initial=held.get(name, "")
            )
        self.fields["parts"] = _parts_field(parts)
        self.order_fields(["code", "name", *self.option_fields, "parts"])

    def options(self) -> dict[str, str]:
        """The chosen option of each feature's column."""
        return {name: self.cleaned_data[name] for name in self.option_fields}


class CopyLineForm(forms.Form):
    """A model line made from the nearest one."""

    code = forms.CharField(label="Code of the new line", max_length=30)
    name = forms.CharField(label="Name", max_length=120)
    maker = forms.CharField(label="Maker", max_length=80, required=False)
    idempotency_key = KeyField()

    def __init__(self, parts: Mapping[str, str], data: Any = None, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.fields["parts"] = _parts_field(parts)


def _parts_field(parts: Mapping[str, str]) -> forms.Field:
    return forms.MultipleChoiceField(
        label="What comes along", choices=list(parts.items()), required=False, initial=list(parts),
        widget=forms.CheckboxSelectMultiple,
        help_text="Every value taken over becomes an estimate, marked “to be surveyed”.",
    )  # fmt: skip
