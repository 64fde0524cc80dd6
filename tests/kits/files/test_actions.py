"""A row stands for bytes that are there; what nothing points at goes, with its bytes."""

import os
from datetime import timedelta

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from kits.files import store
from kits.files.actions import keep, tidy_files
from kits.files.models import File
from kits.files.queries import content_of, differences
from kits.work.models import Work

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]
DAY = timedelta(days=1)


@pytest.fixture(autouse=True)
def folder(settings, tmp_path):
    """A folder of its own."""
    settings.FILES_DIR = tmp_path
    return tmp_path


def old(content):
    """A file that was kept two days ago."""
    return keep(content, timezone.now() - 2 * DAY)


def aged(path):
    """Let bytes have lain there for two days."""
    at = (timezone.now() - 2 * DAY).timestamp()
    os.utime(path, (at, at))
    return path


def test_the_same_bytes_are_one_row_which_is_as_young_as_who_kept_them_last():
    first, now = old(b"x"), timezone.now()
    assert keep(b"x", now).pk == first.pk
    assert File.objects.get().made_at == now
    assert content_of(first) == b"x"


def test_what_nothing_points_at_goes_after_a_day_and_what_a_work_needs_stays(folder):
    needed, gone, young = old(b"needed"), old(b"gone"), keep(b"young", timezone.now())
    Work.objects.create(kind="k", key="k", title="t", asked_at=timezone.now(), file=needed)
    assert tidy_files(timezone.now() - DAY) == 1
    assert set(File.objects.all()) == {needed, young}
    assert {name for name, _ in store.names(folder)} == {needed.sha256, young.sha256} != {gone.sha256}
    assert tidy_files(timezone.now() - DAY) == 0


def test_bytes_whose_row_was_never_written_go_as_well_and_what_is_being_written_stays(folder):
    aged(store.path_of(folder, store.put(folder, b"stray")))
    aged(store.path_of(folder, store.put(folder, b"young"))).touch()
    (folder / "ab").mkdir(exist_ok=True)
    remains, writing = folder / "ab" / "1.part", folder / "ab" / "2.part"
    for path in (remains, writing):
        path.touch()
    aged(remains)
    assert tidy_files(timezone.now() - DAY) == 1
    assert len(list(store.names(folder))) == 1
    assert (remains.exists(), writing.exists()) == (False, True)


def test_bytes_that_were_lost_come_back_when_the_same_are_kept_again(folder):
    file = old(b"x")
    store.drop(folder, file.sha256)
    assert keep(b"x", timezone.now()).pk == file.pk
    assert content_of(file) == b"x"


def test_the_folder_is_compared_with_the_rows(folder, capsys):
    missing, other, good = old(b"missing"), old(b"other"), old(b"good")
    call_command("check_files")
    assert "3 files, each as it was put there." in capsys.readouterr().out
    store.drop(folder, missing.sha256)
    store.path_of(folder, other.sha256).write_bytes(b"?")
    stray = store.put(folder, b"stray")
    found = " ".join(differences())
    assert f"{missing.sha256} can't be read" in found
    assert f"{other.sha256} has other bytes" in found
    assert f"{stray} belongs to no row" in found
    assert good.sha256 not in found
    with pytest.raises(CommandError, match="3 differences found"):
        call_command("check_files")
    assert content_of(good) == b"good"
