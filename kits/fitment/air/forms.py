"""What people type about the air side: the air speeds read at the vents."""

from collections.abc import Mapping
from typing import Any

from django import forms

from kits.fitment.forms import number_field
from kits.sizing.air.vent_readings import FASTEST_M_S

VENT = "vent_"
LEAST_MEAN_SHARE = 0.3


class VentForm(forms.Form):
    """An air speed for each vent, at one step; nothing of it is kept."""

    step = forms.TypedChoiceField(
        label="Step that was on",
        coerce=int,
        error_messages={"invalid_choice": "Choose one of the steps in the list."},
    )
    mean_share = forms.FloatField(
        label="Mean over the reading", min_value=LEAST_MEAN_SHARE, max_value=1, initial=1,
        help_text="1 for the mean of nine points over the vent; about 0.8 for one reading in its middle.",
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
        error_messages={
            "required": "Type the mean over the reading, such as 1.",
            "invalid": "This must be a number, such as 0.8.",
            "min_value": f"A mean below {LEAST_MEAN_SHARE:g} of the reading can’t be right.",
            "max_value": "The mean can’t be above the reading in the middle: at most 1.",
        },
    )  # fmt: skip

    def __init__(self, *args: Any, vents: Mapping[str, str], steps: tuple[int, ...], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["step"].choices = [(step, f"step {step}") for step in steps]  # type: ignore[attr-defined]
        self.fields["step"].initial = steps[-1] if steps else None
        for code, part in vents.items():
            name = f"Vent {code}, {part}"
            self.fields[f"{VENT}{code}"] = number_field(name, "m/s", 0, FASTEST_M_S)

    def speeds(self) -> dict[str, float]:
        """The air speeds by code of the vent; of a valid form."""
        return {
            name.removeprefix(VENT): value
            for name, value in self.cleaned_data.items()
            if name.startswith(VENT)
        }


def vent_form(data: Any, vents: Mapping[str, str], steps: tuple[int, ...]) -> VentForm:
    """The form of the vents; bound when the address carries a reading."""
    is_asked = any(name.startswith(VENT) for name in data)
    return VentForm(data if is_asked else None, vents=vents, steps=steps, auto_id="id_vents_%s")
