"""A question is asked of the case itself: what is not changed gives the sizing's own answer."""

import math
from dataclasses import replace

import pytest

from kits.sizing.case.levers import levers, pulled
from kits.sizing.study.study import (
    RANGES,
    Question,
    answer_point,
    ask,
    changed,
    duties_of,
    levers_of,
    refusals,
    stored_values,
)
from kits.sizing.verdict.verdict import size
from tests.kits.exchange.demonstration.world import Key, World
from tests.kits.topics.contexts import context_of

VAN: Key = ("V30-BELT", "V30", "S18L")
ELECTRIC: Key = ("V30-EV", "V30", "SEVL")
COUPE: Key = ("S4-DASH", "S4", "CP12L")


@pytest.fixture(scope="module")
def van(world: World):
    return context_of(world, VAN).case


@pytest.fixture(scope="module")
def electric(world: World):
    return context_of(world, ELECTRIC).case


def town(case):
    return next(duty for duty in case.duties if duty.code == "town-35")


def test_nothing_changed_gives_the_very_answer_of_the_sizing(world: World):
    # identity: the same point alone and in the batch of the whole fitment
    record = size([context_of(world, COUPE).case])[0]
    case = context_of(world, COUPE).case
    for stored in record.duties:
        answer = ask(case, Question(stored.code), with_holds=True)
        assert answer.verdict == stored.verdict
        assert answer.limit == stored.limit
        for name in ("load_w", "capacity_w", "vent_c", "high_side_bar_g", "power_w", "holds_c"):
            was = getattr(stored, name)
            expected = None if was is None else pytest.approx(was, rel=1e-5)
            assert getattr(answer, name) == expected, (stored.code, name)


def test_asking_for_what_stands_there_already_changes_nothing(van):
    for duty in duties_of(van):
        values = {
            name: value
            for name, value in stored_values(van, duty).items()
            if value is not None and name != "engine_rpm"
        }
        made, asked = changed(van, Question(duty.code, **values))
        assert made == van
        assert asked.climate.outside_c == duty.climate.outside_c
        assert asked.blower_share == pytest.approx(duty.blower_share, rel=1e-12)
        assert asked.climate.rh == pytest.approx(duty.climate.rh, rel=1e-12)


def test_each_change_reaches_the_point(van):
    duty = town(van)
    question = Question(
        duty.code, outside_c=40, humidity_pct=60, sun_pct=50, road_speed_km_h=50, engine_rpm=2000, blower_pct=70,
        air_mode="mixed", fresh_pct=30, occupants=1, target_c=24,
    )  # fmt: skip
    assert refusals(van, question) == {}
    _, asked = changed(van, question)
    c = asked.climate
    assert (c.outside_c, c.rh, c.road_speed_km_h, c.air_mode) == (40, 0.6, 50, "mixed")
    assert (c.fresh_share, c.occupants, c.target_c) == (0.3, 1, 24)
    assert c.beam_normal_w_m2 == duty.climate.beam_normal_w_m2 / 2
    assert c.diffuse_horizontal_w_m2 == duty.climate.diffuse_horizontal_w_m2 / 2
    assert (asked.engine_state, asked.engine_rpm, asked.blower_share) == ("fixed", 2000, 0.7)


def test_more_heat_needs_more_and_less_air_gives_less(van):
    # limiting behaviour, whatever the size: outside heat and sun add load, a slower blower brings less capacity
    as_it_is = ask(van, Question("cruise-35"))
    assert ask(van, Question("cruise-35", outside_c=42)).load_w > as_it_is.load_w + 300
    assert ask(van, Question("cruise-35", sun_pct=0)).load_w < as_it_is.load_w - 300
    assert ask(van, Question("cruise-35", blower_pct=60)).capacity_w < 0.8 * as_it_is.capacity_w


def test_a_lever_brings_what_the_sizing_says_it_brings(world: World):
    record = next(r for r in world.records.values() if r.levers and r.duties)
    key = next(key for key, r in world.records.items() if r is record)
    case = context_of(world, key).case
    told = record.levers[0]
    answers = [ask(case, Question(d.code, levers=(told.code,))) for d in duties_of(case) if d.required]
    margins = [a.margin_share for a in answers if a.margin_share is not None]
    assert min(margins) == pytest.approx(told.margin_share, abs=1e-5)


def test_levers_stand_on_what_is_asked_and_only_those_that_change_something_are_offered(van, electric):
    case, _ = changed(van, Question("idle-35", engine_rpm=900, levers=("idle-up", "pulley")))
    assert case.car.hot_idle_rpm == 1100  # 900 asked for and 200 by the idle-up
    assert case.plant.pulley_mm == pytest.approx(0.9 * van.plant.pulley_mm)
    assert {lever.code for lever in levers() if pulled(van, lever)} == {x.code for x in levers_of(van)}
    assert "pulley" not in {lever.code for lever in levers_of(electric)}
    assert "levers" in refusals(electric, Question("cruise-35", levers=("pulley",)))


