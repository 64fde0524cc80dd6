"""What a point needs beyond the heat load: each gap by its path and the place that mends it."""

from typing import Any

import pytest

from kits.sizing.case import Point
from kits.sizing.missing import missing_for
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
