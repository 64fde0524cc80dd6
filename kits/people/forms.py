"""What is typed about people."""

import unicodedata
from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from django import forms
from django.core.exceptions import ValidationError

from kits.people.models import Firm
from kits.people.names import LONGEST_ACCOUNT, can_be_read, hidden_signs
from vehicles.records.access import INSTALLER, MANAGER, OWNER, PRODUCTION
from vehicles.records.actions import Stale
from vehicles.records.asked import LONGEST_REASON, fault_of_text
from vehicles.records.forms import KeyField, fresh_key, with_fresh_key

Made = TypeVar("Made")
ROLE_WORDS = [
    (MANAGER, "manager: surveys cars, designs and sizes kits, changes data, looks after people"),
    (PRODUCTION, "production: reads kits, parts and prices, prints papers"),
    (INSTALLER, "installer: reads what he fits and its papers; no prices"),
    (OWNER, "owner: reads everything, changes nothing"),
]

PARTNERS = "A partner’s people are installers. Until jobs are kept here they see what our own installers see."


class LineField(forms.CharField):
    """A short text as people read it: one line, single spaces, no signs that can't be seen."""

    def __init__(
        self, *, label: str, max_length: int, required: bool = True, asks: str = "", **more: Any
    ) -> None:
        attrs = {"autocomplete": "off", **more.pop("attrs", {})}
        super().__init__(
            label=label, max_length=max_length, required=required, widget=forms.TextInput(attrs=attrs),
            error_messages={"required": asks}, **more,
        )  # fmt: skip

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        """Without the browser's limit, which would cut off silently what is too long."""
        attrs: dict[str, Any] = super().widget_attrs(widget)
        attrs.pop("maxlength", None)
        return attrs

    def to_python(self, value: Any) -> str:
        """The text. Raises ValidationError."""
        text = " ".join(unicodedata.normalize("NFC", f"{super().to_python(value)}").split(" "))
        wrong = fault_of_text("It", text, self.max_length or 0)
        if not wrong and hidden_signs(text):
            wrong = "It holds a sign that can’t be seen; type it again."
        if wrong:
            raise ValidationError(wrong)
        return " ".join(text.split())


class NameField(LineField):
    """What somebody or something is called: it can be read."""

    def to_python(self, value: Any) -> str:
        """The name. Raises ValidationError."""
        text = super().to_python(value)
        if text and not can_be_read(text):
            raise ValidationError("A name has at least one letter or digit.")
        return text


class DayField(forms.DateField):
    """A day of the calendar."""

    def __init__(self, *, label: str, asks: str = "", **more: Any) -> None:
        super().__init__(
            label=label, input_formats=["%Y-%m-%d"], widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            error_messages={"required": asks, "invalid": "Write the date as 2026-05-01."}, **more,
        )  # fmt: skip


class ReasonedForm(forms.Form):
    """What every act on a person carries: the version that was seen, and why."""

    version = forms.IntegerField(
        widget=forms.HiddenInput, min_value=0, max_value=10**9,
        error_messages=dict.fromkeys(
            ("required", "invalid", "min_value", "max_value"), "The form had lost its state; open it again."
        ),
    )  # fmt: skip
    reason = LineField(
        label="Reason", max_length=LONGEST_REASON, required=False, help_text="It stands in the history.",
        asks="Say why; it stands in the history.",
    )  # fmt: skip
    field_order: Any = None

    def __init__(self, data: Any = None, *, initial: Mapping[str, Any] | None = None) -> None:
        super().__init__(data, initial=dict(initial or {}))