def test_an_idle_speed_changes_the_idle_and_a_road_speed_the_engine(van):
    case, duty = changed(van, Question("idle-35", engine_rpm=1000))
    assert (duty.engine_state, case.car.hot_idle_rpm) == ("idle", 1000)
    faster = ask(van, Question("cruise-35", road_speed_km_h=100))
    # by gearing: 100/80 of the speed at 80 km/h
    assert faster.compressor_rpm == pytest.approx(1.25 * ask(van, Question("cruise-35")).compressor_rpm)


def test_an_electric_compressor_is_asked_for_its_own_speed(electric):
    low, high = electric.plant.compressor.speed_min_rpm, electric.plant.compressor.speed_max_rpm
    slow = ask(electric, Question("fresh-35", compressor_rpm=(low + high) / 2))
    assert slow.capacity_w < ask(electric, Question("fresh-35")).capacity_w
    for rpm in (low - 1, high + 1, math.nan, 0, -5):
        assert (
            "runs between" in refusals(electric, Question("fresh-35", compressor_rpm=rpm))["compressor_rpm"]
        )
    assert "does not follow" in refusals(electric, Question("fresh-35", engine_rpm=2000))["engine_rpm"]


def test_a_step_of_the_blower_is_its_share_of_the_voltage(van):
    stepped = replace(van, unit=replace(van.plant, blower_steps=((1, 0.4), (2, 0.7), (3, 1.0))))
    assert changed(stepped, Question("town-35", blower_step=2))[1].blower_share == 0.7
    assert stored_values(stepped, town(stepped))["blower_step"] == 3  # the duty point asks for full voltage
    slow, full = (ask(stepped, Question("town-35", blower_step=step)).airflow_m3_h for step in (1, 3))
    assert slow < full
    assert full == pytest.approx(ask(van, Question("town-35")).airflow_m3_h)


def test_nonsense_is_refused_with_a_sentence_and_never_answered(van):
    wrong = {
        "outside_c": (-300, 200, math.nan, math.inf), "humidity_pct": (200, -1, math.nan), "sun_pct": (-1, 500),
        "road_speed_km_h": (-5, 900), "engine_rpm": (0, -1, math.nan), "blower_pct": (0, 101), "target_c": (-3, 90),
        "fresh_pct": (-1, 101), "occupants": (-1, 40), "air_mode": ("upwards",), "compressor_rpm": (3000,),
        "blower_step": (99,), "levers": (("no such",),),
    }  # fmt: skip
    assert set(RANGES) <= set(wrong)
    for name, values in wrong.items():
        for value in values:
            question = replace(Question("town-35"), **{name: value})
            assert name in refusals(van, question), (name, value)
            assert refusals(van, question)[name].endswith(".")
            with pytest.raises(ValueError, match=r"\.$"):
                ask(van, question)


def test_a_speed_beyond_the_compressors_limit_is_refused_whatever_makes_it(van):
    # the crank pulley turns the compressor at engine speed times the ratio of the pulleys
    ratio = van.car.crank_pulley_mm / van.plant.pulley_mm
    most = van.plant.compressor.speed_max_rpm / ratio
    assert refusals(van, Question("town-35", engine_rpm=0.99 * most)) == {}
    assert "would turn at" in refusals(van, Question("town-35", engine_rpm=1.01 * most))["engine_rpm"]
    smaller = Question("town-35", engine_rpm=0.99 * most, levers=("pulley",))
    assert "would turn at" in refusals(van, smaller)["engine_rpm"]


def test_what_contradicts_itself_is_refused(van):
    assert (
        "At idle the car stands" in refusals(van, Question("idle-35", road_speed_km_h=40))["road_speed_km_h"]
    )
    assert "would stand" in refusals(van, Question("cruise-35", road_speed_km_h=0))["road_speed_km_h"]
    assert refusals(van, Question("cruise-35", road_speed_km_h=0, engine_rpm=1500)) == {}
    assert "how much" in refusals(van, Question("cruise-35", air_mode="mixed"))["fresh_pct"]
    with pytest.raises(ValueError, match="no duty point nonsense"):
        refusals(van, Question("nonsense"))


def test_a_duty_point_that_is_not_judged_is_refused(van):
    winter = replace(town(van), kind="winter")
    with pytest.raises(ValueError, match="only cruise, town, idle"):
        answer_point(van, winter)


def test_a_point_that_can_not_be_solved_says_why_and_gives_no_number(van):
    answer = ask(van, Question("cruise-35", outside_c=59, target_c=18))
    assert answer.capacity_w is None
    assert answer.margin_share is None
    assert any("was not solved:" in c.sentence for c in answer.criteria if not c.is_met)


def test_on_a_frosty_day_there_is_nothing_to_cool(van):
    answer = ask(van, Question("cruise-35", outside_c=-20, sun_pct=0, occupants=0))
    assert answer.margin_share is None
    assert answer.verdict == "strong enough"
    assert any(c.sentence.startswith("Nothing to cool") for c in answer.criteria)
