"""The forms of signing in and of one's own account."""

from typing import Any

from django import forms
from django.contrib.auth.forms import SetPasswordForm, UsernameField
from django.contrib.auth.models import User

from kits.people.signing.access import LONGEST_NAME
from kits.people.signing.limits import LONGEST_PASSWORD

TOO_LONG = f"A password has at most {LONGEST_PASSWORD:,} characters."
WRONG_PASSWORD = "This is not your password; type it again."  # noqa: S105 - a sentence


class SignInForm(forms.Form):
    """Name and password as they are typed; whether they fit is asked by the action."""

    username = UsernameField(
        max_length=LONGEST_NAME,
        widget=forms.TextInput(
            attrs={
                "autofocus": True,
                "autocomplete": "username",
                "autocapitalize": "none",
                "spellcheck": "false",
            }
        ),
    )
    password = forms.CharField(
        strip=False,
        max_length=LONGEST_PASSWORD,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )

    WRONG = "Please enter a correct username and password. Note that both fields may be case-sensitive."


class CodeInput(forms.PasswordInput):
    """Readable while it is typed, and empty again on the next page: a code that was wrong is wrong for good."""

    input_type = "text"


class CodeForm(forms.Form):
    """The code of the second step."""

    one_time_code = forms.CharField(
        label="Code",
        max_length=40,
        widget=CodeInput(
            attrs={
                "autofocus": True,
                "autocomplete": "one-time-code",
                "autocapitalize": "none",
                "spellcheck": "false",
            }
        ),
    )

    WRONG = "This code is not right, or was used already. Wait for the next one and type that."


class PasswordAgainForm(forms.Form):
    """The password once more, before something that a passer-by must not do."""

    password = forms.CharField(
        label="Your password",
        strip=False,
        max_length=LONGEST_PASSWORD,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )


class NewPasswordForm(SetPasswordForm):  # type: ignore[type-arg]
    """The old password and a new one, twice; Django's own rules judge it."""

    old_password = forms.CharField(
        label="Password of now",
        strip=False,
        max_length=LONGEST_PASSWORD,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password", "autofocus": True}),
    )
    field_order = ["old_password", "new_password1", "new_password2"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, label in (("new_password1", "New password"), ("new_password2", "New password again")):
            self.fields[name] = forms.CharField(
                label=label, strip=False, max_length=LONGEST_PASSWORD, help_text=self.fields[name].help_text,
                widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
                error_messages={"max_length": TOO_LONG},
            )  # fmt: skip

    def validate_password_for_user(self, user: User, *_: Any, **__: Any) -> None:
        """What is wrong with a password is told beside it, not beside its repetition."""
        super().validate_password_for_user(user, "new_password1")
