"""A label says again what was written, and what is no label is refused."""

from datetime import UTC, datetime

import pytest

from kits.config.backup.label import BY_HAND, LABEL_FILE, SQLITE, Label, NoLabel, label_text, read_label
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
    ],
)
def test_what_it_cannot_mean_is_refused(place, changed):
    relabel(place, **changed)
    with pytest.raises(NoLabel, match="is damaged, or of a version"):
        read_label(place)


@pytest.mark.parametrize("text", ["", "[]", "{}", "\x00"])
def test_what_is_no_label_is_refused(place, text):
    (place / LABEL_FILE).write_text(text)
    with pytest.raises(NoLabel, match="is damaged, or of a version"):
        read_label(place)
