"""A SQLite database in a backup: copied by SQLite itself, checked, and put back in the place of the old one."""

import shutil
import sqlite3
from contextlib import closing, suppress
from pathlib import Path
from typing import Any, Final

from kits.config.backup.facts import Facts, facts
from kits.config.backup.label import NotBackedUp, NotRestored
from kits.config.backup.shelf import settle

BESIDE: Final = ("-wal", "-shm", "-journal")
"""What SQLite keeps beside a database: it would lay an old one over a file that was put in its place."""
_WAIT_S: Final = 20
_ALWAYS_THERE: Final = frozenset({"django_migrations", "auth_user"})
# What acts by itself once the database is used. No migration makes any.
_ACTING: Final = (
    "SELECT CASE WHEN type = 'table' THEN 'virtual table' ELSE type END, name FROM sqlite_master "
    "WHERE type IN ('trigger', 'view') OR sql LIKE 'CREATE VIRTUAL%' ORDER BY name"
)


def is_empty(source: Path) -> bool:
    """Whether there is nothing to back up."""
    if not source.exists() or not source.stat().st_size:
        return True
    with suppress(sqlite3.Error), closing(_reading(source)) as held:
        return not _tables(held)
    return False


def dump(source: Path, target: Path) -> Facts:
    """Copy the database as it stands at one moment, whoever writes meanwhile. Raises NotBackedUp, OSError."""
    try:
        with closing(_reading(source)) as running, closing(sqlite3.connect(target)) as copy:
            running.backup(copy)
            copy.execute("PRAGMA journal_mode=DELETE")  # one file, with nothing beside it
            _sound(copy)
            found = facts(_tables(copy), lambda question: _rows(copy, question))
    except sqlite3.Error as problem:
        raise NotBackedUp(f"SQLite could not copy {source} to the folder of backups: {problem}.") from None
    return found


def check(file: Path) -> Facts:
    """Make sure that a file is a database of this program, without a fault; what is in it. Raises NotRestored."""
    try:
        with closing(_reading(file, "&immutable=1")) as held:
            held.execute("PRAGMA trusted_schema=OFF")
            _sound(held)
            acting = _rows(held, _ACTING)
            found = facts(_tables(held), lambda question: _rows(held, question))
    except sqlite3.Error as problem:
        raise NotRestored(f"{file} is no whole database: {problem}.") from None
    if acting:
        raise NotRestored(
            f"{file} has the {acting[0][0]} {acting[0][1]}, which Kitwright doesn't make: it was changed. "
            "Take another backup."
        )
    if not found.migrations or not found.tables.issuperset(_ALWAYS_THERE):
        raise NotRestored(f"{file} is no database of Kitwright. Take another backup.")
    return found


def refuse_if_used(target: Path) -> None:
    """Make sure that nobody has the database open, and let SQLite take away what it keeps beside it.

    A damaged one can't be asked, and is nobody's. Raises NotRestored.
    """
    if not target.exists():
        return
    try:
        with closing(sqlite3.connect(target, timeout=0, isolation_level=None)) as held:
            mode = _rows(held, "PRAGMA journal_mode=DELETE")
            held.execute("BEGIN EXCLUSIVE")
            held.execute("ROLLBACK")
    except sqlite3.DatabaseError as problem:
        if problem.sqlite_errorname.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
            raise _used(target) from None
        if problem.sqlite_errorname.startswith(("SQLITE_CORRUPT", "SQLITE_NOTADB")):
            return
        raise NotRestored(f"{target} can't be written: {problem}.") from None
    if mode != [("delete",)]:
        raise _used(target)


def put_back(file: Path, target: Path) -> None:
    """Put a checked file in the place of the database: whatever happens, either of them is there. Raises OSError."""
    beside = target.with_name(f"{target.name}.restored")
    try:
        shutil.copyfile(file, beside)
        if target.exists():
            shutil.copymode(target, beside)
        settle(beside)
        for ending in BESIDE:
            target.with_name(f"{target.name}{ending}").unlink(missing_ok=True)
        beside.replace(target)
    finally:
        beside.unlink(missing_ok=True)
    settle(target.parent)


def _reading(path: Path, how: str = "") -> sqlite3.Connection:
    return sqlite3.connect(f"{path.as_uri()}?mode=ro{how}", uri=True, timeout=_WAIT_S)


def _sound(held: sqlite3.Connection) -> None:
    """Raises sqlite3.DatabaseError."""
    told = _rows(held, "PRAGMA integrity_check(1)")
    if told != [("ok",)]:
        raise sqlite3.DatabaseError(f"its check says “{told[0][0]}”")


def _tables(held: sqlite3.Connection) -> set[str]:
    return {name for (name,) in _rows(held, "SELECT name FROM sqlite_master WHERE type = 'table'")}


def _rows(held: sqlite3.Connection, question: str) -> list[tuple[Any, ...]]:
    return held.execute(question).fetchall()


def _used(target: Path) -> NotRestored:
    return NotRestored(f"Another program has {target} open. Stop the site, end that program, and try again.")
