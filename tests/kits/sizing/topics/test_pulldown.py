"""Pull-down of the demonstration's fitments."""

from dataclasses import replace

import numpy as np
import pytest

from kits.sizing.courses import PullDown, pull_downs
from kits.sizing.defaults import default_value
from kits.sizing.topics.context import Context
from kits.sizing.topics.pulldown import pull_down
from tests.kits.sizing.topics.contexts import contexts

pytestmark = pytest.mark.django_db


def by_duty(context: Context) -> dict[str, PullDown]:
    return {one.duty.code: one for one in pull_downs(context.case, context.record.duties)}


@pytest.fixture
def strong(world) -> Context:
    """A fitment that is strong enough at its duty points."""
    return next(c for c in contexts(world) if c.record.verdict == "strong enough")


def test_a_course_starts_soaked_and_the_vents_are_colder_than_the_cabin(strong):
    for one in by_duty(strong).values():
        assert one.course.air_c[0] == one.course.mass_c[0] == one.soak_c
        # common practice, no source: 55 to 65 °C soaked at 35 °C outside
        assert 55 <= one.soak_c <= 65
        assert np.all(one.vent_c < one.course.air_c)
        assert np.all(one.course.mass_c >= one.course.air_c - 1e-9)
        assert one.course.step_error_k < 0.2


def test_the_cabin_ends_where_the_sizing_says_that_it_is_held(world):
    # two ways to one temperature: the balance at the held cabin, and the course's long end with the same plant
    compared = 0
    for context in contexts(world):
        answers = {a.code: a for a in context.record.duties}
        for code, one in by_duty(context).items():
            held = answers[code].holds_c
            if held is None or one.duty.kind != "cruise" or held > 26.5:
                continue
            assert one.course.air_c[-1] > held - 1.5
            compared += 1
    assert compared > 3


def test_a_fitment_is_met_when_both_criteria_are(world):
    for context in contexts(world):
        for one in by_duty(context).values():
            in_time = one.goal_min is not None and one.goal_min <= default_value("pull_down_goal_min")
            assert one.is_met == (in_time and one.vent_judged_c <= default_value("pull_down_vent_c"))


def test_a_bigger_cabin_of_the_same_plant_takes_longer(strong):
    car = strong.case.car
    cabin = replace(car.cabin, volume_m3=1.3 * car.cabin.volume_m3)
    bigger = replace(strong, case=replace(strong.case, car=replace(car, cabin=cabin)))
    before, after = (by_duty(c)["cruise-35"].goal_min for c in (strong, bigger))
    assert before is not None
    assert after is None or after > before


def test_more_capacity_is_quicker(strong):
    more = tuple(
        replace(a, capacity_sensible_w=1.2 * (a.capacity_sensible_w or 0.0)) for a in strong.record.duties
    )
    better = replace(strong, record=replace(strong.record, duties=more))
    before, after = (by_duty(c)["cruise-35"] for c in (strong, better))
    assert after.goal_min < before.goal_min
    assert after.vent_judged_c < before.vent_judged_c


def test_the_topic_tells_the_answer_the_curves_and_what_was_assumed(strong):
    topic = pull_down(strong)
    assert topic.answer.startswith("Pull-down is ")
    (curve,) = [t for t in topic.tables if t.caption.startswith("Course")]
    assert curve.heads[2:] == tuple(f"{minute} min" for minute in range(0, 35, 5))
    cabins = {row[0]: row[2:] for row in curve.rows if row[1] == "cabin"}
    found = by_duty(strong)
    assert set(cabins) == {one.duty.name for one in found.values()}
    for one in found.values():
        assert cabins[one.duty.name][0] == f"{one.soak_c:.0f}"
        assert cabins[one.duty.name][-1] == f"{one.course.air_c[-1]:.0f}"
    assert cabins[found["cruise-35"].duty.name][0] == f"{35 + default_value('soak_rise_k'):.0f}"
    origins = [i.origin for f in topic.figures for i in f.inputs]
    assert any(o.startswith("assumed: common practice, no source") for o in origins)


def test_a_fitment_that_is_not_sized_has_no_pull_down(strong):
    bare = replace(strong, record=replace(strong.record, duties=()))
    assert pull_down(bare) is None
