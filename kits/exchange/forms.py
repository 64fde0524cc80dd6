"""The upload of a workbook."""

from typing import Any

from django import forms

from kits.exchange.safety import MAX_BYTES
from vehicles.records.forms import KeyField


class WorkbookForm(forms.Form):
    """One .xlsx file, measured before it is read."""

    workbook = forms.FileField(
        label="Workbook", max_length=200, allow_empty_file=False,
        help_text=f"An .xlsx file of at most {MAX_BYTES // 1024**2} MB. "
        "It is checked first; nothing changes until you confirm.",
        widget=forms.FileInput(attrs={"accept": ".xlsx"}),
        error_messages={
            "required": "Choose a workbook first.",
            "missing": "Choose a workbook first.",
            "invalid": "The file did not arrive; choose it again.",
            "empty": "The file is empty.",
            "max_length": "The file’s name is longer than 200 characters; shorten it.",
        },
    )  # fmt: skip

    def clean_workbook(self) -> Any:
        """Refuse by size and name before a byte is read."""
        upload = self.cleaned_data["workbook"]
        if upload.size > MAX_BYTES:
            raise forms.ValidationError(f"The file is larger than {MAX_BYTES // 1024**2} MB.")
        if not upload.name.casefold().endswith(".xlsx"):
            raise forms.ValidationError(
                "The file is not an .xlsx workbook. Save it as .xlsx and choose that."
            )
        return upload


class ConfirmForm(forms.Form):
    """The key that makes a repeated confirmation harmless, the number of rows that go, and that values are meant."""

    idempotency_key = KeyField(required=False)
    removals = forms.IntegerField(
        required=False,
        label="Rows that go",
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "size": "6"}),
        error_messages={"invalid": "Type the number of rows in digits."},
    )
    unusual = forms.BooleanField(required=False, label="Unusual values")
