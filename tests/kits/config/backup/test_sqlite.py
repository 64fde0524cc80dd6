"""A database of SQLite is copied, checked and put back as one file, with nothing of the old one beside it."""

import shutil
import sqlite3
from contextlib import closing

import pytest

from kits.config.backup import sqlite
from kits.config.backup.label import NotBackedUp, NotRestored

DAMAGE = b"\xff" * 4096


def opened(path):
    held = sqlite3.connect(path, isolation_level=None)
    held.execute("PRAGMA journal_mode=WAL")
    held.execute("PRAGMA wal_autocheckpoint=0")
    return closing(held)


@pytest.fixture
def database(tmp_path):
    """A thousand rows of the number 1."""
    path = tmp_path / "a site" / "k.sqlite3"
    path.parent.mkdir()
    with opened(path) as held:
        held.execute("CREATE TABLE t (id INTEGER PRIMARY KEY, n INTEGER, wide TEXT)")
        write(held, 1)
    return path


def write(held, number):
    held.execute("BEGIN")
    held.execute("DELETE FROM t")
    held.executemany("INSERT INTO t VALUES (?, ?, ?)", [(row, number, "w" * 200) for row in range(1000)])
    held.execute("COMMIT")


def numbers(path):
    with closing(sqlite3.connect(path)) as held:
        return {number for (number,) in held.execute("SELECT n FROM t")}


@pytest.fixture
def backup(database, tmp_path):
    file = tmp_path / "database.sqlite3"
    sqlite.dump(database, file)
    return file


@pytest.fixture
def left_beside(database, tmp_path):
    """The database of another state, as a killed writer leaves it: its newest rows lie in the file beside it."""
    with opened(database) as held:
        write(held, 2)
        kept = tmp_path / "killed"
        kept.mkdir()
        for path in database.parent.iterdir():
            shutil.copy(path, kept / path.name)
    for path in kept.iterdir():
        shutil.copy(path, database.parent / path.name)
    wal = database.with_name("k.sqlite3-wal")
    assert wal.stat().st_size > 100_000
    return wal


def test_rows_that_lie_beside_the_database_are_backed_up(database, left_beside, tmp_path):
    sqlite.dump(database, tmp_path / "copy.sqlite3")
    assert numbers(tmp_path / "copy.sqlite3") == {2}


def test_a_backup_is_one_file(backup):
    assert [path.name for path in backup.parent.iterdir() if path.is_file()] == [backup.name]
    with pytest.raises(NotRestored, match="is no database of Kitwright"):
        sqlite.check(backup)
    assert [path.name for path in backup.parent.iterdir() if path.is_file()] == [backup.name]


def test_what_lies_beside_the_old_database_does_not_lay_itself_over_the_new_one(
    database, backup, left_beside
):
    sqlite.put_back(backup, database)
    assert not left_beside.exists()
    assert numbers(database) == {1}


def test_it_would_have_done_so(database, backup, left_beside):
    """The fault that the test before this one guards against."""
    shutil.copyfile(backup, database)
    assert numbers(database) == {2}


def test_a_damaged_database_is_not_backed_up_but_can_be_replaced(database, backup, tmp_path):
    content = database.read_bytes()
    database.write_bytes(content[:8192] + DAMAGE + content[8192 + len(DAMAGE) :])
    with pytest.raises(NotBackedUp, match="could not copy .*k.sqlite3"):
        sqlite.dump(database, tmp_path / "copy.sqlite3")
    assert not sqlite.is_empty(database)
    sqlite.refuse_if_used(database)
    sqlite.put_back(backup, database)
    assert numbers(database) == {1}


def test_what_is_no_database_at_all_can_be_replaced(database, backup):
    database.write_bytes(b"no database " * 1000)
    sqlite.refuse_if_used(database)
    sqlite.put_back(backup, database)
    assert numbers(database) == {1}


def test_a_damaged_file_is_found(backup):
    content = backup.read_bytes()
    backup.write_bytes(content[:8192] + DAMAGE + content[8192 + len(DAMAGE) :])
    with pytest.raises(NotRestored, match="no whole database"):
        sqlite.check(backup)


@pytest.mark.parametrize("statement", ["SELECT * FROM t", "BEGIN IMMEDIATE"])
def test_a_database_that_another_program_has_open_is_refused(database, statement):
    with opened(database) as held:
        held.execute(statement).fetchone()
        with pytest.raises(NotRestored, match=r"Another program has .* open"):
            sqlite.refuse_if_used(database)
    sqlite.refuse_if_used(database)


def test_a_copy_that_fails_leaves_the_database_and_nothing_half(database, backup):
    backup.unlink()
    before = sorted(database.parent.iterdir())
    with pytest.raises(OSError, match="No such file"):
        sqlite.put_back(backup, database)
    assert sorted(database.parent.iterdir()) == before
    assert numbers(database) == {1}


def test_an_empty_database_has_nothing_to_back_up(database, tmp_path):
    empty = tmp_path / "empty.sqlite3"
    assert sqlite.is_empty(empty)
    empty.touch()
    assert sqlite.is_empty(empty)
    assert not sqlite.is_empty(database)
