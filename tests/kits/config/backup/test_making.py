"""A backup that can't be made leaves nothing, and says why."""

import json
import resource
from contextlib import contextmanager
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.core.management.base import OutputWrapper
from django.db import connection

from kits.config.backup import making
from kits.config.backup.label import BEFORE_UPDATE, BY_HAND, LABEL_FILE, NotBackedUp, read_label
from kits.config.backup.making import backup_before_update, make_backup, program_version, sha256_of
from kits.config.backup.shelf import LOCK_FILE, labels, places
from kits.files.store import path_of


@contextmanager
def no_file_larger_than(count):
    """The system refuses to write further, as it does on a full disk."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (count, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)


def test_the_label_says_what_is_in_it(site, settings):
    made = make_backup(made_by=BY_HAND)
    label = read_label(made.place)
    assert label == made.label
    assert label.holds.keys() == {"cars", "kits", "fitments", "people"}
    assert label.holds["cars"] > 5 and label.holds["kits"] > 1 and label.holds["people"] == 0
    assert (label.database, label.made_by, label.program) == (connection.vendor, BY_HAND, program_version())
    assert (label.files_count, label.lost) == (3, ())
    assert sha256_of(made.place / label.database_file) == label.sha256
    assert {path.name for path in made.place.iterdir()} == {
        LABEL_FILE, "files", "files.txt", label.database_file,
    }  # fmt: skip
    assert set(json.loads((made.place / LABEL_FILE).read_text())) >= {"made_at", "migrations"}
    assert str(made.place) in made.sentence and "3 files" in made.sentence


@pytest.mark.one_database
def test_it_can_be_made_elsewhere(site, settings, tmp_path, command):
    printed = command("backup", "--to", str(tmp_path / "a disk" / "of mine"))
    (place, _) = next(labels(tmp_path / "a disk" / "of mine"))
    assert str(place) in printed
    assert places(settings.BACKUP_DIR) == []


def test_a_disk_that_takes_no_more_leaves_nothing_half(site, settings):
    whole = make_backup(made_by=BY_HAND).place
    with no_file_larger_than(20_000), pytest.raises(NotBackedUp):
        make_backup(made_by=BY_HAND)
    assert {path.name for path in settings.BACKUP_DIR.iterdir()} == {LOCK_FILE, whole.name}
    read_label(make_backup(made_by=BY_HAND).place)


@pytest.mark.one_database
def test_files_for_which_there_is_no_room_leave_nothing_half(site, settings, monkeypatch):
    path = path_of(settings.FILES_DIR, site[0].sha256)

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(making.files, "get", full)
    with pytest.raises(NotBackedUp, match="No space left on device. Nothing of it is left there"):
        make_backup(made_by=BY_HAND)
    assert places(settings.BACKUP_DIR) == [] and path.exists()
    assert [path.name for path in settings.BACKUP_DIR.iterdir()] == [LOCK_FILE]


@pytest.mark.one_database
def test_a_folder_that_can_not_be_made_is_told(site, settings, tmp_path):
    settings.BACKUP_DIR = tmp_path / "a file" / "backups"
    (tmp_path / "a file").touch()
    with pytest.raises(CommandError, match=r"No backup was made in .*a file/backups: Not a directory"):
        call_command("backup")


@pytest.mark.one_database
def test_a_file_that_is_lost_does_not_keep_the_rest_from_being_backed_up(site, settings):
    path_of(settings.FILES_DIR, site[0].sha256).unlink()
    made = make_backup(made_by=BY_HAND)
    assert made.label.lost == (site[0].sha256,)
    assert "1 files that rows name are missing or damaged" in made.sentence


@pytest.mark.one_database
@pytest.mark.django_db
def test_a_database_in_memory_has_no_backup(folders):
    with pytest.raises(NotBackedUp, match="in memory only"):
        make_backup(made_by=BY_HAND)


@pytest.mark.one_database
@pytest.mark.parametrize("is_older", [True, False])
def test_before_an_update_what_is_there_is_backed_up_and_told_in_a_line(
    site, settings, monkeypatch, is_older
):
    monkeypatch.setattr(making, "has_to_migrate", lambda: is_older)
    out = StringIO()
    backup_before_update(OutputWrapper(out))
    made = list(labels(settings.BACKUP_DIR))
    assert [label.made_by for _, label in made] == [BEFORE_UPDATE] * is_older
    assert out.getvalue() == (
        f"The database is of an earlier version; it was backed up first: {made[0][0]}\n" if is_older else ""
    )


@pytest.mark.one_database
def test_a_new_database_is_not_backed_up(site, settings, monkeypatch):
    monkeypatch.setattr(making, "has_to_migrate", lambda: True)
    connection.close()
    path = Path(connection.settings_dict["NAME"])
    aside = path.rename(path.with_suffix(".aside"))
    try:
        backup_before_update(OutputWrapper(StringIO()))
    finally:
        aside.rename(path)
    assert places(settings.BACKUP_DIR) == []
