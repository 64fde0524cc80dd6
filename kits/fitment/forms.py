"""What people type about a fitment."""

from datetime import date
from typing import Any

from django import forms

from kits.fitment.queries import fitments_of
from vehicles.physics.ranges import possible

ORIGINS = [(k, k) for k in ("measured", "data sheet", "calculated", "estimate")]
CHARGE_ORIGINS = [(k, k) for k in ("weighed", "data sheet", "calculated", "estimate")]
LENGTH_MM, SPREAD_MM = possible("RouteLength", "length_mm"), possible("RouteLength", "spread_mm")
CHARGE_G, TOLERANCE_G = possible("ChargeRecord", "charge_g"), possible("ChargeRecord", "tolerance_g")
FEWEST_CARS, MOST_CARS = map(int, possible("RouteLength", "cars_count"))
EARLIEST = date(1900, 1, 1)
LONGEST_NUMBER = 30
"""Characters: what is longer is no number, and an address can't carry it."""


def number_field(
    label: str, unit: str, low: float, high: float, help_text: str = "", *, required: bool = True
) -> forms.FloatField:
    """A number with its unit; beyond its range it is no reading but a slip."""
    said = unit.replace("%", "%%")  # the sentences go through a formatting of their own
    field = forms.FloatField(
        label=label, min_value=low, max_value=high, required=required, help_text=help_text,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off", "maxlength": LONGEST_NUMBER}),
        error_messages={
            "required": f"Type a number in {said}.", "invalid": f"This is no number; type one in {said}.",
            "min_value": f"Below {low:,g} {said} can’t be right; is it in {said}?",
            "max_value": f"Above {high:,g} {said} can’t be right; is it in {said}?",
        },
    )  # fmt: skip
    field.unit = unit  # type: ignore[attr-defined]
    return field


def with_units(form: forms.BaseForm, *names: str) -> list[tuple[Any, str]]:
    """Fields of a form, each with its unit; without names all that are seen."""
    fields = [form[name] for name in names if name in form.fields] if names else form.visible_fields()
    return [(field, getattr(field.field, "unit", "")) for field in fields]


def instrument_field(help_text: str) -> forms.CharField:
    """With what a value was taken."""
    return forms.CharField(label="Instrument", required=False, max_length=80, help_text=help_text)


def uncertainty_field(help_text: str) -> forms.CharField:
    """How far a value may be off, with its unit."""
    return forms.CharField(label="Uncertainty", required=False, max_length=40, help_text=help_text)


def origin_field(choices: list[tuple[str, str]], help_text: str) -> forms.ChoiceField:
    """What kind of value it is; the kind decides which of two values wins."""
    return forms.ChoiceField(
        label="Origin", choices=choices, help_text=help_text,
        error_messages={"invalid_choice": "Choose one of the origins in the list."},
    )  # fmt: skip


def source_field(help_text: str, required: str) -> forms.CharField:
    """Where a value comes from; required: what to say when it is missing."""
    return forms.CharField(
        label="Source", max_length=200, help_text=help_text, error_messages={"required": required}
    )


def cars_field() -> forms.IntegerField:
    """On how many cars a length was taken."""
    return forms.IntegerField(
        label="Cars measured", min_value=FEWEST_CARS, max_value=MOST_CARS, initial=1,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={
            "required": "Type on how many cars it was taken.",
            "invalid": "The number of cars must be a whole number, such as 1.",
            "min_value": "It must be taken on at least one car.",
            "max_value": f"At most {MOST_CARS:,} cars can be noted.",
        },
    )  # fmt: skip


def day_that_has_been(on: date, today: date) -> date:
    """The day something was measured. Raises ValidationError for one still to come, or before 1900."""
    if on > today:
        raise forms.ValidationError("That day is still to come.")
    if on < EARLIEST:
        raise forms.ValidationError("The year is hardly right.")
    return on


