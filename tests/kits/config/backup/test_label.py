"""A label says again what was written, and what is no label is refused."""

import os
from datetime import UTC, datetime, timedelta, timezone

import pytest

from kits.config.backup.label import (
    BY_HAND,
    LABEL_FILE,
    LABEL_MOST_BYTES,
    SQLITE,
    Label,
    NoLabel,
    label_text,
    printable,
    read_label,
)
from tests.kits.config.backup.rows import relabel

LABEL = Label(
    made_at=datetime(2026, 3, 1, 0, 15, tzinfo=UTC), made_by=BY_HAND, database=SQLITE, sha256="a" * 64,
    size_bytes=1, program="1.0", migrations=("kits.0001_initial",), holds={"cars": 3}, files_count=0,
    files_bytes=0, list_sha256="b" * 64, lost=("c" * 64,),
)  # fmt: skip


@pytest.fixture
def place(tmp_path):
    (tmp_path / LABEL_FILE).write_text(label_text(LABEL))
    return tmp_path


def test_it_says_what_was_written(place):
    assert read_label(place) == LABEL
    assert read_label(place).database_file == "database.sqlite3"


def test_a_folder_without_one_is_no_backup(tmp_path):
    with pytest.raises(NoLabel, match="is no backup of Kitwright"):
        read_label(tmp_path)


@pytest.mark.parametrize(
    "changed",
    [
        {"schema": 2},
        {"made_by": "somebody"},
        {"database": "oracle"},
        {"made_at": "yesterday"},
        {"made_at": "2026-03-01T00:15:00"},
        {"more": 1},
        {"migrations": None},
        {"migrations": "kits.0001_initial"},
        {"migrations": ["kits.\x1b[2J"]},
        {"made_at": "0001-01-01T00:00:00+23:59"},
        {"made_at": "9999-12-31T23:59:59-23:59"},
        {"made_at": "1999-12-31T00:00:00+00:00"},
        {"made_at": 5},
        {"holds": []},
        {"holds": {"cars": "3"}},
        {"holds": {"cars\x1b[2J": 3}},
        {"holds": {"cars": -1}},
        {"size_bytes": "1"},
        {"size_bytes": True},
        {"size_bytes": -1},
        {"size_bytes": 1.5},
        {"size_bytes": 10**400},
        {"files_bytes": 2**61},
        {"files_count": 10**8},
        {"program": "1.0\x1b[2J"},
        {"program": "\ud800"},
        {"sha256": "A" * 64},
        {"sha256": "é" * 64},
        {"list_sha256": "../../etc/passwd"},
        {"lost": ["/etc/passwd"]},
        {"schema": True},
        {"database": []},
    ],
)
def test_what_it_cannot_mean_is_refused(place, changed):
    relabel(place, **changed)
    with pytest.raises(NoLabel, match="is damaged, or of a version"):
        read_label(place)


@pytest.mark.parametrize("text", ["", "[]", "{}", "\x00", "[" * 100_000, '{"holds":' * 50_000, "null", "NaN"])
def test_what_is_no_label_is_refused(place, text):
    (place / LABEL_FILE).write_text(text)
    with pytest.raises(NoLabel, match="is damaged, or of a version"):
        read_label(place)


@pytest.mark.parametrize("put", ["pipe", "device", "link", "folder", "large"])
def test_what_is_no_small_ordinary_file_is_not_read(place, put):
    path = place / LABEL_FILE
    path.rename(place / "elsewhere")
    if put == "pipe":
        os.mkfifo(path)
    elif put == "device":
        path.symlink_to("/dev/zero")
    elif put == "link":
        path.symlink_to(place / "elsewhere")
    elif put == "folder":
        path.mkdir()
    else:
        path.write_text((place / "elsewhere").read_text() + " " * LABEL_MOST_BYTES)
    with pytest.raises(NoLabel, match="is no backup of Kitwright"):
        read_label(place)


def test_the_moment_is_said_in_utc(place):
    made_at = LABEL.made_at.astimezone(timezone(timedelta(hours=5)))
    relabel(place, made_at=made_at.isoformat())
    assert read_label(place).made_at.isoformat() == LABEL.made_at.isoformat()


def test_signs_that_would_steer_a_terminal_are_written_out():
    assert printable("site’s 2 MB\x1b[2J\r\n\x9b\udcff") == r"site’s 2 MB\x1b[2J\r\n\x9b\udcff"
