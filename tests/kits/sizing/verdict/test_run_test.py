"""The predicted run test: warmer air never lowers the high side, and two other ways to the same numbers."""

from dataclasses import fields, replace

import numpy as np
import pytest

from kits.bom.catalogue import PREDICTED
from kits.sizing.air.air_path import Outlet
from kits.sizing.balance.balance_input import Status
from kits.sizing.case.case import Case, Duty
from kits.sizing.gas.readings import expected_bands
from kits.sizing.run.batch import build
from kits.sizing.run.run import hold_at
from kits.sizing.verdict.answers import answers_at
from kits.sizing.verdict.hot_cabin import STOPPED
from kits.sizing.verdict.record import RunTest, RunTestPoint
from kits.sizing.verdict.run_test import (
    NO_LIMITS,
    NO_RISE,
    Read,
    airs,
    run_point,
    run_test_limits,
    run_tests,
    table,
    uncertainty,
)
from kits.sizing.verdict.verdict import size
from tests.kits.sizing.cases import AIR_PATH, CRUISE, PLANT, case, duty, electric_case, halves
from tests.reference.direct_balance import solve_direct
from vehicles.heatload.inputs import ClimateState
from vehicles.physics.pressure import absolute_pa, gauge_bar_g

CASES = (
    case(CRUISE),
    electric_case(CRUISE),
    case(CRUISE, refrigerant="R-1234yf"),
    halves(case(CRUISE)),
    case(CRUISE, freeze_mode="suction-regulated"),
)


@pytest.fixture(scope="module")
def tests() -> list[RunTest]:
    return [test for test in run_tests(CASES) if test is not None]


def one_of(whole: Case) -> RunTest:
    (found,) = run_tests([whole])
    assert found is not None
    return found


def at(test: RunTest, air_c: float, humidity_share: float) -> RunTestPoint:
    (found,) = [p for p in test.points if (p.air_c, p.humidity_share) == (air_c, humidity_share)]
    return found


def solved(test: RunTest) -> list[RunTestPoint]:
    found = [p for p in test.points if not p.reason]
    assert len(found) > 8
    return found


def test_every_air_of_the_data_file_is_answered_in_numbers_or_by_a_reason(tests: list[RunTest]) -> None:
    assert len(tests) == len(CASES)
    for test in tests:
        assert [(p.air_c, p.humidity_share) for p in test.points] == airs()
        for p in test.points:
            numbers = (p.low_side_bar_g, p.high_side_bar_g, p.coldest_vent_c, p.warmest_vent_c)
            assert (None in numbers) == bool(p.reason) == (p.limits == {})
            assert p.reason or tuple(p.limits) == tuple(PREDICTED)


def test_warmer_air_at_the_intake_never_lowers_the_high_side(tests: list[RunTest]) -> None:
    for test in tests:
        for humidity_share in table()["humidity_share"]:
            rising = [p.high_side_bar_g for p in solved(test) if p.humidity_share == humidity_share]
            assert len(rising) > 2 and rising == sorted(rising)


def test_the_prediction_lies_within_its_limits_and_nothing_above_the_cut_out(tests: list[RunTest]) -> None:
    for test in tests:
        for p in solved(test):
            for quantity, value in {
                "low side": p.low_side_bar_g,
                "high side": p.high_side_bar_g,
                "coldest vent": p.coldest_vent_c,
                "warmest vent": p.warmest_vent_c,
            }.items():
                low, high = p.limits[quantity]
                assert low < value < high, (p.air_c, p.humidity_share, quantity)
            assert p.limits["high side"][1] <= gauge_bar_g(PLANT.high_cut_out_pa)


def test_only_a_plant_that_cycles_has_a_head_with_the_clutch_engaged_and_its_limits_reach_it(
    tests: list[RunTest],
) -> None:
    cycling, electric, _, two, throttled = tests
    assert any(p.cycles for p in cycling.points) and any(p.cycles for p in two.points)
    for p in solved(cycling):
        assert (p.engaged_bar_g is not None) == p.cycles
        if p.cycles:
            assert p.engaged_low_bar_g < p.low_side_bar_g and p.engaged_bar_g > p.high_side_bar_g
            assert p.limits["low side"][0] < p.engaged_low_bar_g
            assert p.limits["high side"][1] > p.engaged_bar_g
    assert not any(p.cycles for test in (electric, throttled) for p in test.points)
    assert {p.engaged_bar_g for test in (electric, two, throttled) for p in test.points} == {None}


def test_a_batch_gives_what_each_case_gives_alone(tests: list[RunTest]) -> None:
    for whole, test in zip(CASES, tests, strict=True):
        for together, alone in zip(solved(test), solved(one_of(whole)), strict=True):
            assert together.status == alone.status
            assert together.high_side_bar_g == pytest.approx(alone.high_side_bar_g, rel=1e-6)
            assert together.coldest_vent_c == pytest.approx(alone.coldest_vent_c, abs=1e-6)