class FirmForm(forms.Form):
    """Which firm somebody is of: one that is known, or a new one."""

    firm = forms.ModelChoiceField(
        label="Partner firm", queryset=Firm.objects.none(), required=False, empty_label="none: our own people",
        to_field_name="name", help_text=PARTNERS,
        error_messages={"invalid_choice": "There is no such firm; type it below as a new one."},
    )  # fmt: skip
    new_firm = NameField(
        label="Or a new firm",
        max_length=80,
        required=False,
        help_text="Its name, if it is not in the list yet.",
    )

    def offer(self, firms: Any) -> None:
        """Let one of these firms be chosen."""
        self.fields["firm"].queryset = firms  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        """The firm by its name, however it was given."""
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        chosen, typed = cleaned.get("firm"), cleaned.pop("new_firm", "")
        if chosen and typed:
            self.add_error("new_firm", "Choose a firm or type a new one, not both.")
        cleaned["firm"] = chosen.name if chosen else typed
        return cleaned


def _roles_field() -> forms.MultipleChoiceField:
    return forms.MultipleChoiceField(
        label="Roles", choices=ROLE_WORDS, widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": "Tick at least one role.", "invalid_choice": "There is no role “%(value)s”.",
        },
    )  # fmt: skip


class InviteForm(FirmForm, ReasonedForm):
    """Somebody new."""

    idempotency_key = KeyField()
    account = NameField(
        label="Name to sign in with", max_length=LONGEST_ACCOUNT,
        asks="Type a name to sign in with, such as anna.berg.",
        help_text="Letters, digits and @ . + - _, such as anna.berg.",
        attrs={"autocapitalize": "none", "spellcheck": "false"},
    )  # fmt: skip
    name = NameField(
        label="Name",
        max_length=80,
        asks="Type the name as papers shall print it.",
        help_text="As papers print it.",
    )
    initials = LineField(
        label="Initials", max_length=5, required=False,
        help_text="Two to five letters, never given to anybody else. Empty: the first free ones after the name.",
    )  # fmt: skip
    roles = _roles_field()
    field_order = ("name", "account", "initials", "roles", "firm", "new_firm", "reason")

    def __init__(self, data: Any = None, *, initial: Mapping[str, Any] | None = None) -> None:
        super().__init__(data, initial={"version": 0, "idempotency_key": fresh_key(), **(initial or {})})


class ChangeForm(FirmForm, ReasonedForm):
    """Name and firm of somebody who is known."""

    name = NameField(
        label="Name",
        max_length=80,
        asks="Type the name as papers shall print it.",
        help_text="As papers print it.",
    )
    field_order = ("name", "firm", "new_firm", "reason")


class RolesForm(ReasonedForm):
    """What somebody may do."""

    roles = _roles_field()
    field_order = ("roles", "reason")


class LeaveForm(ReasonedForm):
    """Somebody leaves."""

    last_day = DayField(
        label="His last day", asks="Say which was his last day.", help_text="Today or earlier."
    )
    field_order = ("last_day", "reason")


class BackForm(RolesForm):
    """Somebody comes back; what he may do is chosen anew."""

    idempotency_key = KeyField()

    def __init__(self, data: Any = None, *, initial: Mapping[str, Any] | None = None) -> None:
        super().__init__(data, initial={"idempotency_key": fresh_key(), **(initial or {})})


class LinkForm(ReasonedForm):
    """A new link."""

    idempotency_key = KeyField()

    def __init__(self, data: Any = None, *, initial: Mapping[str, Any] | None = None) -> None:
        super().__init__(data, initial={"idempotency_key": fresh_key(), **(initial or {})})


def attempted(form: Any, version: int, act: Callable[[dict[str, Any]], Made]) -> tuple[Made | None, int]:
    """Do what a form asks, if it can be read: what came of it, and the status of the page that says why nothing did.

    version: the one to send next time. The act gets the form's values, with the version as `expected_version`.
    """
    status = 422
    if form.is_valid():
        values = dict(form.cleaned_data)
        values["expected_version"] = values.pop("version")
        values.pop("idempotency_key", None)
        try:
            return act(values), 200
        except Stale as stale:
            form.data = form.data.copy()
            form.data["version"] = f"{version}"
            form.add_error(None, f"{stale} What you typed is kept below.")
            status = 409
        except ValidationError as refused:
            form.add_error(None, refused)
    if "idempotency_key" in form.fields:
        with_fresh_key(form)
    return None, status
