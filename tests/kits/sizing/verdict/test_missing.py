"""What a point needs beyond the heat load: each gap by its path and the place that mends it."""

from typing import Any

import pytest

from kits.sizing.case.case import Point
from kits.sizing.verdict.missing import missing_for
from tests.kits.sizing.cases import CRUISE, IDLE, case, electric_case

CAR = ("system_voltage_v", "duct_gain_w_k", "matrix_leak_w", "crank_pulley_mm")
MOUNTING = (
    "ram_share", "fan_installed_share", "air_on_rise_idle_k", "air_on_rise_cruise_k", "suction_gain_k",
    "blower_voltage_v",
)  # fmt: skip
IDLE_ONLY: dict[str, Any] = {
    "hot_idle_rpm": None, "charging_curve": (), "base_load_a": None, "battery_ah": None, "coolant_limit_c": None,
}  # fmt: skip


@pytest.mark.parametrize("duty", [CRUISE, IDLE])
def test_a_whole_fitment_lacks_nothing(duty: Any) -> None:
    assert missing_for(Point(case(), duty)) == ()
    assert missing_for(Point(electric_case(), duty)) == ()


@pytest.mark.parametrize("name", [*CAR, *MOUNTING, "pulley_mm", "engine_rpm_per_km_h"])
def test_each_input_of_a_road_point_is_named_once_with_its_place(name: str) -> None:
    (gap,) = missing_for(Point(case(**{name: None}), CRUISE))
    assert name in gap.path
    assert gap.sentence.startswith("Coupé: the ") and gap.sentence.endswith(" is missing.")
    place = {"pulley_mm": "kit"} | dict.fromkeys(MOUNTING, "fitment")
    in_cabin = ("duct_gain_w_k", "matrix_leak_w")
    assert gap.where == place.get(name, "cabin:C" if name in in_cabin else "powertrain:P")


@pytest.mark.parametrize("name", IDLE_ONLY)
def test_battery_and_coolant_are_asked_for_at_idle_only(name: str) -> None:
    lacking = case(**{name: IDLE_ONLY[name]})
    assert len(missing_for(Point(lacking, IDLE))) == 1
    assert missing_for(Point(lacking, CRUISE)) == ()


def test_an_electric_compressor_needs_no_pulley_and_an_electric_car_no_coolant() -> None:
    bare = electric_case(
        is_electric=True, pulley_mm=None, crank_pulley_mm=None, hot_idle_rpm=None, engine_rpm_per_km_h=None,
        coolant_c={}, coolant_limit_c=None,
    )  # fmt: skip
    assert missing_for(Point(bare, CRUISE)) == missing_for(Point(bare, IDLE)) == ()


@pytest.mark.parametrize("volts", [6.0, 8.0, 12.0, 24.0])
def test_the_voltages_of_old_cars_and_of_trucks_are_known(volts: float) -> None:
    assert missing_for(Point(case(system_voltage_v=volts), IDLE)) == ()


def test_another_system_voltage_is_told_with_those_that_are_known() -> None:
    (gap,) = missing_for(Point(case(system_voltage_v=48.0), CRUISE))
    assert gap.path == "powertrain.system_voltage_v"
    assert gap.sentence.endswith("the system voltage is 48 V; known are 6, 8, 12 or 24 V.")


@pytest.mark.parametrize(
    ("idle_rpm", "curve"), [(7600.0, ((570.0, 0.0), (5200.0, 40.0))), (700.0, ((800.0, 6.0), (5200.0, 40.0)))]
)
def test_a_charging_curve_that_does_not_reach_the_hot_idle_is_told_with_both(
    idle_rpm: float, curve: tuple[tuple[float, float], ...]
) -> None:
    asked = case(hot_idle_rpm=idle_rpm, charging_curve=curve)
    (gap,) = missing_for(Point(asked, IDLE))
    assert gap.path == "powertrain.charging_curve"
    assert f"Hot idle is at {idle_rpm:g} rpm." in gap.sentence
    assert f"known from {curve[0][0]:g} to 5200 rpm only" in gap.sentence
    assert missing_for(Point(asked, CRUISE)) == ()


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("subcooling_k", 90.0, "the subcooling is 90.0 K; it must lie within 0.0 K to 30.0 K."),
        ("fan_installed_share", 0.0, "the installed share of the fan's air is 0"),
        ("suction_gain_k", -40.0, "the temperature rise in the suction hose is −40.0 K"),
        ("ram_share", 1.0, "the share of road speed at the condenser is 1"),
    ],
)
def test_what_can_not_be_is_bad_input_and_no_verdict(name: str, value: float, words: str) -> None:
    (gap,) = missing_for(Point(case(**{name: value}), CRUISE))
    assert words in gap.sentence
    assert gap.path.endswith(name)
