"""manage.py make_user."""

import pytest
from django.contrib.auth.models import User
from django.core.management.base import CommandError

from kits.management.commands import make_user
from vehicles.records.access import roles_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def typed(monkeypatch):
    """Type a password when asked for one."""

    def type_in(password: str) -> None:
        monkeypatch.setattr(make_user, "getpass", lambda prompt: password)

    return type_in


def test_the_account_can_sign_in_with_its_role(command, typed):
    typed("a kettle on the coast")
    assert command("make_user", "ines", "--role", "installer") == "ines can now sign in as installer.\n"
    user = User.objects.get(username="ines")
    assert roles_of(user) == {"installer"}
    assert user.check_password("a kettle on the coast")


@pytest.mark.parametrize("password", ["short", "password123", "", "Kitwright-2026!"])
def test_a_password_that_is_easy_to_guess_is_refused(command, typed, password):
    typed(password)
    with pytest.raises(CommandError, match=r"\w"):
        command("make_user", "ines", "--role", "installer")
    assert not User.objects.exists()


def test_a_password_like_the_name_is_refused(command, typed):
    typed("rutherford-1")
    with pytest.raises(CommandError, match="too similar"):
        command("make_user", "rutherford", "--role", "installer")
    assert not User.objects.exists()
