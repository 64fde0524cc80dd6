"""What people type of a filling in steps, and of the oil."""

from datetime import date
from typing import Any

from django import forms
from django.core.validators import RegexValidator

from kits.fitment.forms import day_that_has_been, number_field, source_field, with_units
from vehicles.physics.ranges import possible
from vehicles.records.models import CODE

MOST_OIL_ML = possible("Kit", "oil_ml")[1]
"""No more is added or drained than the largest circuit holds."""


class StepForm(forms.Form):
    """What was read after one step of filling; refuses what no plant of a car shows."""

    trial = forms.CharField(
        label="Trial", max_length=30, help_text="Names this filling, such as A-2026-05.",
        validators=[RegexValidator(CODE, "Begin with a letter or digit; then letters, digits, blanks and . - only.")],
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": "Give the filling a name."},
    )  # fmt: skip
    charge_g = number_field(
        "In the plant", "g", *possible("PlateauStep", "charge_g"), "All that was filled so far."
    )
    engine_rpm = number_field(
        "Engine", "rpm", *possible("PlateauStep", "engine_rpm"), "1,500 to 2,000 rpm, the same at each step."
    )
    ambient_c = number_field("Air outside", "°C", *possible("PlateauStep", "ambient_c"), "In the shade.")
    subcooling_k = number_field(
        "Subcooling", "K", *possible("PlateauStep", "subcooling_k"), "At the condenser’s end."
    )
    high_side_bar_g = number_field("High side", "bar g", *possible("PlateauStep", "high_side_bar_g"))
    vent_c = number_field("Air at the vents", "°C", *possible("PlateauStep", "vent_c"))
    origin_instrument = forms.CharField(
        label="Instruments", max_length=80, help_text="Such as: scale 5 g, gauge set, clamp thermometer.",
        error_messages={"required": "Say what it was measured with."},
    )  # fmt: skip
    origin_source = source_field("Which car, such as its chassis number.", "Say on which car it was taken.")
    origin_on = forms.DateField(
        label="Date", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"), input_formats=["%Y-%m-%d"],
        error_messages={"required": "Say when it was taken.", "invalid": "Write the date as 2026-05-01."},
    )  # fmt: skip

    def __init__(self, data: Any = None, *, today: date, initial: dict[str, Any] | None = None) -> None:
        super().__init__(data, initial=initial, auto_id="id_step_%s", label_suffix="")
        self.today = today

    def fields_with_units(self) -> list[tuple[Any, str]]:
        """The fields, each with its unit."""
        return with_units(self)

    def clean_origin_on(self) -> date:
        """A day that has been."""
        return day_that_has_been(self.cleaned_data["origin_on"], self.today)


class ProposalForm(forms.Form):
    """The trial whose charge is to be recorded."""

    trial = forms.CharField(max_length=30)


class OilForm(forms.Form):
    """The ledger of the oil: what came with the compressor, what was added, what was drained."""

    prefill_ml = number_field("The compressor came with", "ml", *possible("CompressorData", "oil_prefill_ml"))
    added_ml = number_field("Added", "ml", 0, MOST_OIL_ML, "All that was ever added.")
    drained_ml = number_field(
        "Drained", "ml", 0, MOST_OIL_ML, "Drained, lost with a leak, or left in a part that was replaced."
    )

    def __init__(self, data: Any = None, *, initial: dict[str, Any] | None = None) -> None:
        super().__init__(data, initial=initial, auto_id="id_oil_%s", label_suffix="")

    def fields_with_units(self) -> list[tuple[Any, str]]:
        """The fields, each with its unit."""
        return with_units(self)
