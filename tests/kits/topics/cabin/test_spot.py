"""What reaches the faces in the demonstration's open cars."""

import math
from dataclasses import replace

import pytest

from kits.sizing.words.explain import explanation_of, named
from kits.topics.cabin.spot import spot
from kits.topics.context import Context
from kits.topics.figure import Topic
from tests.kits.exchange.demonstration.world import Key, World
from tests.kits.topics.contexts import contexts
from vehicles.heatload.inputs import Opening, Seat

TOURER: Key = ("S4-DASH", "S4", "TR12L")
COUPE: Key = ("S4-DASH", "S4", "CP12R")


def context_of(world: World, key: Key) -> Context:
    return next(c for c in contexts(world) if c.case.key == key)


def topic_of(context: Context) -> Topic:
    topic = spot(context)
    assert topic is not None
    return topic


def changed(context: Context, **cabin: object) -> Context:
    """The car with other values of its cabin."""
    car = context.case.car
    return replace(context, case=replace(context.case, car=replace(car, cabin=replace(car.cabin, **cabin))))


def opened(context: Context) -> Context:
    return changed(context, openings=(Opening("top down", 1.0, 0.5),))


def number(topic: Topic, label: str) -> float:
    return float(next(f.text for f in topic.figures if f.label.startswith(label)).split()[0])


def test_it_is_told_of_canvas_tops_and_of_no_closed_car(world: World) -> None:
    for context in contexts(world):
        canvas = any(s.kind == "canvas" for s in context.case.car.cabin.surfaces)
        assert (spot(context) is not None) == canvas, context.case.key


def test_a_small_opening_does_not_make_a_car_open_and_a_large_one_does(world: World) -> None:
    context = context_of(world, COUPE)
    assert spot(changed(context, openings=(Opening("gap", 0.04, 0.2),))) is None
    assert topic_of(opened(context)).answer.startswith("The car is open")


def test_every_figure_is_explained_and_the_topic_is_stored_as_it_stands(world: World) -> None:
    topic = topic_of(context_of(world, TOURER))
    for one in topic.figures:
        function = named(one.function)
        assert function is not None
        why = explanation_of(function)
        assert all((why.formula, why.parameters, why.returns, why.validity, why.source, why.check))


def test_the_answer_says_which_question_applies(world: World) -> None:
    context = context_of(world, TOURER)
    assert "what reaches the people" in topic_of(context).answer
    holds = replace(context, record=replace(context.record, verdict="strong enough"))
    assert "the room’s verdict applies" in topic_of(holds).answer


def test_the_air_at_the_face_is_a_hand_calculation_away_from_the_vent(world: World) -> None:
    context = context_of(world, TOURER)
    topic = topic_of(context)
    duty = next(d for d in context.record.duties if f"“{d.name}”" in topic.answer)
    areas = {o.code: o.free_area_cm2 * 1e-4 for o in context.case.plant.air_path.outlets}
    (x,) = {s.face_x_mm / 1000 for s in context.case.car.cabin.seats if s.code == "passenger" and s.face_x_mm}
    left = max(v * math.sqrt(areas[code]) for code, v in duty.vent_velocity_m_s.items()) * 4.4 / x
    assert number(topic, "Reaches the face at (passenger)") == pytest.approx(left, abs=0.06)
    assert "the air reaches the face at" in topic.answer
    assert duty.holds_c is not None
    assert duty.vent_c is not None
    strongest = max(duty.vent_velocity_m_s, key=lambda c: duty.vent_velocity_m_s[c] * math.sqrt(areas[c]))
    share = 0.8 * 4.4 * math.sqrt(areas[strongest]) / x
    air = duty.holds_c + share * (duty.vent_c - duty.holds_c)
    assert number(topic, "Air at that face") == pytest.approx(air, abs=0.06)


def test_the_distance_is_told_as_assumed(world: World) -> None:
    topic = topic_of(context_of(world, TOURER))
    (face,) = [i for i in topic.figures[0].inputs if i.label.startswith("Face")]
    assert face.origin.startswith("assumed")
    assert face.where == "cabin:tourer"


def test_an_open_car_draws_in_outside_air_and_takes_the_sun_unfiltered(world: World) -> None:
    context = context_of(world, TOURER)
    closed, opened_ = topic_of(context), topic_of(opened(context))
    assert number(opened_, "Air at that face") > number(closed, "Air at that face")
    assert number(opened_, "Sun on lap") > number(closed, "Sun on lap")
    assert number(opened_, "Feels like") > number(closed, "Feels like")


def test_nothing_is_promised_in_an_open_car_above_50_km_h(world: World) -> None:
    context = opened(context_of(world, TOURER))
    topic = topic_of(context)
    fast = {
        d.name
        for d in context.case.duties
        if (d.climate.road_speed_km_h or 0) > 50 and not d.climate.is_heating
    }
    told = {row[0] for row in topic.tables[0].rows}
    assert fast
    assert told
    assert not fast & told
    (remark,) = [r for r in topic.remarks if r.code == "too_fast_open"]
    assert all(
        name in remark.sentence
        for name in fast
        if name in {d.name for d in context.record.duties if d.vent_c}
    )
    # under a closed top road speed takes nothing from the jet
    assert "too_fast_open" not in {r.code for r in topic_of(context_of(world, TOURER)).remarks}


def test_only_fast_duty_points_leave_an_open_car_without_a_figure(world: World) -> None:
    context = opened(context_of(world, TOURER))
    fast = tuple(replace(d, climate=replace(d.climate, road_speed_km_h=80.0)) for d in context.case.duties)
    topic = topic_of(replace(context, case=replace(context.case, duties=fast)))
    assert "not known" in topic.answer
    assert topic.figures == ()


def test_a_seat_without_its_face_is_named(world: World) -> None:
    context = changed(context_of(world, TOURER), seats=(Seat("driver", "driver"),))
    topic = topic_of(context)
    assert "not known" in topic.answer
    (remark,) = topic.remarks
    assert (remark.code, remark.where) == ("face_not_surveyed", "cabin:tourer")
    assert "driver" in remark.sentence


def test_a_darker_canvas_is_hotter_above_the_heads(world: World) -> None:
    context = context_of(world, TOURER)
    paler = tuple(
        replace(s, absorptance=0.4) if s.kind == "canvas" else s for s in context.case.car.cabin.surfaces
    )
    dark, pale = topic_of(context), topic_of(changed(context, surfaces=paler))
    assert number(pale, "Inner face") < number(dark, "Inner face")
    assert number(pale, "Warm surfaces") < number(dark, "Warm surfaces")


def test_the_seats_of_the_survey_bring_their_faces(world: World) -> None:
    seats = context_of(world, TOURER).case.car.cabin.seats
    assert [(s.code, s.face_x_mm, s.face_y_mm, s.face_z_mm) for s in seats] == [
        ("driver", 760.0, -320.0, 580.0),
        ("passenger", 800.0, 320.0, 570.0),
    ]
