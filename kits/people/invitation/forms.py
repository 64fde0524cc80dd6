"""The form on which somebody chooses his password."""

from typing import Any

from django import forms
from django.contrib.auth.forms import SetPasswordForm
from django.contrib.auth.models import User

from kits.people.models import Person
from kits.people.signing.forms import TOO_LONG
from kits.people.signing.limits import LONGEST_PASSWORD

HELP = "At least 10 characters; three or four words that nobody would put together are easy to keep in mind."
MISMATCH = "The two are not the same; type both again."


class ChoosePasswordForm(SetPasswordForm):  # type: ignore[type-arg]
    """The same password twice, refused in a sentence where it is too easy to guess."""

    def __init__(self, person: Person, data: Any = None) -> None:
        # a password that is like the name is refused, too; the account itself keeps no name, and this one is not saved
        person.user.first_name = person.name
        super().__init__(person.user, data)
        for name, label in (("new_password1", "Password"), ("new_password2", "The same password again")):
            self.fields[name] = forms.CharField(
                label=label, strip=False, max_length=LONGEST_PASSWORD,
                widget=forms.PasswordInput(attrs={"autocomplete": "new-password", "maxlength": LONGEST_PASSWORD}),
                error_messages={
                    "required": "Type a password." if name == "new_password1" else "Type it a second time.",
                    "max_length": TOO_LONG,
                },
            )  # fmt: skip
        self.fields["new_password1"].help_text = HELP
        self.error_messages = {**self.error_messages, "password_mismatch": MISMATCH}

    def validate_password_for_user(self, user: User, *_: Any, **__: Any) -> None:
        """What is wrong with a password is told beside it, not beside its repetition."""
        super().validate_password_for_user(user, "new_password1")
