"""What a backup holds comes back row by row and byte by byte, whatever happened before, meanwhile and since."""

import os
import signal
from pathlib import Path

import pytest
from django.db import connection, connections, transaction

from kits.config.backup import postgresql, restoring, sqlite
from kits.config.backup.label import BEFORE_RESTORE, BY_HAND, NotRestored
from kits.config.backup.making import make_backup
from kits.config.backup.restoring import checked, restore
from kits.config.backup.shelf import labels
from kits.files.models import File
from kits.files.queries import differences
from kits.files.store import NotKept, path_of
from kits.fitment.models import Market
from kits.parts.models import Part
from tests.kits.config.backup.rows import all_rows

WIDE = "w" * 60


def told(backup):
    """Restore it, and what it says."""
    sentences = []
    restore(backup, sentences.append)
    return sentences


def in_a_process(act):
    """Let another process do something until it ends itself."""
    connections.close_all()
    child = os.fork()
    if not child:
        try:
            act()
        finally:
            os._exit(1)
    _, status = os.waitpid(child, 0)
    return status


def make_markets(first, last):
    Market.objects.bulk_create([Market(code=f"Z{n}", name=WIDE) for n in range(first, last)])


def spoil(files):
    """Change, remove and add rows, tables and files."""
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("CREATE TABLE later (part_id bigint REFERENCES kits_part (id))")
        cursor.execute("INSERT INTO later SELECT MIN(id) FROM kits_part")
        Part.objects.filter(pk=Part.objects.last().pk).update(name="another")
        File.objects.filter(pk=files[0].pk).delete()
        make_markets(0, 50)


def test_everything_comes_back_and_nothing_later_stays(site, settings, command):
    before = all_rows()
    assert sum(len(rows) for _, rows in before.values()) > 1000
    printed = command("backup")
    (place,) = settings.BACKUP_DIR.glob("kitwright-*")
    assert str(place) in printed
    spoil(site)
    path_of(settings.FILES_DIR, site[1].sha256).unlink()
    path_of(settings.FILES_DIR, site[2].sha256).write_bytes(b"damaged")
    stray = path_of(settings.FILES_DIR, "a" * 64)
    stray.parent.mkdir(exist_ok=True)
    stray.write_bytes(b"of nobody")
    printed = command("restore", str(place))
    assert "cars" in printed and "2 of 3 files were missing" in printed
    assert all_rows() == before
    assert differences() == [f"{'a' * 64} belongs to no row."]
    assert stray.exists()
    newest_key = Market.objects.order_by("pk").last()
    assert Market.objects.create(code="NEW", name="new").pk > (newest_key.pk if newest_key else 0)


def test_what_was_there_before_a_restore_can_be_had_back(site, settings):
    first = make_backup(made_by=BY_HAND)
    make_markets(0, 50)
    later = all_rows()
    told(checked(first.place))
    assert all_rows() != later
    place, label = next(labels(settings.BACKUP_DIR))
    assert label.made_by == BEFORE_RESTORE
    told(checked(place))
    assert all_rows() == later


def test_after_a_kill_in_mid_write_what_was_committed_is_backed_up_and_comes_back_and_nothing_else(site):
    make_markets(0, 20)
    connection.close()

    def write():
        make_markets(20, 40)
        with transaction.atomic():
            if connection.vendor == "sqlite":
                with connection.cursor() as cursor:
                    cursor.execute("PRAGMA cache_size = 5")  # so that pages are written before the end
            make_markets(40, 2000)
            Part.objects.update(name="half done")
            os.kill(os.getpid(), signal.SIGKILL)

    assert in_a_process(write) == signal.SIGKILL
    if connection.vendor == "sqlite":
        size = os.path.getsize(f"{connection.settings_dict['NAME']}-wal")
        assert size > 100_000, "what was half done lies beside the database"
    made = make_backup(made_by=BY_HAND)
    committed = all_rows()
    assert set(Market.objects.filter(name=WIDE).values_list("code", flat=True)) == {
        f"Z{n}" for n in range(40)
    }
    assert not Part.objects.filter(name="half done").exists()
    make_markets(50, 90)
    told(checked(made.place))
    assert all_rows() == committed


def test_a_kill_in_mid_write_after_the_backup_leaves_nothing_that_lays_itself_over_it(site):
    made = make_backup(made_by=BY_HAND)
    before = all_rows()

    def write():
        make_markets(0, 500)
        Part.objects.update(name="later")
        os.kill(os.getpid(), signal.SIGKILL)

    assert in_a_process(write) == signal.SIGKILL
    told(checked(made.place))
    assert all_rows() == before


