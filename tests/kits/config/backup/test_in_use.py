"""Each process of the site says that it runs until it ends, in whatever way, and none starts during a restore."""

import os
import signal
import subprocess
import sys

import pytest
from django.core.management import CommandError, call_command

from kits.config.backup import in_use
from kits.config.backup.in_use import BeingRestored, alone, hold, lock_file
from kits.config.backup.label import NotRestored
from tests.architecture.tree import ROOT

SITE = "import kits.config.wsgi; print('up', flush=True); input()"


@pytest.fixture(autouse=True)
def released():
    """What this process holds ends with the test."""
    yield
    while in_use._held:
        os.close(in_use._held.pop())


def test_while_the_site_runs_nothing_is_restored(file_database, folders):
    hold()
    hold()
    with pytest.raises(NotRestored, match="The site, or another restore, runs on this database"), alone():
        pass
    os.close(in_use._held.pop())
    with pytest.raises(NotRestored, match="The site, or another restore, runs on this database"), alone():
        pass
    os.close(in_use._held.pop())
    with alone():
        pass


def test_a_second_restore_at_once_is_told_so(file_database, folders):
    with alone(), pytest.raises(NotRestored, match="or another restore, runs on this database"), alone():
        pass


@pytest.mark.parametrize("name", ["serve", "worker"])
def test_during_a_restore_no_part_of_the_site_starts(file_database, folders, name):
    with alone():
        with pytest.raises(BeingRestored):
            hold()
        with pytest.raises(CommandError, match="^A backup is being restored. Start the site again when"):
            call_command(name)
    assert in_use._held == []


@pytest.mark.one_database
@pytest.mark.django_db
def test_a_database_in_memory_is_nobody_elses(folders):
    assert lock_file() is None
    hold()
    assert in_use._held == []


@pytest.mark.one_database
def test_a_place_that_can_not_be_written_does_not_keep_the_site_from_running(
    file_database, tmp_path, monkeypatch
):
    (tmp_path / "a file").touch()
    monkeypatch.setattr(in_use, "lock_file", lambda: tmp_path / "a file" / ".in-use")
    hold()
    assert in_use._held == []


def test_gunicorns_processes_count_too_and_do_no_more_once_they_are_killed(tmp_path, monkeypatch):
    lock = tmp_path / "k.sqlite3.in-use"
    monkeypatch.setattr(in_use, "lock_file", lambda: lock)
    environment = {**os.environ, "KITWRIGHT_DATABASE_URL": f"sqlite:///{tmp_path}/k.sqlite3"}

    def start():
        return subprocess.Popen(
            [sys.executable, "-c", SITE], cwd=ROOT, env=environment, text=True,
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        )  # fmt: skip

    with start() as site:
        assert site.stdout.readline() == "up\n"
        with pytest.raises(NotRestored), alone():
            pass
        site.send_signal(signal.SIGKILL)
        site.wait()
    with alone(), start() as refused:
        assert "A backup is being restored." in refused.stderr.read()
        assert refused.wait() == 1
