"""Duty points of the kind pull-down: judged by how soon the soaked cabin is bearable."""

from dataclasses import replace

import pytest

from kits.sizing.case.levers import levers, pulled
from kits.sizing.verdict.courses import pull_downs
from kits.sizing.verdict.pulldown_words import course_words
from kits.sizing.verdict.verdict import size
from kits.sizing.words.defaults import default_value
from tests.kits.sizing.cases import CRUISE, case, duty

PULL_DOWN = duty("pull-down", 60.0)


def weaker(of, displacement_cc: float):
    return replace(
        of, unit=replace(of.plant, compressor=replace(of.plant.compressor, displacement_cc=displacement_cc))
    )


def course_of(record):
    return next(
        c for a in record.duties if a.kind == "pull-down" for c in a.criteria if c.code == "pull-down"
    )


def test_the_criterion_is_that_of_the_course():
    asked = case(CRUISE, PULL_DOWN)
    record = size([asked])[0]
    (one,) = pull_downs(asked, record)
    assert one.duty == PULL_DOWN
    assert course_of(record).sentence == course_words(one)
    in_time = one.goal_min is not None and one.goal_min <= default_value("pull_down_goal_min")
    assert course_of(record).is_met == (in_time and one.vent_judged_c <= default_value("pull_down_vent_c"))


@pytest.mark.parametrize("displacement_cc", [146.0, 30.0])
def test_a_required_pull_down_that_is_not_met_decides(displacement_cc):
    record = size([weaker(case(PULL_DOWN), displacement_cc)])[0]
    assert record.worst_duty_point == "pull-down"
    assert (record.verdict == "not enough") != course_of(record).is_met
    assert record.margin_share is None


def test_a_pull_down_for_information_does_not_decide():
    asked = weaker(case(PULL_DOWN), 30.0)
    told = size([replace(asked, duties=(CRUISE, replace(PULL_DOWN, required=False)))])[0]
    alone = size([replace(asked, duties=(CRUISE,))])[0]
    assert not course_of(told).is_met
    assert told.verdict == alone.verdict
    assert told.margin_share == pytest.approx(alone.margin_share, rel=1e-9)


def test_the_points_of_the_road_are_answered_as_without_it():
    with_it, without = size([case(CRUISE, PULL_DOWN)])[0], size([case(CRUISE)])[0]
    told, alone = with_it.duties[0], without.duties[0]
    assert told.criteria == alone.criteria
    for name in ("load_w", "capacity_w", "margin_share", "holds_c", "vent_c", "high_side_bar_g"):
        assert getattr(told, name) == pytest.approx(getattr(alone, name), rel=1e-9)


def test_one_that_lacks_an_input_is_not_sized():
    record = size([case(PULL_DOWN, crank_pulley_mm=None)])[0]
    assert record.verdict == "not sized"
    assert record.missing[0].path == "powertrain.crank_pulley_mm"


def test_a_change_turns_the_verdict_only_if_the_pull_down_is_met_with_it(sampled):
    found = weaker(case(PULL_DOWN), 75.0)
    record = size([found])[0]
    changes = {lever.code: changed for lever in levers() if (changed := pulled(found, lever))}
    assert record.verdict == "not enough"
    assert record.levers
    assert all(lever.eases.startswith("cabin at the end of the pull-down") for lever in record.levers)
    for lever in sampled([one for one in record.levers if one.code in changes], 2):
        again = size([changes[lever.code]])[0]
        assert (again.verdict, course_of(again).is_met) == (lever.verdict, lever.verdict != "not enough")
