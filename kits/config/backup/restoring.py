"""Puts a backup back: it is checked as a whole before anything is touched, and what is there now is backed up first."""

import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from django.conf import settings
from django.core.management import call_command
from django.db import connection
from django.db.migrations.loader import MigrationLoader
from django.utils import timezone

from kits.config.backup import database as databases
from kits.config.backup import files
from kits.config.backup.database import Database, database, sqlite_path
from kits.config.backup.facts import Facts
from kits.config.backup.in_use import alone
from kits.config.backup.label import (
    BEFORE_RESTORE,
    KIND_NAMES,
    LABEL_FILE,
    Label,
    NotBackedUp,
    NotRestored,
    read_label,
    refuse_irregular,
)
from kits.config.backup.making import has_to_migrate, make_backup, megabytes, sha256_of
from kits.config.backup.shelf import is_to_come
from kits.files.store import Lost, NotKept

FORMER_APPS: Final = frozenset({"axes"})
"""Apps that earlier versions had; a migration of ours takes their tables away."""


@dataclass(frozen=True)
class Checked:
    """A backup that is whole and fits this site: where, its label, the sha256 of each of its files.

    holds: what is in it, counted in the database itself where that can be asked.
    """

    place: Path
    label: Label
    files: tuple[str, ...]
    holds: Mapping[str, int]

    @property
    def sentence(self) -> str:
        """What it holds."""
        held = ", ".join(f"{count} {name}" for name, count in self.holds.items())
        told = (
            f"{self.place.name}, made {self.label.made_by} on {self.label.made_at:%Y-%m-%d %H:%M} UTC by version "
            f"{self.label.program}: {held}; database {megabytes(self.label.size_bytes)}, {len(self.files)} files."
        )
        if is_to_come(self.label, timezone.now()):
            told += " Its date is to come: a clock was wrong, or backup.json was changed."
        return told


def checked(place: Path) -> Checked:
    """Look at everything in a backup, and whether this site can take it. Raises NotRestored."""
    label = read_label(place)
    held = _database()
    if label.database != held.kind:
        raise NotRestored(
            f"{place} holds a database of {KIND_NAMES[label.database]}, but KITWRIGHT_DATABASE_URL names one of "
            f"{KIND_NAMES[held.kind]}. Restore it there; rows go from one to the other by workbook only."
        )
    _refuse_newer(place, label)
    file = place / label.database_file
    try:
        is_the_same = refuse_irregular(file).st_size == label.size_bytes and sha256_of(file) == label.sha256
    except OSError as problem:
        raise NotRestored(f"{file} can't be read: {problem.strerror}.") from None
    if not is_the_same:
        raise NotRestored(f"{file} was changed since the backup was made. Take another backup.")
    found = databases.check(label.database, file)
    names = files.listed(place, label)
    if found is not None:
        _refuse_other_content(file, label, found, names)
    files.check(place, names)
    return Checked(place, label, tuple(names), label.holds if found is None else found.holds)


def restore(backup: Checked, say: Callable[[str], object], *, backs_up: bool = True) -> None:
    """Let a backup take the place of what is there. Raises NotRestored.

    say: is told each thing that was done, in a sentence; backs_up: whether what is there now is backed up first.
    """
    _refuse_other_user()
    databases.let_go()
    with alone():
        held = _database()
        held.refuse_if_used()
        if backs_up:
            _back_up_first(held, say)
        # files before the database that names them, whenever this is killed: more of them do no harm
        try:
            count = files.put_back(backup.place, backup.files, settings.FILES_DIR)
        except (NotKept, Lost, OSError) as problem:
            raise NotRestored(
                f"Not all files could be put back, so the database is as it was. {problem} Make room and restore again."
            ) from None
        say(f"{count} of {len(backup.files)} files were missing and were put back.")
        try:
            held.put_back(backup.place / backup.label.database_file)
        except OSError as problem:
            raise NotRestored(f"The database is as it was: {problem.strerror}.") from None
        say("The database is as it was when the backup was made.")
        if has_to_migrate():
            call_command("migrate", verbosity=0)
            say("The database was of an earlier version and was brought up to this one.")
        databases.let_go()


def _database() -> Database:
    try:
        return database()
    except NotBackedUp as problem:
        raise NotRestored(str(problem)) from None


def _back_up_first(held: Database, say: Callable[[str], object]) -> None:
    """Raises NotRestored."""
    try:
        if held.is_empty():
            return
        made = make_backup(made_by=BEFORE_RESTORE)
    except NotBackedUp as problem:
        raise NotRestored(
            f"What is there now could not be backed up, so nothing was changed. {problem} If it is not worth keeping, "
            "add --without-backup."
        ) from None
    say(f"What was there before was backed up first: {made.place}")


def _refuse_other_content(file: Path, label: Label, found: Facts, names: Sequence[str]) -> None:
    """Raises NotRestored where the database is not what the label says, or lacks tables."""
    other = sorted(set(found.migrations).symmetric_difference(label.migrations))
    if other:
        raise NotRestored(
            f"{file} is of another version than {LABEL_FILE} beside it says: {other[0]} stands in one of them only. "
            "Take another backup."
        )
    missing = sorted(found.files.difference(names, label.lost))
    if missing:
        raise NotRestored(
            f"{file} names files that the backup doesn't hold, such as {missing[0]}. Take another backup."
        )
    disk = MigrationLoader(None, ignore_no_migrations=True).disk_migrations
    if {f"{app}.{name}" for app, name in disk} <= set(found.migrations):
        lacking = sorted(set(connection.introspection.django_table_names()).difference(found.tables))
        if lacking:
            raise NotRestored(f"{file} lacks the table {lacking[0]}. Take another backup.")


def _refuse_newer(place: Path, label: Label) -> None:
    """Raises NotRestored for a backup with migrations that this code doesn't have."""
    disk = MigrationLoader(None, ignore_no_migrations=True).disk_migrations
    known = {f"{app}.{name}" for app, name in disk}
    known |= {f"{app}.{name}" for migration in disk.values() for app, name in migration.replaces}
    applied = [name for name in label.migrations if name.partition(".")[0] not in FORMER_APPS]
    unknown = [name for name in applied if name not in known]
    if unknown:
        raise NotRestored(
            f"{place} is of version {label.program} of Kitwright, which is newer than this one: its database has "
            f"{unknown[0]}, which is not known here. Install that version first."
        )


def _refuse_other_user() -> None:
    """What another user puts there the site could not write. Raises NotRestored."""
    for path in (sqlite_path(), settings.FILES_DIR):
        if path is not None and path.exists() and path.stat().st_uid != os.geteuid():
            raise NotRestored(f"{path} belongs to another user. Run this as the user who runs the site.")
