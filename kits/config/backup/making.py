"""Makes a backup: the database, then the files, then the label; it gets its name when all of it is on the disk."""

import hashlib
import tomllib
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.core.management.base import OutputWrapper
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.utils import timezone

from kits.config.backup import files
from kits.config.backup.database import Database, database
from kits.config.backup.label import BEFORE_UPDATE, DATABASE_FILES, LABEL_FILE, Label, NotBackedUp, label_text
from kits.config.backup.shelf import labels, name_at, new_place, one_at_a_time, size_bytes


@dataclass(frozen=True)
class Made:
    """A backup that was made: where, and its label."""

    place: Path
    label: Label

    @property
    def sentence(self) -> str:
        """Where it is and how large."""
        told = (
            f"{self.place}: {megabytes(size_bytes(self.place))}, of which the database "
            f"{megabytes(self.label.size_bytes)} and {self.label.files_count} files."
        )
        if self.label.lost:
            told += (
                f" {len(self.label.lost)} files that rows name are missing or damaged in {settings.FILES_DIR}: "
                "manage.py check_files says which."
            )
        return told


def make_backup(*, made_by: str, shelf: Path | None = None) -> Made:
    """Make a backup of the site as it stands now; it may go on meanwhile. Raises NotBackedUp with a sentence.

    shelf: the folder in which its dated folder is made; None: that of the settings.
    """
    shelf = shelf or settings.BACKUP_DIR
    try:
        with one_at_a_time(shelf):
            return _make(database(), made_by, shelf, timezone.now())
    except OSError as problem:
        raise NotBackedUp(
            f"No backup was made in {shelf}: {problem.strerror}. Nothing of it is left there; the earlier ones are "
            "as they were."
        ) from problem


def backup_before_update(say: OutputWrapper) -> None:
    """Make a backup where the database is older than this code, and say so. Raises NotBackedUp."""
    if not has_to_migrate() or database().is_empty():
        return
    made = make_backup(made_by=BEFORE_UPDATE)
    say.write(f"The database is of an earlier version; it was backed up first: {made.place}")


def has_to_migrate() -> bool:
    """Whether migrations of this code wait to be applied. Raises DatabaseError."""
    executor = MigrationExecutor(connection)
    return bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))


def megabytes(count: int) -> str:
    """A number of bytes as people say it."""
    return f"{count / 1e6:.1f} MB"


def sha256_of(path: Path) -> str:
    """Of a file of any size. Raises OSError."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def program_version() -> str:
    """The version of this program, as pyproject.toml has it."""
    told = tomllib.loads((settings.BASE_DIR / "pyproject.toml").read_text(encoding="utf-8"))
    return str(told["project"]["version"])


def _make(held: Database, made_by: str, shelf: Path, at: datetime) -> Made:
    older = next((place for place, _ in labels(shelf)), None)
    with new_place(shelf, at) as place:
        file = place / DATABASE_FILES[held.kind]
        found = held.dump(file)
        taken = files.take(settings.FILES_DIR, place, older, found.files)
        label = Label(
            made_at=at, made_by=made_by, database=held.kind, sha256=sha256_of(file),
            size_bytes=file.stat().st_size, program=program_version(), migrations=found.migrations,
            holds=found.holds, files_count=taken.count, files_bytes=taken.size_bytes,
            list_sha256=taken.list_sha256, lost=taken.lost,
        )  # fmt: skip
        (place / LABEL_FILE).write_text(label_text(label), encoding="utf-8")
    return Made(name_at(shelf, place), label)
