"""What stands in the backup.json of a backup: what it holds, when and by whom it was made, and how it is checked."""

import errno
import json
import os
import re
import stat
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
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

SHA256: Final = re.compile(r"[0-9a-f]{64}")
LABEL_MOST_BYTES: Final = 1_000_000
_YEARS: Final = range(2000, 2101)
_LARGEST: Final = 2**60
_MOST_FILES: Final = 10_000_000
_PROGRAM: Final = re.compile(r"[0-9A-Za-z.+-]{1,40}")
_MIGRATION: Final = re.compile(r"[0-9A-Za-z_]{1,100}\.[0-9A-Za-z_]{1,255}")
_COUNTED: Final = re.compile(r"[a-z][a-z ]{0,39}")


class NotBackedUp(Exception):
    """No backup was made; the sentence says why and what to do."""


class NotRestored(Exception):
    """The backup was not put back; the sentence says why and what to do."""


class NoLabel(NotRestored):
    """The folder is no backup, or its backup.json can't be read."""


@dataclass(frozen=True, kw_only=True)
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
        text = read_regular(path, LABEL_MOST_BYTES).decode("utf-8")
    except (OSError, UnicodeDecodeError):
        raise NoLabel(
            f"{place} is no backup of Kitwright: there is no {LABEL_FILE} in it that can be read. "
            "Name the dated folder, such as kitwright-2026-03-01T0015Z."
        ) from None
    try:
        return _label(json.loads(text))
    except (ValueError, TypeError, KeyError, OverflowError, RecursionError):
        raise NoLabel(f"{path} is damaged, or of a version of Kitwright that this one can't read.") from None


def read_regular(path: Path, most_bytes: int) -> bytes:
    """The content of an ordinary file: a link, a pipe, a device or a larger one is not even begun. Raises OSError."""
    refuse_irregular(path)
    handle = os.open(path, os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK)
    with os.fdopen(handle, "rb") as file:
        content = file.read(most_bytes + 1)
    if len(content) > most_bytes:
        raise OSError(errno.EFBIG, f"it is larger than {most_bytes} bytes")
    return content


def refuse_irregular(path: Path) -> os.stat_result:
    """What the disk says of an ordinary file. Raises OSError for what is none, or a link."""
    found = path.lstat()
    if not stat.S_ISREG(found.st_mode):
        raise OSError(errno.EINVAL, "it is no ordinary file")
    return found


def printable(text: str) -> str:
    r"""For a terminal: signs that would steer it are written out, as \x1b."""
    return "".join(
        sign if sign.isprintable() else sign.encode("unicode_escape").decode("ascii") for sign in text
    )


def _label(told: Any) -> Label:
    """Raises ValueError, TypeError, KeyError or OverflowError for what is no label."""
    if not isinstance(told, dict) or not isinstance(told["holds"], dict):
        raise TypeError(told)
    label = Label(
        **{
            **told,
            "made_at": _moment(told["made_at"]),
            "migrations": tuple(_text(name, _MIGRATION) for name in _list(told["migrations"])),
            "holds": {
                _text(name, _COUNTED): _count(count, _LARGEST) for name, count in told["holds"].items()
            },
            "lost": tuple(_text(name, SHA256) for name in _list(told["lost"])),
        }
    )
    if _count(label.schema, SCHEMA) != SCHEMA or label.made_by not in MAKERS:
        raise ValueError(label)
    DATABASE_FILES[label.database]
    _text(label.program, _PROGRAM)
    for sha256 in (label.sha256, label.list_sha256):
        _text(sha256, SHA256)
    for size in (label.size_bytes, label.files_bytes):
        _count(size, _LARGEST)
    _count(label.files_count, _MOST_FILES)
    return label


def _moment(told: Any) -> datetime:
    at = datetime.fromisoformat(told)
    if at.tzinfo is None or at.year not in _YEARS:
        raise ValueError(told)
    return at.astimezone(UTC)


def _text(told: Any, form: re.Pattern[str]) -> str:
    if not isinstance(told, str) or not form.fullmatch(told):
        raise ValueError(told)
    return told


def _count(told: Any, most: int) -> int:
    if type(told) is not int or not 0 <= told <= most:
        raise ValueError("no number in its range")
    return told


def _list(told: Any) -> list[Any]:
    if not isinstance(told, list):
        raise TypeError(told)
    return told