@pytest.mark.parametrize(("air_c", "humidity_share"), [(20.0, 0.5), (30.0, 0.3), (30.0, 0.7)])
def test_a_duty_point_that_draws_the_same_air_from_outside_reads_the_same(
    air_c: float, humidity_share: float
) -> None:
    # all the coil's air from outside, no warmer than there: the cabin does not matter to the plant
    whole = case()
    whole = replace(
        whole, car=replace(whole.car, cabin=replace(whole.car.cabin, intake_rise_k=0.0, fresh_air_m3_h=None))
    )
    weather = duty(
        outside_c=air_c, rh=humidity_share, air_mode="fresh", target_c=air_c, road_speed_km_h=0.0,
        engine_state="fixed", altitude_m=0.0,
    ).climate  # fmt: skip
    asked = Duty(
        code="cruise",
        name="Cruise",
        kind="cruise",
        required=True,
        climate=weather,
        engine_state="fixed",
        engine_rpm=1500.0,
        blower_share=1.0,
    )
    (answer,) = answers_at(whole, [asked], with_holds=False)
    found = at(one_of(whole), air_c, humidity_share)
    assert found.status == answer.status
    assert found.low_side_bar_g == pytest.approx(answer.low_side_bar_g, rel=1e-5)
    assert found.high_side_bar_g == pytest.approx(answer.high_side_bar_g, rel=1e-5)
    assert found.coldest_vent_c == pytest.approx(answer.vent_c, abs=1e-4)
    if found.cycles:
        assert found.engaged_bar_g == pytest.approx(answer.engaged_bar_g, rel=1e-5)


@pytest.mark.parametrize(
    ("air_c", "humidity_share", "status"), [(20.0, 0.5, "freeze-limited"), (30.0, 0.7, "full")]
)
def test_the_direct_balance_reads_the_same(
    tests: list[RunTest], air_c: float, humidity_share: float, status: str
) -> None:
    batch = build([run_point(CASES[0], air_c, humidity_share)])
    asked = hold_at(batch, batch.prepared.outside_c, batch.prepared.outside_w).inputs
    # 1,500 rpm by pulleys of 150 and 120 mm; the air at the condenser 10 K over that around the car
    assert float(asked.speed_rpm[0]) == pytest.approx(1875.0)
    assert float(asked.cond_air_in_c[0]) == pytest.approx(air_c + 10.0)
    inputs = {f.name: np.ravel(getattr(asked, f.name))[0].item() for f in fields(asked)}
    direct = solve_direct("R-134a", **inputs)
    found = at(tests[0], air_c, humidity_share)
    assert (found.status, direct["status"]) == (status, status)
    assert found.low_side_bar_g == pytest.approx(gauge_bar_g(direct["suction_pa"]), rel=1e-3)
    heat_j_kgk = 1006.0 + 1860.0 * direct["air_off_w"]
    # four equal ducts; 100 W of a shut matrix and 1.2 W/K of ducts at 8 °C
    rise_k = (100.0 + 1.2 * (air_c - 8.0)) / (inputs["air_kg_s"] * heat_j_kgk)
    assert found.coldest_vent_c == pytest.approx(direct["air_off_c"] + rise_k, abs=0.02)
    assert found.warmest_vent_c == pytest.approx(found.coldest_vent_c)
    assert found.high_side_bar_g == pytest.approx(_head_bar_g(direct), rel=1e-3)


def _head_bar_g(direct: dict[str, float]) -> float:
    from CoolProp.CoolProp import PropsSI

    return gauge_bar_g(float(PropsSI("P", "T", direct["condensing_c"] + 273.15, "Q", 1, "R134a")))


def test_half_widths_by_hand() -> None:
    # R-134a at 36.5, 40 and 43.5 °C: 8.23, 9.15 and 10.14 bar g; at 0 and 6 °C: 1.92 and 2.61 (CoolProp)
    one = Read(*(np.array([value]) for value in (absolute_pa(2.25), absolute_pa(9.15), 5.0, 7.0)))
    limits = run_test_limits("R-134a", one, one, float("nan"), absolute_pa(28.0)).of(0)
    assert limits["high side"] == pytest.approx((8.23, 10.14), abs=0.02)
    assert limits["low side"] == pytest.approx((1.92, 2.61), abs=0.02)
    assert limits["coldest vent"] == (2.5, 7.5) and limits["warmest vent"] == (4.5, 9.5)
    with_fan = run_test_limits("R-134a", one, one, absolute_pa(15.0), absolute_pa(28.0)).of(0)
    assert with_fan["high side"] == (limits["high side"][0], pytest.approx(16.0))
    low_switch = run_test_limits("R-134a", one, one, absolute_pa(15.0), absolute_pa(10.0)).of(0)
    assert low_switch["high side"][1] == pytest.approx(10.0)