def test_a_backup_while_somebody_writes_holds_whole_transactions(site):
    connection.close()
    reading, writing = os.pipe()

    def write():
        for number in range(0, 100_000, 2):
            with transaction.atomic():
                make_markets(number, number + 1)
                make_markets(number + 1, number + 2)
            os.write(writing, b".")

    child = os.fork()
    if not child:
        try:
            write()
        finally:
            os._exit(1)
    try:
        os.read(reading, 1)
        made = [make_backup(made_by=BY_HAND) for _ in range(3)]
    finally:
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        os.close(reading), os.close(writing)
    counts = []
    for one in made:
        told(checked(one.place))
        codes = set(Market.objects.filter(name=WIDE).values_list("code", flat=True))
        assert codes == {f"Z{n}" for n in range(len(codes))}
        counts.append(len(codes))
    assert counts == sorted(counts) and counts[0] > 0
    assert [count % 2 for count in counts] == [0, 0, 0]


def test_a_database_that_cannot_be_restored_stays_as_it_is(site, settings, monkeypatch):
    """What fails in the middle: on PostgreSQL the dump ends too soon, on SQLite the disk takes no more."""
    backup = checked(make_backup(made_by=BY_HAND).place)
    make_markets(0, 50)
    before = all_rows()
    if connection.vendor == "postgresql":
        replay = postgresql._replay
        monkeypatch.setattr(
            postgresql, "_replay",
            lambda server, writing, reading: replay(
                server, ["/bin/sh", "-c", '"$@"; exit 1', "sh", *writing], reading
            ),
        )  # fmt: skip
    else:

        def full(*_):
            raise OSError(28, "No space left on device")

        monkeypatch.setattr(sqlite.shutil, "copyfile", full)
    with pytest.raises(NotRestored, match="^The database is as it was"):
        restore(backup, lambda _: None, backs_up=False)
    monkeypatch.undo()
    assert all_rows() == before


def test_a_restore_that_is_killed_in_the_middle_leaves_what_was_there(site, monkeypatch):
    backup = checked(make_backup(made_by=BY_HAND).place)
    make_markets(0, 50)
    before = all_rows()

    def kill(*_):
        os.kill(os.getpid(), signal.SIGKILL)

    def half(source, sink, _):
        sink.write(source.read(300_000))
        sink.flush()
        kill()

    if connection.vendor == "postgresql":
        monkeypatch.setattr(postgresql.shutil, "copyfileobj", half)
    else:
        monkeypatch.setattr(Path, "replace", kill)
    assert in_a_process(lambda: restore(backup, lambda _: None, backs_up=False)) == signal.SIGKILL
    monkeypatch.undo()
    assert all_rows() == before
    restore(backup, lambda _: None)
    assert not Market.objects.filter(name=WIDE).exists()


def test_a_restore_that_is_killed_with_the_database_swapped_has_its_files(site, settings, monkeypatch):
    backup = checked(make_backup(made_by=BY_HAND).place)
    before = all_rows()
    spoil(site)
    for file in site:
        path_of(settings.FILES_DIR, file.sha256).unlink()
    held = restoring.database()
    swap = type(held).put_back

    def swap_and_kill(*arguments):
        swap(*arguments)
        os.kill(os.getpid(), signal.SIGKILL)

    monkeypatch.setattr(type(held), "put_back", swap_and_kill)
    assert in_a_process(lambda: restore(backup, lambda _: None, backs_up=False)) == signal.SIGKILL
    assert all_rows() == before
    assert differences() == []


def test_files_that_can_not_be_put_back_leave_the_database_as_it_is(site, settings, monkeypatch):
    backup = checked(make_backup(made_by=BY_HAND).place)
    make_markets(0, 50)
    before = all_rows()

    def full(*_):
        raise NotKept

    path_of(settings.FILES_DIR, site[1].sha256).unlink()
    monkeypatch.setattr("kits.config.backup.files.put", full)
    with pytest.raises(NotRestored, match="^Not all files could be put back, so the database is as it was"):
        restore(backup, lambda _: None, backs_up=False)
    assert all_rows() == before


def test_an_older_backup_is_brought_up_to_this_version(site, monkeypatch):
    called = []
    monkeypatch.setattr(restoring, "has_to_migrate", lambda: True)
    monkeypatch.setattr(restoring, "call_command", lambda *names, **_: called.append(names))
    sentences = told(checked(make_backup(made_by=BY_HAND).place))
    assert called == [("migrate",)]
    assert "brought up to this one" in sentences[-1]


def test_the_command_can_check_without_touching_anything(site, settings, command):
    made = make_backup(made_by=BY_HAND)
    make_markets(0, 50)
    before = all_rows()
    printed = command("restore", str(made.place), "--check")
    assert "made by hand" in printed and "3 files" in printed
    assert all_rows() == before
    assert len(list(labels(settings.BACKUP_DIR))) == 1


def test_a_site_without_a_database_yet_takes_a_backup(site, settings):
    """As on a new machine: nothing is there that could be backed up first."""
    made = make_backup(made_by=BY_HAND)
    before = all_rows()
    if connection.vendor == "sqlite":
        os.unlink(connection.settings_dict["NAME"])
    else:
        with connection.cursor() as cursor:
            cursor.execute("DROP SCHEMA public CASCADE; CREATE SCHEMA public")
        connection.close()
    sentences = told(checked(made.place))
    assert not any("backed up first" in sentence for sentence in sentences)
    assert all_rows() == before
    assert differences() == []
