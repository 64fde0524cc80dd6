"""How long certificates let somebody work."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.people.cover import SOON_DAYS, Cover, Span, cover, span_of, standing

ON = date(2026, 11, 30)
DAY = timedelta(days=1)


def span(first, last):
    """A span from and to days counted from ON."""
    return Span(*(None if days is None else ON + days * DAY for days in (first, last)))


@pytest.mark.parametrize(
    ("spans", "state", "until"),
    [
        ([span(-10, None)], "in force", None),
        ([span(None, None)], "in force", None),
        ([span(0, 61)], "in force", 61),
        ([span(0, 60)], "ends soon", 60),
        ([span(-10, 0)], "ends soon", 0),
        ([span(-10, -1)], "ended", -1),
        ([span(-30, -20), span(-19, -5)], "ended", -5),
        ([span(1, 10)], "begins later", 1),
        ([span(-9, -2), span(1, 10)], "ended", -2),
        ([span(-9, 10), span(11, 400)], "in force", 400),
        ([span(-9, 10), span(12, 400)], "ends soon", 10),
        ([span(11, None), span(-9, 10)], "in force", None),
    ],
)
def test_the_state_and_the_day_follow_from_all_certificates(spans, state, until):
    assert cover(spans, ON) == Cover(state, None if until is None else ON + until * DAY)


def test_without_any_day_there_is_nothing_in_force():
    assert cover([], ON) == Cover("ended", None)


def test_what_has_to_be_seen_to_is_what_ended_or_ends_soon():
    assert [Cover(state, None).is_ending for state in ("in force", "ends soon", "ended", "begins later")] == [
        False, True, True, False,
    ]  # fmt: skip
    assert {Cover(state, None).mark for state in ("in force", "ends soon", "ended")} == {
        "done",
        "warns",
        "blocks",
    }


def test_a_withdrawn_certificate_counts_until_the_day_before():
    assert span_of(ON, None, ON + 5 * DAY) == span(0, 4)
    assert span_of(ON, ON + 2 * DAY, ON + 5 * DAY) == span(0, 2)
    assert span_of(ON, ON + 9 * DAY, None) == span(0, 9)
    assert standing(span(-5, 100), ON, is_withdrawn=True) == "withdrawn"
    assert standing(span(-5, 100), ON, is_withdrawn=False) == "in force"


def test_the_last_day_that_the_calendar_has_is_no_end():
    assert cover([Span(ON, date.max)], ON) == Cover("in force", None)


@given(st.lists(st.tuples(st.integers(-80, 80), st.integers(0, 80)), max_size=5))
def test_it_is_what_counting_day_by_day_gives(drawn):
    spans = [span(first, first + length) for first, length in drawn]
    day = ON
    while any(one.holds(day) for one in spans):
        day += DAY
    told = cover(spans, ON)
    if day > ON:
        assert told == Cover("ends soon" if (day - DAY - ON).days <= SOON_DAYS else "in force", day - DAY)
    else:
        assert told.state in ("ended", "begins later")
