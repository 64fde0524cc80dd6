"""A password is worked on before anything is locked: nobody waits for it."""

import pytest
from django.contrib.auth.hashers import MD5PasswordHasher
from django.db import connection
from django.utils import timezone

from kits.people.actions import make_user
from kits.people.invitation.actions import choose_password
from kits.people.invitation.queries import token_of
from kits.people.signing.actions import change_password
from tests.kits.people.cast import invited
from vehicles.records.access import CONSOLE

pytestmark = pytest.mark.django_db
WORDS = "a long kettle"


def make() -> None:
    """Make an account."""
    make_user(actor=CONSOLE, name="ines", password=WORDS, role="installer")


def change() -> None:
    """Change a password."""
    change_password(user=invited().user, password=WORDS, address="")


def choose() -> None:
    """Choose one by a link."""
    now = timezone.now()
    assert choose_password(token=token_of(invited(now=now)), password=WORDS, now=now, address="")


@pytest.mark.parametrize("act", [make, change, choose])
def test_a_password_is_hashed_outside_of_every_transaction(act, monkeypatch):
    depths, whole = [], MD5PasswordHasher.encode

    def encode(self, word, salt):
        depths.append(len(connection.savepoint_ids))
        return whole(self, word, salt)

    outside = len(connection.savepoint_ids)
    monkeypatch.setattr(MD5PasswordHasher, "encode", encode)
    act()
    assert depths == [outside]
