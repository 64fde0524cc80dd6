"""What topics show is what they say: pictures of the demonstration's fitments against courses, budgets and bands."""

import numpy as np
import pytest

from kits.documents.topic_pictures import can_be_drawn
from kits.sizing.case.charging_budget import LIGHTS, budget_of
from kits.sizing.gas.readings import expected_bands
from kits.sizing.verdict.courses import pull_downs, warm_ups
from kits.sizing.verdict.winter import winter, winter_points
from kits.sizing.words.defaults import default_value
from kits.topics.cabin.heating import heating
from kits.topics.cabin.pulldown import pull_down
from kits.topics.cabin.spot import spot
from kits.topics.circuit.readings import readings
from kits.topics.electrics.electrics import electrics
from kits.topics.every import topics_of
from kits.topics.figure import Topic
from tests.kits.topics.contexts import contexts


def pictures(topic: Topic | None) -> dict[str, object]:
    """The pictures by code; the codes tell them apart."""
    found = topic.pictures if topic else ()
    assert len({one.code for one in found}) == len(found)
    return {one.code: one for one in found}


def test_every_picture_can_be_drawn(world):
    count = 0
    for context in contexts(world)[::4]:
        for topic in topics_of(context):
            for one in topic.pictures:
                assert can_be_drawn(one), (topic.code, one.code)
                assert one.words and one.caption and one.x_label
                count += 1
    assert count > 40


def test_a_pull_down_shows_its_course_and_what_is_asked(world):
    reached = 0
    for context in contexts(world):
        shown = pictures(pull_down(context))
        for one in pull_downs(context.case, context.record):
            picture = shown[f"course-{one.duty.code}".lower()]
            cabin = picture.lines[0]
            at = np.interp(np.array(cabin.x) * 60, one.course.seconds, one.course.air_c)
            assert cabin.y == pytest.approx(at, abs=0.01)
            asked = picture.spots[0]
            assert (asked.x, asked.y) == (
                default_value("pull_down_goal_min"),
                default_value("pull_down_goal_c"),
            )
            for place in picture.spots[1:-1]:
                # where the cabin's line crosses what is asked
                assert np.interp(place.x, cabin.x, cabin.y) == pytest.approx(place.y, abs=0.2)
                reached += 1
    assert reached > 5


def test_a_warm_up_shows_where_the_target_is_reached(world):
    context = next(c for c in contexts(world) if "heater matrix" in c.kit.plant)
    shown = pictures(heating(context))
    state = winter(winter_points(context.case, context.record.duties), context.case.matrix)
    ups = warm_ups(context.case, state)
    assert {f"warm-up-{up.code}" for up in ups} == set(shown)
    for up in ups:
        picture = shown[f"warm-up-{up.code}"]
        assert bool(picture.spots) == (up.goal_min is not None)
        for place in picture.spots:
            assert np.interp(place.x, picture.lines[0].x, picture.lines[0].y) == pytest.approx(
                place.y, abs=0.3
            )


def test_charging_shows_the_generator_beside_car_and_kit(world):
    drawn = 0
    for context in contexts(world):
        budget = budget_of(context.case)
        shown = pictures(electrics(context)).get("charging")
        if shown is None:
            assert not budget.loads or all(s.generator_a is None for s in budget.states)
            continue
        taken = [bar.value for bar in shown.bars[-3:]]
        assert taken == pytest.approx([budget.loads[light] + budget.kit_a for light in LIGHTS], abs=0.05)
        for state in (s for s in budget.states if s.generator_a is not None):
            value = next(b.value for b in shown.bars if state.name in b.label)
            # what is left, told in the table, is the difference of two bars; at idle the blower takes less
            wanted = next(
                (b.value for b in shown.bars if b.label == "car and kit take by day after the idle"), taken[0]
            )
            asked = wanted if state.kind.idles else taken[0]
            assert value - asked == pytest.approx(budget.spare_a(state, "day"), abs=0.11)
            assert asked <= taken[0]
        drawn += 1
    assert drawn > 10


def test_expected_readings_show_the_bands_of_the_table(world):
    context = next(c for c in contexts(world) if c.kit.settings["refrigerant"] == "R-134a")
    shown = pictures(readings(context))
    low, high = shown["pressures"].bands
    # the row 20 °C, 50 % of the practice table: high side 9 to 11 bar g
    assert (high.low[0], high.high[0]) == (9.0, 11.0)
    last = expected_bands(40.0, 0.5)
    assert (low.low[-1], low.high[-1]) == pytest.approx(last.of("low_bar_g"), rel=1e-4)
    assert (shown["vents"].bands[0].low[0], shown["vents"].bands[0].high[0]) == (3.0, 6.0)


def test_what_reaches_a_face_is_shown_for_each_seat(world):
    context = next(c for c in contexts(world) if c.case.key == ("S4-DASH", "S4", "TR12L"))
    topic = spot(context)
    shown = pictures(topic)
    seats = {seat.code for seat in context.case.car.cabin.seats}
    assert {bar.label.removeprefix("seat ") for bar in shown["face-speed"].bars} == seats
    told = next(f.text for f in topic.figures if f.label.startswith("Reaches the face at"))
    assert told in {bar.text for bar in shown["face-speed"].bars}
