"""The form of the workshop's settings."""

from django import forms

from kits.people.forms import ReasonedForm
from kits.people.models import ALWAYS, WHERE_IT_CAN_BE_HAD

SECOND_PERSON = [
    (WHERE_IT_CAN_BE_HAD, "Where it can be had: who is alone ticks “same person”, and signs for both"),
    (ALWAYS, "Always: without a second person the work stops there"),
]


class ShopForm(ReasonedForm):
    """What is one answer for the whole workshop."""

    second_person = forms.ChoiceField(
        label="A second person at hold points about gas", choices=SECOND_PERSON, widget=forms.RadioSelect,
        help_text="High voltage is not asked here: nobody ever does it alone.",
        error_messages={"required": "Choose one.", "invalid_choice": "Choose one of the two."},
    )  # fmt: skip
    field_order = ("second_person", "reason", "version")