def test_the_high_side_may_be_as_low_as_without_any_warmer_air_at_the_condenser(tests: list[RunTest]) -> None:
    still = case(CRUISE)
    still = replace(still, mounting=replace(still.mounting, air_on_rise_idle_k=0.0))
    without = one_of(still)
    for p, free in zip(tests[0].points, without.points, strict=True):
        if not p.reason:
            assert free.high_side_bar_g < p.high_side_bar_g
            assert p.limits["high side"][0] == pytest.approx(free.limits["high side"][0], rel=1e-5)
    cooler = run_point(CASES[0], 30.0, 0.5, NO_RISE)
    assert cooler.case.mounting.air_on_rise_idle_k == 0.0


def test_no_healthy_car_reads_too_low_on_the_high_side(tests: list[RunTest]) -> None:
    for p in solved(tests[0]):
        practice = expected_bands(p.air_c, p.humidity_share).high_from_bar_g if p.air_c >= 20 else np.nan
        assert not p.limits["high side"][0] > practice, (p.air_c, p.humidity_share)


def test_a_plant_that_its_switch_stops_has_no_limits_and_says_why(tests: list[RunTest]) -> None:
    hot = at(tests[0], 30.0, 0.5)
    stopped = at(one_of(case(CRUISE, high_cut_out_pa=absolute_pa(hot.high_side_bar_g - 0.2))), 30.0, 0.5)
    assert (stopped.status, stopped.reason) == (Status.HIGH_PRESSURE, STOPPED[Status.HIGH_PRESSURE])
    assert stopped.high_side_bar_g is None and not stopped.limits


def test_limits_beyond_the_refrigerants_tables_are_none_and_that_is_said(monkeypatch) -> None:
    wide = {**uncertainty(), "evaporating_k": replace(uncertainty()["evaporating_k"], value=90.0)}
    monkeypatch.setattr("kits.sizing.verdict.run_test.uncertainty", lambda: wide)
    found = at(one_of(CASES[0]), 25.0, 0.5)
    assert (found.reason, found.low_side_bar_g, found.limits) == (NO_LIMITS, None, {})
    hot = {**uncertainty(), "condensing_k": replace(uncertainty()["condensing_k"], value=90.0)}
    monkeypatch.setattr("kits.sizing.verdict.run_test.uncertainty", lambda: hot)
    gas_end = Read(*(np.array([value]) for value in (absolute_pa(2.0), absolute_pa(20.0), 5.0, 7.0)))
    assert run_test_limits("R-134a", gas_end, gas_end, float("nan"), absolute_pa(28.0)).high_side[1] == (
        pytest.approx(28.0)
    )


def test_what_lacks_an_input_says_which_and_spoils_no_other() -> None:
    lacking, sound, blind = run_tests(
        [
            case(CRUISE, crank_pulley_mm=None),
            case(CRUISE),
            replace(
                case(CRUISE), car=replace(case().car, cabin=replace(case().car.cabin, flap_leak_share=None))
            ),
        ]
    )
    assert lacking.points == () and "pulley" in lacking.reason
    assert solved(sound)
    assert {bool(p.reason) for p in blind.points} == {True} and "flap" in blind.points[0].reason


def test_the_state_is_the_one_the_steps_ask_for(tests: list[RunTest]) -> None:
    point = run_point(CASES[0], 25.0, 0.5)
    climate: ClimateState = point.duty.climate
    assert (climate.road_speed_km_h, climate.air_mode, point.engine_rpm()) == (0.0, "recirculated", 1500.0)
    stepped = case(CRUISE, blower_steps=((1, 0.5), (2, 0.8)))
    assert run_point(stepped, 25.0, 0.5).duty.blower_share == 0.8
    assert (tests[0].engine_rpm, tests[0].compressor_rpm, tests[0].condenser_rise_k) == (1500.0, 1875.0, 10.0)
    assert (tests[1].engine_rpm, tests[1].compressor_rpm) == (None, 8000.0)
    assert set(uncertainty()) == {"evaporating_k", "condensing_k", "vent_k", "fan_switch_bar"}


def test_a_longer_duct_is_the_warmest_vent() -> None:
    long = replace(AIR_PATH.outlets[0], code="long", length_m=3.0)
    outlets: tuple[Outlet, ...] = (*AIR_PATH.outlets[1:], long)
    mixed = solved(one_of(case(CRUISE, air_path=replace(AIR_PATH, outlets=outlets))))
    assert all(p.warmest_vent_c > p.coldest_vent_c + 0.1 for p in mixed)


def test_it_stands_in_the_answer() -> None:
    (record,) = size([CASES[0]])
    assert record.run_test == one_of(CASES[0])
