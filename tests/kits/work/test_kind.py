"""Chunks are cut by time, and the time left follows the pace."""

import pytest

from kits.work.kind import next_count, time_left_s


@pytest.mark.parametrize(
    ("count", "took_s", "expected"),
    [(10, 5.0, 10), (10, 10.0, 5), (10, 4.0, 12), (10, 0.1, 15), (1, 60.0, 1), (1, 0.1, 2), (4, 0.0, 6)],
)
def test_the_next_chunk_takes_about_five_seconds_and_is_at_most_half_larger(count, took_s, expected):
    assert next_count(count, took_s) == expected


def test_the_time_left_follows_the_pace_since_the_work_was_taken():
    assert time_left_s(done=30, of=100, before=20, took_s=5.0, since_s=0.0) == 35.0
    assert time_left_s(done=30, of=100, before=20, took_s=5.0, since_s=2.0) == 33.0
    assert time_left_s(done=99, of=100, before=0, took_s=5.0, since_s=2.0) == 0.0


def test_no_time_is_told_before_the_first_chunk():
    assert time_left_s(done=20, of=100, before=20, took_s=5.0, since_s=0.0) is None
