"""What stands in the backup.json of a backup: what it holds, when and by whom it was made, and how it is checked."""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, Final

LABEL_FILE: Final = "backup.json"
LIST_FILE: Final = "files.txt"
"""The sha256 of each file that came along, one a line, in order."""
FILES_FOLDER: Final = "files"
SCHEMA: Final = 1

NIGHTLY: Final = "nightly"
BY_HAND: Final = "by hand"
BEFORE_UPDATE: Final = "before an update"
BEFORE_RESTORE: Final = "before a restore"
MAKERS: Final = (NIGHTLY, BY_HAND, BEFORE_UPDATE, BEFORE_RESTORE)

SQLITE: Final = "sqlite"
POSTGRESQL: Final = "postgresql"
DATABASE_FILES: Final[Mapping[str, str]] = {SQLITE: "database.sqlite3", POSTGRESQL: "database.dump"}
KIND_NAMES: Final[Mapping[str, str]] = {SQLITE: "SQLite", POSTGRESQL: "PostgreSQL"}


class NotBackedUp(Exception):
    """No backup was made; the sentence says why and what to do."""


class NotRestored(Exception):
    """The backup was not put back; the sentence says why and what to do."""


class NoLabel(NotRestored):
    """The folder is no backup, or its backup.json can't be read."""


@dataclass(frozen=True)
class Label:
    """One backup.

    sha256, size_bytes: of the database's file; migrations: those that were applied, as "app.name"; holds: what is in
    it, counted, by name; lost: files that a row names and that were missing or damaged then; list_sha256: of the list
    of files.
    """

    made_at: datetime
    made_by: str
    database: str
    sha256: str
    size_bytes: int
    program: str
    migrations: tuple[str, ...]
    holds: Mapping[str, int]
    files_count: int
    files_bytes: int
    list_sha256: str
    lost: tuple[str, ...] = ()
    schema: int = SCHEMA

    @property
    def database_file(self) -> str:
        """The name of the database's file beside the label."""
        return DATABASE_FILES[self.database]


def label_text(label: Label) -> str:
    """The label as it stands in backup.json."""
    told = {**asdict(label), "made_at": label.made_at.isoformat()}
    return json.dumps(told, indent=1, ensure_ascii=False) + "\n"


def read_label(place: Path) -> Label:
    """The label of a backup. Raises NoLabel."""
    path = place / LABEL_FILE
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        raise NoLabel(
            f"{place} is no backup of Kitwright: there is no {LABEL_FILE} in it that can be read. "
            "Name the dated folder, such as kitwright-2026-03-01T0015Z."
        ) from None
    try:
        return _label(json.loads(text))
    except (ValueError, TypeError, KeyError):
        raise NoLabel(f"{path} is damaged, or of a version of Kitwright that this one can't read.") from None


def _label(told: Mapping[str, Any]) -> Label:
    """Raises ValueError, TypeError or KeyError for what is no label."""
    label = Label(
        **{
            **told,
            "made_at": datetime.fromisoformat(told["made_at"]),
            "migrations": tuple(told["migrations"]),
            "lost": tuple(told["lost"]),
        }
    )
    if label.schema != SCHEMA or label.made_by not in MAKERS or label.made_at.tzinfo is None:
        raise ValueError(label)
    DATABASE_FILES[label.database]
    return label
