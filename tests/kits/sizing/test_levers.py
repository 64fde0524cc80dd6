"""What would help is told by a run: a lever pulled in the case, and that case sized alone, gives what is stored."""

import re
from dataclasses import replace

import pytest

from kits.sizing.levers import levers, pulled
from kits.sizing.record import VERDICTS
from kits.sizing.verdict import size
from tests.kits.sizing.topics.contexts import contexts

pytestmark = pytest.mark.django_db
WITHIN = 0.01


@pytest.fixture
def helped(world):
    """Fitments with an answer to what would help: case and record."""
    return [(c.case, c.record) for c in contexts(world) if c.record.levers]


def alone(case, codes):
    """The record of the case with these levers pulled one after another, sized on its own at what is required."""
    by_code = {lever.code: lever for lever in levers()}
    for code in codes:
        case = pulled(case, by_code[code])
        assert case is not None, code
    return size([replace(case, duties=tuple(d for d in case.duties if d.required))])[0]


def smallest(record):
    """The codes and the verdict of a smallest change; no codes where none turns it."""
    by_name = {lever.name: lever.code for lever in levers()}
    found = re.fullmatch(r"(.*?)(?: \(all of these together\))?: ([a-z ]+)\.", record.smallest_change)
    if found is None:
        return (), ""
    return tuple(by_name[name] for name in found[1].split("; ")), found[2]


def is_close(got, stored):
    return got == pytest.approx(stored, rel=WITHIN, abs=1e-6)


def one_of_each(helped):
    """One fitment for each sentence of the smallest change."""
    return {record.smallest_change: (case, record) for case, record in helped}.values()


def test_the_smallest_change_alone_turns_the_verdict_with_the_stated_margin(helped):
    single, stacked = 0, 0
    for case, record in one_of_each(helped):
        codes, verdict = smallest(record)
        if not codes:
            assert record.smallest_change.startswith("None of the changes"), record.smallest_change
            continue
        after = alone(case, codes)
        assert after.verdict == verdict, (case.key, codes)
        assert VERDICTS.index(verdict) < VERDICTS.index(record.verdict)
        if len(codes) == 1:
            (stated,) = [a for a in record.levers if a.code == codes[0]]
            assert is_close(after.margin_share, stated.margin_share), case.key
            assert is_close(after.margin_share - record.margin_share, stated.gain_share), case.key
        single, stacked = single + (len(codes) == 1), stacked + (len(codes) > 1)
    assert single >= 2
    assert stacked >= 1


def test_every_lever_of_a_fitment_alone_gives_what_is_stored(helped):
    case, record = min(helped, key=lambda pair: pair[1].margin_share)
    assert len(record.levers) >= 3
    for stated in record.levers:
        after = alone(case, [stated.code])
        assert after.verdict == stated.verdict, stated.code
        assert is_close(after.margin_share, stated.margin_share), stated.code


def test_levers_are_told_best_first_and_each_gains(helped):
    for _, record in helped:
        rank = [(VERDICTS.index(a.verdict), -a.gain_share) for a in record.levers]
        assert rank == sorted(rank)
        assert all(a.gain_share > 0 or a.verdict != record.verdict for a in record.levers)
