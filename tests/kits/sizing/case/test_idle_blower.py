"""The blower of whole fitments at idle: on the battery's own volts, elsewhere on the recorded ones."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from kits.sizing.air.airflow import airflow
from kits.sizing.case.case import Case, Duty, Point
from kits.sizing.case.heater import Heater
from kits.sizing.case.idle_blower import blower_volts, idles, kits_a, supplies_read_v
from kits.sizing.electrics.battery import ChargingCurve
from kits.sizing.electrics.idle_supply import plug_v
from kits.sizing.verdict.answers import answers_at
from kits.sizing.verdict.record import DutyAnswer
from kits.sizing.verdict.verdict import size
from tests.kits.sizing.air.test_airflow import total_directly
from tests.kits.sizing.cases import AIR_PATH, CRUISE, IDLE, TOWN, case, electric_case, half, halves
from tests.kits.sizing.verdict.test_winter_duties import warm, winter_duty
from tests.reference.direct_idle import solve_idle_directly

WINTER_DRIVE = winter_duty()
WINTER_IDLE = replace(
    WINTER_DRIVE,
    code="winter-idle",
    engine_state="idle",
    climate=replace(WINTER_DRIVE.climate, road_speed_km_h=0.0, engine_state="idle"),
)


def at_idle(one: Case) -> DutyAnswer:
    return answers_at(one, (IDLE,), with_holds=False)[0]


def volts(one: Case, duty: Duty) -> float:
    return float(blower_volts([Point(one, duty)]).front[0])


def test_only_an_idling_engine_leaves_the_blower_to_the_battery() -> None:
    one = case()
    assert [idles(Point(one, d)) for d in (CRUISE, TOWN, IDLE, WINTER_IDLE, WINTER_DRIVE)] == [
        False, False, True, True, False,
    ]  # fmt: skip
    assert volts(one, CRUISE) == volts(one, TOWN) == 13.0
    # 24 A are given where 34 A are asked
    assert 11.5 < volts(one, IDLE) < 12.1


def test_with_enough_generator_idle_is_as_recorded() -> None:
    strong = case(charging_curve=((800.0, 40.0), (6000.0, 65.0)))
    assert volts(strong, IDLE) == 13.0
    assert at_idle(strong).airflow_m3_h == airflow(AIR_PATH, 13.0, 1.0).total_m3_h


def test_the_answer_tells_the_volts_that_its_air_was_made_with() -> None:
    answer = at_idle(case())
    assert answer.blower_v is not None and answer.battery_v is not None
    assert answer.airflow_m3_h == pytest.approx(airflow(AIR_PATH, answer.blower_v, 1.0).total_m3_h, rel=1e-12)
    assert answer.blower_v == pytest.approx(float(plug_v(answer.battery_v, 13.0, 13.8)), rel=1e-9)


@pytest.mark.parametrize(
    "worse",
    [
        {"battery_ah": 30.0},
        {"base_load_a": 12.0},
        {"charging_curve": ((600.0, 0.0), (6000.0, 65.0))},
        {"kit_current_a": 34.0},
        {"blower_voltage_v": 12.6},
    ],
)
def test_a_smaller_battery_and_whatever_else_takes_more_of_it_means_less_air_at_idle(
    worse: dict[str, Any],
) -> None:
    usual, poor = at_idle(case()), at_idle(case(**worse))
    assert usual.airflow_m3_h is not None and poor.airflow_m3_h is not None
    assert poor.airflow_m3_h < usual.airflow_m3_h - 0.5


def test_each_blower_of_two_hangs_on_the_same_battery() -> None:
    both = halves(case())
    answer, one = at_idle(both), at_idle(case())
    assert answer.battery_v == pytest.approx(one.battery_v, rel=1e-9)
    front, rear = answer.coils
    assert front.blower_v == rear.blower_v == pytest.approx(one.blower_v, rel=1e-9)
    assert answer.airflow_m3_h == pytest.approx(one.airflow_m3_h, rel=1e-6)
    longer = replace(both, unit=replace(both.plant, rear=replace(both.plant.rear, circuit_loses_more_v=0.5)))
    front, rear = at_idle(longer).coils
    assert front.blower_v - rear.blower_v == pytest.approx(0.4, abs=0.05)


def test_a_converter_that_carries_all_leaves_the_blower_as_it_was() -> None:
    one = electric_case(is_electric=True, hot_idle_rpm=None, charging_curve=((0.0, 60.0), (1.0, 60.0)))
    assert volts(one, IDLE) == 13.0


def test_a_truck_of_24_v_has_twice_the_volts_and_the_same_air() -> None:
    blower = replace(AIR_PATH.blower, rated_voltage_v=27.0)
    truck = case(
        system_voltage_v=24.0,
        supply_voltage_v=24.0,
        blower_voltage_v=26.0,
        air_path=replace(AIR_PATH, blower=blower),
    )
    assert volts(truck, IDLE) == pytest.approx(2 * volts(case(), IDLE), rel=1e-9)
    assert at_idle(truck).airflow_m3_h == pytest.approx(at_idle(case()).airflow_m3_h, rel=1e-9)


@pytest.mark.parametrize("gone", ["battery_ah", "base_load_a", "system_voltage_v", "hot_idle_rpm"])
def test_what_is_missing_is_named_at_idle_and_leaves_the_recorded_volts_in_winter(gone: str) -> None:
    bare = case(**{gone: None})
    assert at_idle(bare).verdict == "not sized"
    assert any(gone in gap.path or "electrical_loads" in gap.path for gap in at_idle(bare).missing)
    assert volts(bare, WINTER_IDLE) == 13.0
    assert np.isnan(volts(case(blower_voltage_v=None), IDLE))


def test_a_kit_that_takes_less_than_its_blower_is_not_sized_at_idle() -> None:
    answer = at_idle(case(kit_current_a=11.0))
    (gap,) = answer.missing
    assert (gap.path, gap.where) == ("kit.kit_current_a", "kit")
    assert (
        gap.sentence
        == "The kit's current with everything on is 11.0 A; at their rated voltage the blowers alone take 14.0 A."
    )


def test_the_kits_current_is_that_of_the_rated_voltage_and_counts_with_what_the_plugs_get() -> None:
    # 28 A with the blower's 14 A at 13.5 V; 12 V bring it 11.06 A
    low = case(blower_voltage_v=12.0)
    less_a = 14 * (1 - (12 / 13.5) ** 2)
    assert kits_a([low, halves(low)]) == pytest.approx([28.0 - less_a] * 2)
    assert kits_a([case(blower_voltage_v=13.5), case(blower_voltage_v=None)]).tolist() == [28.0, 28.0]
    heater = replace(low, unit=Heater(AIR_PATH, 12.0, 16.0))
    assert kits_a([heater]) == pytest.approx([16.0 - less_a])
    assert np.isnan(kits_a([case(kit_current_a=0.5)])).all()
    # a dynamo of 20 A: the battery of 60 A·h made up 8.94 A through 10 mΩ as the plug was read
    weak = case(blower_voltage_v=12.0, base_load_a=4.0, charging_curve=((600.0, 0.0), (6000.0, 20.0)))
    assert supplies_read_v([weak]) == pytest.approx([12.61 - 0.01 * (4 + 28 - less_a - 20)])


def test_in_winter_a_kit_that_cools_runs_its_blower_alone_and_a_heater_all_that_it_is() -> None:
    cools = warm(charging_curve=((800.0, 0.0), (6000.0, 65.0)))
    heats = replace(cools, unit=Heater(AIR_PATH, 12.0, 16.0))
    for one, kit_a in ((cools, 14.0), (heats, 16.0)):
        direct = solve_idle_directly(
            0.0, 6.0, kit_a, 12.0, [(13.0, 13.5, 14.0)], 60.0, 65.0, kit_read_a=one.unit.kit_current_a
        )
        assert volts(one, WINTER_IDLE) == pytest.approx(direct.plugs_v[0], rel=1e-9)
        standing, driving = answers_at(one, (WINTER_IDLE, WINTER_DRIVE), with_holds=False)
        assert standing.battery_v == pytest.approx(direct.supply_v, rel=1e-9)
        assert driving.battery_v is None
        assert standing.airflow_m3_h == pytest.approx(
            airflow(AIR_PATH, direct.plugs_v[0], 1.0).total_m3_h, rel=1e-7
        )
        assert standing.airflow_m3_h < driving.airflow_m3_h


def test_random_cars_have_the_air_of_a_direct_solution() -> None:
    # oracle: tests.reference.direct_idle for the volts, fluids for the air
    rng = np.random.default_rng(24)
    cars = [
        replace(
            case(
                IDLE,
                charging_curve=((700.0, rng.uniform(0, 20)), (2000.0, (22.0, 60.0)[i % 2])),
                base_load_a=rng.uniform(2, 14),
                battery_ah=rng.uniform(35, 100),
                kit_current_a=rng.uniform(26, 40),
                blower_voltage_v=rng.uniform(12.2, 13.8),
            ),
            key=("K", "L", f"{i}"),
        )
        for i in range(12)
    ]
    whole = [*cars, *(halves(car) for car in cars[:4])]
    for one, record in zip(whole, size(whole), strict=True):
        (answer,) = record.duties
        recorded = float(one.mounting.blower_voltage_v or 0)
        most_a = one.car.charging_curve[-1][1]
        given_a = float(ChargingCurve(one.car.charging_curve).current_a(800.0))
        paths = [AIR_PATH] if one.plant.rear is None else [half(AIR_PATH)] * 2
        blowers = [(recorded, 13.5, p.blower.current[0][1]) for p in paths]
        car, kit_a = one.car, one.plant.kit_current_a
        direct = solve_idle_directly(
            given_a, car.base_load_a or 0, kit_a, 12.0, blowers, car.battery_ah or 0, most_a
        )
        assert answer.battery_v == pytest.approx(direct.supply_v, rel=1e-9)
        air = sum(
            total_directly(p, u / 13.5, 1.2, 20.0)[0] for p, u in zip(paths, direct.plugs_v, strict=True)
        )
        assert answer.airflow_m3_h == pytest.approx(air, rel=1e-4)
