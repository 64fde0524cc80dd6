"""The folder of backups: nothing is written over, nothing half stands there, only nightly ones are cleared away."""

import dataclasses
import os
from datetime import UTC, datetime, timedelta

import pytest

from kits.config.backup.label import (
    BEFORE_RESTORE,
    BEFORE_UPDATE,
    BY_HAND,
    LABEL_FILE,
    NIGHTLY,
    NotBackedUp,
    label_text,
)
from kits.config.backup.shelf import (
    labels,
    let_go,
    name_at,
    new_place,
    one_at_a_time,
    places,
    to_let_go,
)
from tests.kits.config.backup.test_label import LABEL

AT = datetime(2026, 3, 1, 0, 15, 30, tzinfo=UTC)
DAY = timedelta(days=1)


def stand(shelf, at, made_by):
    """Put an empty backup on the shelf."""
    shelf.mkdir(exist_ok=True)
    with new_place(shelf, at) as place:
        label = dataclasses.replace(LABEL, made_at=at, made_by=made_by)
        (place / LABEL_FILE).write_text(label_text(label))
    return name_at(shelf, place)


def test_each_gets_a_name_of_its_own(tmp_path):
    stood = [stand(tmp_path, AT, BY_HAND) for _ in range(11)]
    assert [path.name for path in stood[:2]] == ["kitwright-2026-03-01T0015Z", "kitwright-2026-03-01T0015Z-2"]
    later = stand(tmp_path, AT + DAY, BY_HAND)
    assert places(tmp_path) == [later, *reversed(stood)]


def test_one_that_fails_leaves_nothing(tmp_path):
    def half():
        with new_place(tmp_path, AT) as place:
            (place / "database.sqlite3").write_bytes(b"half")
            raise OSError("full")

    with pytest.raises(OSError, match="full"):
        half()
    assert list(tmp_path.iterdir()) == []


def test_what_killed_ones_have_left_is_no_backup_and_goes_with_the_next(tmp_path):
    for name in (".unfinished-kitwright-2026-02-01T0015Z", ".going-kitwright-2026-01-01T0015Z"):
        (tmp_path / name).mkdir()
        (tmp_path / name / LABEL_FILE).write_text(label_text(LABEL))
    assert list(labels(tmp_path)) == []
    place = stand(tmp_path, AT, BY_HAND)
    assert list(tmp_path.iterdir()) == [place]


def test_what_else_lies_there_is_left_alone(tmp_path):
    (tmp_path / "kitwright-2026-03-01T0015Z").mkdir()
    (tmp_path / "notes.txt").touch()
    assert list(labels(tmp_path)) == []
    place = stand(tmp_path, AT, BY_HAND)
    assert place.name == "kitwright-2026-03-01T0015Z-2"
    assert [path for path, _ in labels(tmp_path)] == [place]
    assert places(tmp_path / "missing") == []


def test_two_are_not_made_at_once(tmp_path):
    with (
        one_at_a_time(tmp_path),
        pytest.raises(NotBackedUp, match="Another backup is being made"),
        one_at_a_time(tmp_path),
    ):
        pass
    with one_at_a_time(tmp_path):
        pass


def test_a_file_in_the_place_of_the_folder_is_told(tmp_path):
    (tmp_path / "backups").touch()
    with (
        pytest.raises(NotBackedUp, match="is a file; backups need a folder"),
        one_at_a_time(tmp_path / "backups"),
    ):
        pass


def test_of_a_year_of_nights_the_last_days_and_weeks_are_kept():
    nights = [(number, AT + number * DAY) for number in range(365)]
    gone = set(to_let_go(nights))
    kept = [AT + number * DAY for number, _ in nights if number not in gone]
    last = AT + 364 * DAY
    assert [at for at in kept if at > last - 14 * DAY] == [
        last - number * DAY for number in range(13, -1, -1)
    ]
    weeks = {tuple(at.isocalendar())[:2] for at in kept}
    assert len(weeks) == 8
    assert {at.isoweekday() for at in kept if at <= last - 14 * DAY} == {7}


def test_of_several_in_one_night_the_last_is_kept():
    assert to_let_go([(number, AT + timedelta(minutes=number)) for number in range(3)]) == [0, 1]


def test_after_a_pause_the_old_ones_stay():
    assert to_let_go([(number, AT + number * DAY) for number in range(5)]) == []


def test_only_nightly_ones_are_cleared_away(tmp_path):
    others = [stand(tmp_path, AT, made_by) for made_by in (BY_HAND, BEFORE_UPDATE, BEFORE_RESTORE)]
    nights = [stand(tmp_path, AT + number * DAY, NIGHTLY) for number in range(100)]
    assert let_go(tmp_path, AT + 100 * DAY) > 70
    left = set(places(tmp_path))
    assert {*others, *nights[-14:]} < left
    assert let_go(tmp_path, AT + 100 * DAY) == 0


def test_one_with_a_bad_label_is_passed_over(tmp_path):
    whole = stand(tmp_path, AT, BY_HAND)
    deep, pipe = (stand(tmp_path, AT + number * DAY, NIGHTLY) for number in (1, 2))
    (deep / LABEL_FILE).write_text("[" * 100_000)
    (pipe / LABEL_FILE).unlink()
    os.mkfifo(pipe / LABEL_FILE)
    assert [place for place, _ in labels(tmp_path)] == [whole]
    (tmp_path / "kitwright-２０２６-12-01T0015Z").mkdir()
    assert places(tmp_path) == [pipe, deep, whole]


def test_those_of_a_time_to_come_take_nobodys_place_and_are_told(tmp_path, caplog):
    nights = [stand(tmp_path, AT + number * DAY, NIGHTLY) for number in range(5)]
    to_come = [stand(tmp_path, AT + (1000 + number) * DAY, NIGHTLY) for number in range(30)]
    assert let_go(tmp_path, AT + 5 * DAY) == 0
    assert {*nights, *to_come} == set(places(tmp_path))
    assert len([record for record in caplog.records if "which is to come" in str(record.msg)]) == 30
