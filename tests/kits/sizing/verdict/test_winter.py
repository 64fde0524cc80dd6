"""The winter state of the demonstration's cars: what they lose, and what their matrix holds."""

from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest

from kits.bom.resolved import PlantPart
from kits.sizing.case.heater import matrix_of
from kits.sizing.verdict.winter import Winter, WinterPoint, held_c, need_w, winter, winter_climate
from tests.kits.sizing.cases import duty
from vehicles.heatload.inputs import (
    AirSide,
    CabinData,
    ClimateState,
    EngineTemperatures,
    LoadPoint,
    Seat,
    Surface,
)
from vehicles.heatload.load import heating_load_w

POINTS = (
    {"airflow_m3_h": 200, "coolant_flow_l_min": 8, "air_in_c": 0, "water_in_c": 90, "heat_w": 3900},
    {"airflow_m3_h": 300, "coolant_flow_l_min": 8, "air_in_c": 0, "water_in_c": 90, "heat_w": 5200},
    {"airflow_m3_h": 300, "coolant_flow_l_min": 4, "air_in_c": 0, "water_in_c": 90, "heat_w": 4550},
)
PLANT = {"heater matrix": PlantPart("MX", {}, POINTS, Decimal(1))}
CABIN = CabinData(
    volume_m3=2.3,
    surfaces=(
        Surface(
            code="roof",
            name="roof",
            kind="opaque",
            boundary="outside",
            area_m2=2.5,
            tilt_deg=0.0,
            facing_deg=0.0,
            u_w_m2k=3.0,
            absorptance=0.6,
        ),
        Surface(
            code="screen",
            name="screen",
            kind="glass",
            boundary="outside",
            area_m2=1.5,
            tilt_deg=60.0,
            facing_deg=0.0,
            u_w_m2k=5.6,
            layers=(),
            absorptance=0.2,
            transmittance=0.75,
            inward_share=0.3,
        ),
        Surface(
            code="sides",
            name="sides",
            kind="opaque",
            boundary="outside",
            area_m2=4.0,
            tilt_deg=90.0,
            facing_deg=90.0,
            u_w_m2k=3.0,
            absorptance=0.6,
        ),
    ),
    seats=(Seat("driver", "driver"),),
    openings=(),
    leakage_m3_h=((0.0, 15.0), (120.0, 110.0)),
    intake_rise_k=0.0,
    flap_leak_share=0.06,
)


def climate(outside_c: float, target_c: float, occupants: int = 0) -> ClimateState:
    return ClimateState(
        outside_c=outside_c,
        rh=0.8,
        altitude_m=0.0,
        beam_normal_w_m2=0.0,
        diffuse_horizontal_w_m2=0.0,
        sun_altitude_deg=0.0,
        heading_deg=0.0,
        road_speed_km_h=80.0,
        engine_state="off",
        occupants=occupants,
        air_mode="fresh",
        target_c=target_c,
        fresh_share=None,
        is_heating=True,
    )


def state_of(outside_c: float = -10.0, target_c: float = 20.0, coolant_c: float = 86.0, **cabin) -> Winter:
    load = LoadPoint(
        replace(CABIN, **cabin),
        EngineTemperatures(),
        climate(outside_c, target_c),
        AirSide(300.0, 0.0, 0.0, 0.0),
    )
    return winter(
        (
            WinterPoint(
                code="cruise",
                words="at cruise",
                is_asked=False,
                road_speed_km_h=80.0,
                airflow_m3_h=300.0,
                coolant_l_min=8.0,
                coolant_c=coolant_c,
                load=load,
            ),
        ),
        matrix_of(PLANT),
    )


def test_a_cabin_as_cold_as_outside_needs_no_heat():
    assert need_w(state_of(-10.0, -10.0)) == pytest.approx(0.0, abs=1e-6)


def test_a_warmer_target_and_a_colder_day_need_more():
    needs = [
        float(need_w(state_of(outside, target))[0]) for outside, target in ((0, 20), (-10, 20), (-10, 22))
    ]
    assert needs == sorted(needs)
    assert needs[0] > 0


def test_the_fresh_air_is_most_of_the_need_and_is_the_heat_of_its_mass():
    found = float(need_w(state_of())[0])
    panels = 6.5 * 3.0 * 30 + 1.5 * 5.6 * 30
    # 300 m³/h of air at −10 °C, warmed by 30 K; the films of the moving car make the panels a little leakier
    air = 300 / 3600 * 1.34 * 1006 * 30
    assert air + panels < found < air + 1.3 * panels


def test_where_the_cabin_is_held_heat_and_need_agree():
    state = state_of()
    cabin = held_c(state)
    need = heating_load_w(state.prepared, cabin)
    assert state.heat(cabin).heat_w == pytest.approx(need, abs=1.0)
    assert 20.0 < cabin[0] < 86.0


def test_hotter_coolant_holds_a_warmer_cabin():
    held = [float(held_c(state_of(coolant_c=c))[0]) for c in (60.0, 75.0, 90.0)]
    assert held == sorted(held)


def test_coolant_that_is_not_known_holds_nothing_and_is_not_guessed():
    assert np.isnan(held_c(state_of(coolant_c=float("nan")))[0])


def test_a_cabin_that_is_not_surveyed_has_no_need():
    state = state_of(leakage_m3_h=())
    assert np.isnan(need_w(state)[0])
    assert np.isnan(held_c(state)[0])


@pytest.mark.parametrize(("asked", "on_board"), [(0, 0), (1, 1), (2, 1), (4, 1), (None, 0)])
def test_where_no_winter_point_is_asked_nobody_but_the_driver_is_on_board(asked, on_board):
    assert winter_climate(duty(occupants=asked)).occupants == on_board


def test_a_kit_without_a_matrix_has_none():
    assert matrix_of({}) is None
    assert matrix_of({"heater matrix": PlantPart("MX", {}, (), Decimal(1))}) is None
    bare = replace(state_of(), matrix=None)
    with pytest.raises(ValueError, match="no heater matrix"):
        bare.heat(np.array([20.0]))
