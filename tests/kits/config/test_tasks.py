"""The chores of a day are done once and forget only what nobody needs."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.contrib.sessions.models import Session
from django.utils import timezone

from kits.config.backup.label import NIGHTLY
from kits.config.backup.shelf import labels, places
from kits.config.backup.standing import BackupFailure, backup_standing
from kits.config.tasks import ask_for_chores
from kits.exchange.models import ImportPlan
from kits.files.actions import keep
from kits.files.models import File
from kits.work.kind import DONE, FAILED
from kits.work.models import Work
from tests.kits.config.backup.test_shelf import stand

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]
DAY = date(2026, 3, 1)
LONG_AGO = timedelta(days=31)


def a_plan(state, age):
    plan = ImportPlan.objects.create(
        file_name=f"{state}.xlsx", sha256="0" * 64, state=state, plan={}, catalogue_stamp=1
    )
    ImportPlan.objects.filter(pk=plan.pk).update(made_at=timezone.now() - age)
    return plan


def test_they_forget_old_works_and_plans_sessions_that_ended_and_files_without_use():
    now = timezone.now()
    old = Work.objects.create(
        kind="k", key="k", title="t", state="done", asked_at=now, ended_at=now - LONG_AGO,
        file=keep(b"of the old work", now - LONG_AGO),
    )  # fmt: skip
    applied, young = a_plan("applied", LONG_AGO), a_plan("refused", timedelta(days=1))
    gone = [a_plan(state, LONG_AGO) for state in ("refused", "ready", "overtaken")]
    Session.objects.create(session_key="ended", session_data="", expire_date=now - timedelta(days=1))
    Session.objects.create(session_key="lives", session_data="", expire_date=now + timedelta(days=1))
    assert ask_for_chores(DAY)
    work = Work.objects.get(kind="tidy")
    assert work.sentence == "Tidied away: 1 works, 3 plans, 0 sign-ins, 1 files."
    assert set(ImportPlan.objects.all()) == {applied, young}.difference(gone)
    assert [s.session_key for s in Session.objects.all()] == ["lives"]
    assert not File.objects.exists()
    assert not Work.objects.filter(pk=old.pk).exists()


def kinds(works):
    return [work.kind for work in works]


def test_they_are_asked_for_once_a_day():
    assert kinds(ask_for_chores(DAY)) == ["backup", "tidy"]
    assert ask_for_chores(DAY) == []
    assert kinds(ask_for_chores(DAY + timedelta(days=1))) == ["backup", "tidy"]


def test_one_that_was_not_asked_for_yet_is():
    ask_for_chores(DAY)
    Work.objects.filter(kind="tidy").delete()
    assert kinds(ask_for_chores(DAY)) == ["tidy"]


def test_a_night_makes_a_backup_and_clears_old_ones_away(file_database, settings, tmp_path):
    settings.BACKUP_DIR, settings.FILES_DIR = tmp_path / "backups", tmp_path / "files"
    for number in range(100):
        stand(settings.BACKUP_DIR, timezone.now() - timedelta(days=100 - number), NIGHTLY)
    ask_for_chores(DAY)
    work = Work.objects.get(kind="backup")
    place, label = next(labels(settings.BACKUP_DIR))
    assert (work.state, label.made_by) == (DONE, NIGHTLY)
    assert str(place) in work.sentence
    assert work.result["cleared"] > 70
    assert len(places(settings.BACKUP_DIR)) == 101 - work.result["cleared"]


def test_a_backup_that_fails_is_told_and_the_other_chores_are_done(settings, tmp_path, caplog):
    settings.BACKUP_DIR = tmp_path / "backups"
    settings.BACKUP_DIR.touch()
    ask_for_chores(DAY)
    failed, done = Work.objects.get(kind="backup"), Work.objects.get(kind="tidy")
    assert (failed.state, done.state) == (FAILED, DONE)
    assert failed.sentence == f"{settings.BACKUP_DIR} is a file; backups need a folder."
    assert backup_standing().last_failure == BackupFailure(failed.ended_at, failed.sentence, failed.pk)
    assert any(line.levelname == "ERROR" and failed.sentence in str(line.msg) for line in caplog.records)


def test_managers_are_shown_that_it_failed_and_led_to_the_work(settings, tmp_path, clients):
    settings.BACKUP_DIR = tmp_path / "backups"
    assert "There is no backup yet." in clients["manager"].get("/").content.decode()
    stand(settings.BACKUP_DIR, datetime(2026, 2, 28, 0, 15, tzinfo=UTC), NIGHTLY)
    Work.objects.create(
        kind="backup", key="k", title="Backup", asked_at=timezone.now(), ended_at=timezone.now(), state=FAILED,
        sentence="No room.",
    )  # fmt: skip
    page = clients["manager"].get("/").content.decode()
    assert ">2026-02-28 00:15 UTC</time>" in page
    assert "failed: No room." in page
    address = f"/works/{Work.objects.get(kind='backup').pk}/"
    assert f'href="{address}"' in page
    assert "No room." in clients["manager"].get(address).content.decode()
    assert "No room." not in clients["owner"].get("/").content.decode()
