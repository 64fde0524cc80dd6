"""What is typed of a certificate."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from django import forms

from kits.people.forms import DayField, LineField, ReasonedForm
from kits.people.models import CERTIFICATE_KINDS
from vehicles.records.forms import KeyField, fresh_key

EARLIEST_YEAR, MOST_YEARS_AHEAD = 1950, 50


class CertificateForm(ReasonedForm):
    """A certificate as it is printed."""

    kind = forms.ChoiceField(
        label="For",
        choices=CERTIFICATE_KINDS,
        error_messages={"invalid_choice": "Choose one of the kinds in the list."},
    )
    number = LineField(label="Number", max_length=40, asks="Type the number as it stands on the certificate.")
    issued_by = LineField(label="Issued by", max_length=80, required=False)
    valid_from = DayField(label="First day", asks="Say from which day on it counts.")
    valid_until = DayField(
        label="Last day", required=False, help_text="Leave it empty where the certificate has no end."
    )
    field_order = ("kind", "number", "issued_by", "valid_from", "valid_until", "reason")

    def __init__(self, data: Any = None, *, today: date, initial: Mapping[str, Any] | None = None) -> None:
        super().__init__(data, initial=initial)
        self.today = today

    def clean(self) -> dict[str, Any]:
        """Days in their order, in years that can be."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        first, last = cleaned.get("valid_from"), cleaned.get("valid_until")
        if first and not EARLIEST_YEAR <= first.year <= self.today.year + 1:
            self.add_error("valid_from", "The year is hardly right.")
        if last and last.year > self.today.year + MOST_YEARS_AHEAD:
            self.add_error(
                "valid_until", "The year is hardly right; leave it empty where the certificate has no end."
            )
        if first and last and last < first:
            self.add_error("valid_until", "The last day is before the first.")
        return cleaned


class NewCertificateForm(CertificateForm):
    """One more certificate."""

    idempotency_key = KeyField()

    def __init__(self, data: Any = None, *, today: date, initial: Mapping[str, Any] | None = None) -> None:
        super().__init__(data, today=today, initial={"idempotency_key": fresh_key(), **(initial or {})})


class WithdrawForm(ReasonedForm):
    """A certificate that counts no more."""

    def __init__(self, data: Any = None, *, initial: Mapping[str, Any] | None = None) -> None:
        super().__init__(data, initial=initial)
        self.fields["reason"].required = True
