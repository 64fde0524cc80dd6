"""What people type about the air side: a trial, and the air speeds read at the vents."""

from collections.abc import Mapping
from typing import Any

from django import forms

from kits.fitment.actions import COLDEST_AIR_C, MOST_AIR_M3_H, MOST_MOTOR_V, MOST_STATIC_PA, WARMEST_AIR_C
from kits.fitment.forms import ORIGINS
from kits.sizing.vent_readings import FASTEST_M_S

VENT = "vent_"


def _number(label: str, what: str, example: str, low: float, high: float, **more: Any) -> forms.FloatField:
    """A field for a number, whose refusals are sentences."""
    return forms.FloatField(
        label=label, min_value=low, max_value=high,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
        error_messages={
            "required": f"Type {what}.",
            "invalid": f"This must be a number, such as {example}.",
            "min_value": f"It must be at least {low:g}.",
            "max_value": f"It must be at most {high:,g}; check the unit.",
        },
        **more,
    )  # fmt: skip


class AirTrialForm(forms.Form):
    """A trial of the air side with how it was taken."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    airflow_m3_h = _number(
        "Air flow", "the flow in m³/h", "330", 1, MOST_AIR_M3_H,
        help_text="Through the coil, in m³/h: a hood at the vents, or the sum of vent readings below.",
    )  # fmt: skip
    blower_static_pa = _number(
        "Pressure rise across the blower", "the static pressure rise in Pa", "280", 1, MOST_STATIC_PA,
        help_text="Static, behind less before the blower, in Pa, with a clean filter and all vents open.",
    )  # fmt: skip
    motor_voltage_v = _number(
        "Voltage at the motor", "the voltage at the motor's plug", "13.2", 0.5, MOST_MOTOR_V,
        help_text="At the motor's own plug, at the step that was on, in V.",
    )  # fmt: skip
    air_c = _number(
        "Air at the blower", "the temperature of the air in °C", "22", COLDEST_AIR_C, WARMEST_AIR_C, initial=20,
        help_text="Its temperature in °C, for its density.",
    )  # fmt: skip
    instrument = forms.CharField(
        label="Instrument", required=False, max_length=80,
        help_text="Such as: vane anemometer with hood, inclined manometer.",
    )  # fmt: skip
    uncertainty = forms.CharField(
        label="Uncertainty", required=False, max_length=40, help_text="With its unit, such as ±5 %."
    )
    origin_kind = forms.ChoiceField(
        label="Origin", choices=ORIGINS,
        help_text="A measured trial wins over an estimate, whatever its date.",
        error_messages={"invalid_choice": "Choose one of the origins in the list."},
    )  # fmt: skip
    origin_source = forms.CharField(
        label="Source", max_length=200, help_text="Which car or trial.",
        error_messages={"required": "Say where the trial was made, such as a chassis number."},
    )  # fmt: skip


class VentForm(forms.Form):
    """An air speed for each vent, at one step; nothing of it is kept."""

    step = forms.TypedChoiceField(
        label="Step that was on",
        coerce=int,
        error_messages={"invalid_choice": "Choose one of the steps in the list."},
    )
    mean_share = _number(
        "Mean over the reading", "the mean over the reading", "1", 0.3, 1, initial=1,
        help_text="1 for the mean of nine points over the vent; about 0.8 for one reading in its middle.",
    )  # fmt: skip

    def __init__(self, *args: Any, vents: Mapping[str, str], steps: tuple[int, ...], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["step"].choices = [(step, f"step {step}") for step in steps]  # type: ignore[attr-defined]
        self.fields["step"].initial = steps[-1] if steps else None
        for code, part in vents.items():
            self.fields[f"{VENT}{code}"] = _number(
                f"Vent {code}, {part}", "the air speed in m/s, 0 for a shut vent", "8.5", 0, FASTEST_M_S
            )

    def speeds(self) -> dict[str, float]:
        """The air speeds by code of the vent; of a valid form."""
        return {
            name.removeprefix(VENT): value
            for name, value in self.cleaned_data.items()
            if name.startswith(VENT)
        }


def trial_form(data: Any = None, *, version: int, airflow_m3_h: float | None = None) -> AirTrialForm:
    """The form of a trial; a flow found from vent readings is filled in."""
    initial: dict[str, Any] = {"version": version}
    if airflow_m3_h is not None:
        initial["airflow_m3_h"] = f"{airflow_m3_h:.0f}"
    return AirTrialForm(data, initial=initial, auto_id="id_trial_%s")


def vent_form(data: Any, vents: Mapping[str, str], steps: tuple[int, ...]) -> VentForm:
    """The form of the vents; bound when the address carries a reading."""
    is_asked = any(name.startswith(VENT) for name in data)
    return VentForm(data if is_asked else None, vents=vents, steps=steps, auto_id="id_vents_%s")
