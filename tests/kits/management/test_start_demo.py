"""manage.py start_demo: what `make run` does before it serves."""

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command

from kits.config.backup.label import NotBackedUp
from kits.exchange.actions import DEMONSTRATIONS, import_demonstration
from kits.fitment.models import SizedFitment
from kits.management.commands import start_demo
from kits.people.queries import DEMONSTRATION_PASSWORD
from vehicles.catalogue.models import Variant
from vehicles.records.access import ROLES

pytestmark = pytest.mark.django_db


@pytest.fixture
def of_one_line(monkeypatch):
    """The first workbook alone: that all of them load and are sized is the business of the world's own test."""
    monkeypatch.setattr(
        start_demo, "import_demonstration", lambda actor: import_demonstration(actor, DEMONSTRATIONS[:1])
    )


@pytest.mark.usefixtures("of_one_line")
def test_an_empty_database_becomes_a_site_to_try_and_a_second_run_loses_nothing(command, settings, tmp_path):
    settings.VAR_DIR = tmp_path
    first = command("start_demo")
    variants = list(Variant.objects.values_list("name", flat=True))
    assert len(variants) >= 6
    assert all(name in first for name in variants), "the fit table names every variant"
    for name in ("parts-list.xlsx", "checklist.pdf", "sizing-sheet.pdf"):
        assert (tmp_path / "demonstration" / name).stat().st_size > 1000
        assert str(tmp_path / "demonstration" / name) in first
    assert settings.BASE_URL in first
    assert set(User.objects.values_list("username", flat=True)) == set(ROLES)
    assert all(user.check_password(DEMONSTRATION_PASSWORD) for user in User.objects.all())

    owner = User.objects.get(username="owner")
    owner.set_password("another kettle")
    owner.save()
    sized = dict(SizedFitment.objects.values_list("pk", "sized_at"))
    written = {path: path.stat().st_mtime_ns for path in (tmp_path / "demonstration").iterdir()}

    second = command("start_demo")
    assert all(name in second for name in variants)
    assert list(Variant.objects.values_list("name", flat=True)) == variants
    assert dict(SizedFitment.objects.values_list("pk", "sized_at")) == sized
    assert {path: path.stat().st_mtime_ns for path in (tmp_path / "demonstration").iterdir()} == written
    owner.refresh_from_db()
    assert owner.check_password("another kettle")


def test_a_database_of_an_earlier_version_that_can_not_be_backed_up_is_left_as_it_is(monkeypatch):
    def fail(say):
        raise NotBackedUp("No room.")

    monkeypatch.setattr(start_demo, "backup_before_update", fail)
    monkeypatch.setattr(start_demo, "call_command", lambda *_, **__: pytest.fail("it went on"))
    with pytest.raises(
        CommandError, match="^The database is of an earlier version and is left so. No room.$"
    ):
        call_command("start_demo")
