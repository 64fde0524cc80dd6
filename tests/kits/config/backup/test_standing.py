"""How the backups stand is read from the folder and from the works; neither needs the other."""

from datetime import timedelta

import pytest
from django.utils import timezone

from kits.config.backup.label import BY_HAND, LABEL_FILE, NIGHTLY
from kits.config.backup.standing import BackupFailure, BackupStanding, backup_standing
from kits.work.kind import CANCELLED, DONE, FAILED, RUNNING
from kits.work.models import Work
from tests.kits.config.backup.test_shelf import stand

pytestmark = [pytest.mark.django_db, pytest.mark.one_database, pytest.mark.usefixtures("folders")]
NOW = timezone.now().replace(second=0, microsecond=0)
HOUR = timedelta(hours=1)


def tried(state, at, sentence="No room."):
    return Work.objects.create(
        kind="backup", key=str(at), title="Backup", asked_at=at, state=state, sentence=sentence,
        ended_at=None if state == RUNNING else at,
    )  # fmt: skip


def test_at_first_there_is_none():
    assert backup_standing() == BackupStanding(None, None)


def test_the_newest_whole_one_counts_whoever_made_it(settings):
    stand(settings.BACKUP_DIR, NOW - 2 * HOUR, NIGHTLY)
    stand(settings.BACKUP_DIR, NOW - HOUR, BY_HAND)
    (stand(settings.BACKUP_DIR, NOW, BY_HAND) / LABEL_FILE).write_text("damaged")
    assert backup_standing() == BackupStanding(NOW - HOUR, None)


@pytest.mark.parametrize("state", [FAILED, CANCELLED])
def test_a_nightly_one_that_failed_is_told(settings, state):
    stand(settings.BACKUP_DIR, NOW - HOUR, NIGHTLY)
    tried(DONE, NOW - HOUR)
    work = tried(state, NOW)
    assert backup_standing() == BackupStanding(NOW - HOUR, BackupFailure(NOW, "No room.", work.pk))


def test_while_the_next_one_runs_the_last_one_counts(settings):
    work = tried(FAILED, NOW - HOUR)
    tried(RUNNING, NOW)
    assert backup_standing().last_failure == BackupFailure(NOW - HOUR, "No room.", work.pk)


def test_once_one_was_made_the_failure_before_it_is_over(settings):
    tried(FAILED, NOW - HOUR)
    stand(settings.BACKUP_DIR, NOW, BY_HAND)
    assert backup_standing() == BackupStanding(NOW, None)


def test_a_later_night_that_went_well_ends_it():
    tried(FAILED, NOW - HOUR)
    tried(DONE, NOW)
    assert backup_standing().last_failure is None


def test_a_file_in_the_place_of_the_folder_holds_none(settings):
    settings.BACKUP_DIR.touch()
    assert backup_standing() == BackupStanding(None, None)


def test_one_of_a_time_to_come_does_not_count(settings):
    for at in (NOW + 100 * 24 * HOUR, NOW + HOUR):
        stand(settings.BACKUP_DIR, at, BY_HAND)
    assert backup_standing().newest_at is None
    stand(settings.BACKUP_DIR, NOW - HOUR, BY_HAND)
    assert backup_standing().newest_at == NOW - HOUR
    stand(settings.BACKUP_DIR, NOW + HOUR / 12, BY_HAND)
    assert backup_standing().newest_at == NOW + HOUR / 12, "another machine's clock may be a little ahead"


def test_the_name_of_a_folder_does_not_make_it_the_newest(settings):
    old = stand(settings.BACKUP_DIR, NOW - 5 * HOUR, BY_HAND)
    old.rename(old.with_name("kitwright-9999-12-31T2359Z"))
    stand(settings.BACKUP_DIR, NOW - HOUR, BY_HAND)
    assert backup_standing().newest_at == NOW - HOUR
