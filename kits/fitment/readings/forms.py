"""What a person types of a commissioning: the state, and what gauges and thermometer said."""

from typing import Any

from django import forms

from kits.fitment.forms import number_field, with_units
from kits.fitment.readings.judgement import Taken

AIR = (
    ("recirculated", "recirculated"),
    ("fresh", "fresh"),
    ("mixed", "mixed"),
)
BLOWER = (("highest", "highest step"), ("lower", "a lower step"))
DOORS = (("open", "open"), ("closed", "closed"))
FAN = (("", "not looked at"), ("running", "running"), ("standing", "standing still"))
CYCLING = (("", "not looked at"), ("steady", "running steadily"), ("cycling", "cycling on and off"))


def _choice(label: str, choices: tuple[tuple[str, str], ...], help_text: str = "") -> forms.ChoiceField:
    return forms.ChoiceField(
        label=label, choices=choices, required=bool(choices[0][0]), help_text=help_text,
        error_messages={"invalid_choice": "Choose one of the list.", "required": "Choose one of the list."},
    )  # fmt: skip


class ReadingsForm(forms.Form):
    """The state and the readings; refuses what no gauge can have said."""

    ambient_c = number_field("Air outside", "°C", -30, 60, "In the shade, at the intake.")
    humidity_pct = number_field("Relative humidity", "%", 1, 100, "At the intake.")
    air = _choice("Air mode", AIR)
    blower = _choice("Blower", BLOWER)
    doors = _choice("Doors", DOORS)
    engine_rpm = number_field("Engine", "rpm", 200, 8000, required=False)
    minutes = number_field("Since the start", "min", 0, 600, "Minutes with the plant running.")
    fan = _choice("Condenser’s fan", FAN)
    cycling = _choice("Compressor", CYCLING)
    low_bar_g = number_field("Low side", "bar g", -1, 20)
    high_bar_g = number_field("High side", "bar g", -1, 45)
    vent_c = number_field("Air at the vents", "°C", -20, 70, "In the middle vent, in the air’s stream.")
    subcooling_k = number_field("Subcooling", "K", -20, 60, "At the condenser’s end.", required=False)
    superheat_k = number_field("Superheat", "K", -20, 60, "At the coil’s end.", required=False)
    rest_bar_g = number_field(
        "Pressure at rest", "bar g", -1, 30, "Before the start, car as warm as the air.", required=False
    )
    matrix_hose_over_air_k = number_field(
        "Heater’s outlet hose over the air round it",
        "K",
        -30,
        120,
        "With the water valve closed.",
        required=False,
    )

    STATE = ("ambient_c", "humidity_pct", "air", "blower", "doors", "engine_rpm", "minutes", "fan", "cycling")
    READ = ("low_bar_g", "high_bar_g", "vent_c")
    MORE = ("subcooling_k", "superheat_k", "rest_bar_g", "matrix_hose_over_air_k")

    def __init__(self, data: Any = None, *, is_electric: bool = False) -> None:
        super().__init__(data, label_suffix="")
        if is_electric:
            del self.fields["engine_rpm"]
        else:
            self.fields["engine_rpm"].required = True

    def state(self) -> list[tuple[Any, str]]:
        """The fields of the state, each with its unit."""
        return with_units(self, *self.STATE)

    def read(self) -> list[tuple[Any, str]]:
        """The fields of what is always read."""
        return with_units(self, *self.READ)

    def more(self) -> list[tuple[Any, str]]:
        """The fields of what tells faults apart."""
        return with_units(self, *self.MORE)

    def clean(self) -> dict[str, Any]:
        """A high side below the low side is no state of a running plant."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        low, high = cleaned.get("low_bar_g"), cleaned.get("high_bar_g")
        if low is not None and high is not None and high <= low:
            sentence = (
                "The high side must be above the low side: are the hoses swapped, or does the plant stand?"
            )
            self.add_error("high_bar_g", sentence)
        return cleaned

    def taken(self) -> Taken:
        """What was typed; the form must be valid."""
        return Taken(**self.cleaned_data)
