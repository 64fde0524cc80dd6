"""On which days something begins or ends, and between which of them a day lies."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from kits.bom.catalogue import SupersessionSpec, between_changes
from tests.kits.bom.sample import (
    CAR,
    KIT,
    ON,
    PARTS,
    POSITIONS,
    resolved,
    with_part,
    with_position,
    with_step,
)

DAY = timedelta(days=1)
LONG_AGO, SOON = date(2020, 1, 1), ON + 7 * DAY


@pytest.mark.parametrize(
    ("days", "interval"),
    [
        ([], (None, None)),
        ([SOON], (None, SOON)),
        ([LONG_AGO], (LONG_AGO, None)),
        ([SOON, LONG_AGO, ON + DAY], (LONG_AGO, ON + DAY)),
        ([ON], (ON, None)),
        ([ON - DAY, ON, ON + DAY], (ON, ON + DAY)),
    ],
)
def test_a_day_lies_between_the_last_change_and_the_next(days, interval):
    assert between_changes(days, ON) == interval


def test_a_kit_without_days_holds_for_ever():
    assert resolved().days == frozenset()


def renewed(position):
    """The position with its first entry ending, and another one of the same part from that day on."""
    first = position.entries[0]
    later = replace(first, number=99, start=SOON)
    return with_position(position.number, entries=(replace(first, end=SOON), later, *position.entries[1:]))


def test_an_entry_that_begins_and_one_that_ends_are_told():
    position = next(p for p in POSITIONS if p.entries)
    assert resolved(renewed(position)).days == {SOON}


def test_a_step_that_begins_is_told_whether_it_is_in_force_or_not():
    kit = with_step(KIT.steps[0].key, start=SOON, end=SOON + DAY)
    assert resolved(kit).days == {SOON, SOON + DAY}


def test_a_revision_to_come_and_a_successor_are_told_of_parts_that_are_used_and_of_no_other():
    used = resolved().items[0].part
    part = next(p for p in PARTS if p.number == used)
    revisions = (replace(part.revisions[0], end=SOON), replace(part.revisions[0], revision="Z", start=SOON))
    superseded = (SupersessionSpec("other", LONG_AGO, both_ways=True),)
    parts = with_part(used, revisions=revisions, superseded=superseded)
    assert resolved(parts=parts).days == {LONG_AGO, SOON}
    stranger = replace(part, number="stranger", revisions=revisions)
    assert resolved(parts=(*PARTS, stranger), car=CAR).days == frozenset()
