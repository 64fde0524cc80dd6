"""A password that can be chosen can be given."""

import pytest
from django.core.exceptions import ValidationError

from kits.people.actions import make_user
from kits.people.signing.limits import LONGEST_PASSWORD
from tests.conftest import PASSWORD
from tests.kits.fitment.pages import main_text
from tests.kits.people.signing.people import at, entered, tried
from vehicles.records.access import CONSOLE

pytestmark = pytest.mark.django_db
LONGEST = ("slate kettle " * 400)[:LONGEST_PASSWORD]


def changed(client, password):
    """Change one's password."""
    sent = {"old_password": PASSWORD, "new_password1": password, "new_password2": password}
    return client.post("/account/password/", sent)


def test_the_longest_password_that_is_taken_lets_in(manager):
    client = at()
    entered(client)
    assert changed(client, LONGEST).status_code == 302
    assert tried(at(), password=LONGEST).status_code == 302


def test_a_longer_one_is_refused_in_a_sentence(manager):
    client = at()
    entered(client)
    answer = changed(client, LONGEST + "x")
    assert answer.status_code == 422 and "at most 4,096 characters" in main_text(answer)
    manager.refresh_from_db()
    assert manager.check_password(PASSWORD)
    with pytest.raises(ValidationError, match="at most 4,096"):
        make_user(actor=CONSOLE, name="ines", password=LONGEST + "x", role="installer")
