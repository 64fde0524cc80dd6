"""What people type about a fitment."""

from datetime import date
from typing import Any

from django import forms

from kits.fitment.queries import fitments_of
from vehicles.physics.ranges import possible

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
