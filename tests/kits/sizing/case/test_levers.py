"""What would help is told by a run: a lever pulled in the case, and that case sized alone, gives what is stored."""

from dataclasses import replace

import pytest

from kits.sizing.case.levers import levers, pulled
from kits.sizing.verdict.record import VERDICTS
from kits.sizing.verdict.verdict import size
from tests.kits.sizing.cases import case as made
from tests.kits.sizing.cases import duty
from tests.kits.topics.contexts import contexts

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


def is_close(got, stored):
    return got == pytest.approx(stored, rel=WITHIN, abs=1e-6)


def one_of_each(helped):
    """One fitment for each sentence of the smallest change."""
    return {record.smallest_change: (case, record) for case, record in helped}.values()


def test_where_nothing_turns_the_verdict_it_says_so(helped):
    without = [record for _, record in helped if record.smallest is None]
    assert without
    assert all(record.smallest_change.startswith("None of the changes") for record in without)


def test_the_smallest_change_alone_turns_the_verdict_with_the_stated_margin(helped, sampled):
    found = [(case, record) for case, record in one_of_each(helped) if record.smallest is not None]
    single = [pair for pair in found if "+" not in pair[1].smallest.code]
    stacked = [pair for pair in found if "+" in pair[1].smallest.code]
    assert len(single) >= 2
    assert stacked
    for case, record in [*sampled(single, 2), *sampled(stacked, 1)]:
        stated = record.smallest
        codes = stated.code.split("+")
        after = alone(case, codes)
        assert after.verdict == stated.verdict, (case.key, codes)
        assert VERDICTS.index(stated.verdict) < VERDICTS.index(record.verdict)
        assert is_close(after.margin_share, stated.margin_share), case.key
        assert is_close(after.margin_share - record.margin_share, stated.gain_share), case.key


def test_every_lever_of_a_fitment_alone_gives_what_is_stored(helped, sampled):
    case, record = min(helped, key=lambda pair: pair[1].margin_share)
    assert len(record.levers) >= 3
    for stated in sampled(record.levers, 3):
        after = alone(case, [stated.code])
        assert after.verdict == stated.verdict, stated.code
        assert is_close(after.margin_share, stated.margin_share), stated.code


def test_levers_are_told_best_first_and_each_helps(helped):
    for _, record in helped:
        rank = [(VERDICTS.index(a.verdict), not a.eases, -a.gain_share) for a in record.levers]
        assert rank == sorted(rank)
        assert all(a.gain_share > 0 or a.eases or a.verdict != record.verdict for a in record.levers)


def test_what_eases_a_flat_battery_is_told_though_it_brings_no_margin():
    """A dynamo that gives nothing at idle: more current helps, alone or with a faster idle."""
    dynamo = ((1200.0, 0.0), (1900.0, 22.0), (6000.0, 22.0))
    mild = (duty(outside_c=27.0), duty("idle", outside_c=27.0))
    record = size([made(*mild, charging_curve=dynamo, hot_idle_rpm=650.0, base_load_a=14.0)])[0]
    assert record.verdict == "not enough"
    eased = {a.code: a.eases for a in record.levers if a.eases}
    assert eased["alternator"].startswith("battery ")
    assert record.smallest is not None
    assert "alternator" in record.smallest.code.split("+")


def test_one_change_is_told_before_two_and_the_one_with_the_least_work_before_others(helped):
    for _, record in helped:
        turning = [a for a in record.levers if VERDICTS.index(a.verdict) < VERDICTS.index(record.verdict)]
        if turning:
            assert record.smallest.work_min == min(a.work_min for a in turning)
        elif record.smallest is not None:
            assert "+" in record.smallest.code