class RouteLengthForm(forms.Form):
    """A length of a route, with how it was taken; refuses what no car can have."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    length_mm = forms.FloatField(
        label="Length of the route", min_value=LENGTH_MM[0], max_value=LENGTH_MM[1],
        help_text="Along the path, from port to port, in mm.",
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
        error_messages={
            "required": "Type the length in millimetres.",
            "invalid": "The length must be a number of millimetres, such as 1240.",
            "min_value": f"The length must be at least {LENGTH_MM[0]:,g} mm.",
            "max_value": f"The length must be at most {LENGTH_MM[1]:,g} mm; is it in millimetres?",
        },
    )  # fmt: skip
    cars_count = cars_field()
    spread_mm = forms.FloatField(
        label="Spread between cars", required=False, min_value=SPREAD_MM[0], max_value=SPREAD_MM[1],
        help_text="Longest less shortest, in mm. Leave it empty for one car.",
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
        error_messages={
            "invalid": "The spread must be a number of millimetres, such as 12, or empty.",
            "min_value": "The spread can't be below zero.",
            "max_value": f"The spread must be at most {SPREAD_MM[1]:,g} mm; is it in millimetres?",
        },
    )  # fmt: skip
    instrument = instrument_field("Such as: tape, class II.")
    uncertainty = uncertainty_field("With its unit, such as ±2 mm.")
    origin_kind = origin_field(ORIGINS, "A measured length wins over an estimate, whatever its date.")
    origin_source = source_field(
        "Which car, drawing or document.", "Say where the length comes from, such as a chassis number."
    )

    def clean(self) -> dict[str, Any]:
        """A spread larger than the length is a slip of the pen."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        length_mm, spread_mm = cleaned.get("length_mm"), cleaned.get("spread_mm")
        if length_mm is not None and spread_mm is not None and spread_mm > length_mm:
            self.add_error("spread_mm", "The spread is larger than the length itself.")
        return cleaned


class ChargeForm(forms.Form):
    """A refrigerant charge, with how it was found; refuses what no plant of a car can hold."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    charge_g = forms.FloatField(
        label="Charge", min_value=CHARGE_G[0], max_value=CHARGE_G[1], help_text="Mass of refrigerant, in g.",
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
        error_messages={
            "required": "Type the charge in grams.",
            "invalid": "The charge must be a number of grams, such as 650.",
            "min_value": f"The charge must be at least {CHARGE_G[0]:,g} g; is it in grams?",
            "max_value": f"The charge must be at most {CHARGE_G[1]:,g} g; is it in grams?",
        },
    )  # fmt: skip
    tolerance_g = forms.FloatField(
        label="Tolerance", min_value=TOLERANCE_G[0], max_value=TOLERANCE_G[1], initial=25,
        help_text="How far a fill may be from it, more or less, in g.",
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
        error_messages={
            "required": "Type how far a fill may be from the charge, such as 25.",
            "invalid": "The tolerance must be a number of grams, such as 25.",
            "min_value": "The tolerance can't be below zero.",
            "max_value": f"The tolerance must be at most {TOLERANCE_G[1]:,g} g; is it in grams?",
        },
    )  # fmt: skip
    instrument = instrument_field("Such as: scale, 5 g steps.")
    uncertainty = uncertainty_field("With its unit, such as ±5 g.")
    origin_kind = origin_field(CHARGE_ORIGINS, "A weighed charge wins over an estimate, whatever its date.")
    origin_source = source_field(
        "Which car, trial or document.", "Say where the charge comes from, such as a chassis number."
    )

    def clean(self) -> dict[str, Any]:
        """A tolerance as large as the charge is a slip of the pen."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        charge_g, tolerance_g = cleaned.get("charge_g"), cleaned.get("tolerance_g")
        if charge_g is not None and tolerance_g is not None and tolerance_g >= charge_g:
            self.add_error("tolerance_g", "The tolerance is as large as the charge itself.")
        return cleaned


def charge_form(data: Any = None, *, version: int) -> ChargeForm:
    """The form of the charge; its ids are its own, since the page holds other forms."""
    return ChargeForm(data, initial={"version": version}, auto_id="id_charge_%s")


def length_form(route: str, data: Any = None, *, version: int) -> RouteLengthForm:
    """The form of one route; its ids carry the route, since a page holds one form per route."""
    return RouteLengthForm(data, initial={"version": version}, auto_id=f"id_{_plain(route)}_%s")


def _plain(route: str) -> str:
    return "".join(c if c.isalnum() else "-" for c in route)


class ScopeForm(forms.Form):
    """Which fitments are meant: all, those of a line, of a kit, or one; codes."""

    line = forms.CharField(required=False)
    kit = forms.CharField(required=False)
    variant = forms.CharField(required=False)

    def clean(self) -> dict[str, Any]:
        """What names something must name a fitment."""
        codes: dict[str, Any] = super().clean() or {}
        if any(codes.values()) and not fitments_of(**codes).exists():
            raise forms.ValidationError("There is no such fitment.")
        if codes.get("variant") and not (codes.get("line") and codes.get("kit")):
            raise forms.ValidationError("A car is named by its line, and sized with a kit.")
        return codes

    def scope(self) -> dict[str, Any]:
        """As `ask_to_size` takes it."""
        line, kit, variant = (self.cleaned_data[name] for name in ("line", "kit", "variant"))
        return {"fitment": (kit, line, variant)} if variant else {"line": line, "kit": kit}
