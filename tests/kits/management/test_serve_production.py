"""In production the site does not start with an account whose password everybody knows."""

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.db import OperationalError

from kits.management.commands import serve
from kits.people.actions import make_demonstration_users, make_roles
from kits.people.queries import DEMONSTRATION_PASSWORD
from vehicles.records.access import CONSOLE, INSTALLER, MANAGER, OWNER, PRODUCTION

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]


@pytest.fixture
def demonstration(db):
    """The demonstration's accounts as they are made at first."""
    make_roles()
    make_demonstration_users(actor=CONSOLE)


@pytest.fixture
def started(monkeypatch):
    """What `serve` would run, in place of running it."""
    parts = []
    monkeypatch.setattr(serve, "keep_running", lambda given, *_: parts.extend(given))
    monkeypatch.setattr(serve, "hold", lambda: None)
    monkeypatch.setattr(serve, "wait_at_most", lambda _: None)
    monkeypatch.setattr(serve.signal, "signal", lambda *_: None)
    monkeypatch.setattr(serve.connection, "close", lambda: None)
    return parts


def test_accounts_with_the_known_password_are_named_with_what_changes_them(demonstration, started, settings):
    settings.PRODUCTION = True
    changed = User.objects.get(username=PRODUCTION)
    changed.set_password("gull on slate and rain")
    changed.save()
    User.objects.filter(username=INSTALLER).update(is_active=False)
    with pytest.raises(CommandError) as refusal:
        call_command("serve")
    said = str(refusal.value)
    assert started == []
    assert f"{MANAGER}, {OWNER}. Give each another one" in said
    assert f"manage.py changepassword {MANAGER}; manage.py changepassword {OWNER}" in said
    assert PRODUCTION not in said.partition("knows:")[2] and INSTALLER not in said


def test_once_they_are_changed_it_starts(demonstration, started, settings):
    settings.PRODUCTION = True
    for user in User.objects.all():
        user.set_password("gull on slate and rain")
        user.save()
    other = User.objects.create_user("somebody", password=DEMONSTRATION_PASSWORD)
    call_command("serve")
    assert [part.name for part in started] == ["web", "worker"]
    assert other.check_password(DEMONSTRATION_PASSWORD), "only the demonstration's own names are tried"


def test_in_development_they_are_as_they_should_be(demonstration, started):
    call_command("serve")
    assert [part.name for part in started] == ["web", "worker"]


def test_a_database_that_does_not_answer_yet_does_not_keep_the_site_from_starting(
    started, settings, monkeypatch
):
    def away():
        raise OperationalError("no route to host")

    settings.PRODUCTION = True
    monkeypatch.setattr(serve, "demonstration_accounts", away)
    call_command("serve")
    assert [part.name for part in started] == ["web", "worker"]
