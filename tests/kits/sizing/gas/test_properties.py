"""Directions that no plant, drive, wire or insulation may turn round; the load's are in the cabin's own room."""

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kits.sizing.balance.balance import solve_balance
from kits.sizing.balance.balance_input import UNSOLVED
from kits.sizing.case.case import Point
from kits.sizing.electrics.electrics import electrics_constants, largest_current_a, voltage_drop_v
from kits.sizing.heat.condensation import round_wall
from kits.sizing.machine.evaporator import bypass_factor, coil
from tests.kits.sizing.plants import idle, plant
from vehicles.physics.air import humidity_ratio, saturation_pressure_pa

ROUNDING = 1e-7
few = settings(max_examples=25, deadline=None)
plants = st.fixed_dictionaries(
    {
        "coil_m3_h": st.floats(150, 500),
        "air_in_c": st.floats(20, 42),
        "rh": st.floats(0.3, 0.7),
        "condenser_m3_h": st.floats(800, 2500),
        "cond_air_in_c": st.floats(25, 45),
        "speed_rpm": st.floats(800, 3500),
        "displacement_cc": st.floats(80, 170),
    }
)
gases = st.sampled_from(["R-134a", "R-1234yf", "R-152a"])


def capacities(gas: str, base: dict[str, Any], **change: Any) -> Any:
    """Capacities of a plant twice, a little different; None where one of them is not solved."""
    found = solve_balance(gas, plant(**(base | change)))
    return None if np.isin(found.status, UNSOLVED).any() else found.capacity_w


@few
@given(gases, plants, st.floats(1.01, 1.6))
def test_more_air_over_the_coil_never_lowers_its_capacity(gas, base, factor):
    flow = base["coil_m3_h"]
    got = capacities(gas, base, coil_m3_h=[flow, flow * factor])
    assert got is None or got[1] >= got[0] * (1 - ROUNDING)


@few
@given(gases, plants, st.floats(0.01, 0.25), st.floats(0.5, 8))
def test_moister_or_warmer_air_never_lowers_the_capacity(gas, base, moister, warmer):
    rh, t = base["rh"], base["air_in_c"]
    # the same dry air: of the same volume less is dry air when it is moister or warmer
    kg_s = base["coil_m3_h"] / 3600 * 1.15
    got = capacities(gas, base, rh=[rh, rh + moister], air_kg_s=kg_s)
    assert got is None or got[1] >= got[0] * (1 - ROUNDING)
    same_water = rh * float(saturation_pressure_pa(t) / saturation_pressure_pa(t + warmer))
    got = capacities(gas, base, air_in_c=[t, t + warmer], rh=[rh, same_water], air_kg_s=kg_s)
    assert got is None or got[1] >= got[0] * (1 - ROUNDING)


@few
@given(gases, plants, st.floats(1.01, 2))
def test_more_air_through_the_condenser_never_lowers_the_capacity_nor_raises_the_head(gas, base, factor):
    flow = base["condenser_m3_h"]
    found = solve_balance(gas, plant(**(base | {"condenser_m3_h": [flow, flow * factor]})))
    if not np.isin(found.status, UNSOLVED).any():
        assert found.capacity_w[1] >= found.capacity_w[0] * (1 - ROUNDING)
        assert found.condensing_c[1] <= found.condensing_c[0] + 1e-6


@few
@given(gases, plants, st.floats(0.3, 3), st.floats(0.1, 2), st.floats(0.7, 0.99))
def test_a_longer_or_narrower_discharge_hose_never_raises_the_capacity(gas, base, length, more, narrower):
    got = capacities(gas, base, discharge_length_m=[length, length + more])
    assert got is None or got[1] <= got[0] * (1 + ROUNDING)
    got = capacities(gas, base, discharge_bore_m=[0.0103, 0.0103 * narrower])
    assert got is None or got[1] <= got[0] * (1 + ROUNDING)


@few
@given(st.floats(35, 40), st.floats(800, 1000), st.floats(2, 15))
def test_a_hotter_condenser_at_idle_costs_capacity_and_power_together(t, speed, hotter):
    got = solve_balance("R-134a", idle(air_in_c=t, speed_rpm=speed, cond_air_in_c=[t, t + hotter]))
    assert got.capacity_w[1] < got.capacity_w[0]
    assert got.cop[1] < got.cop[0]


@few
@given(st.floats(0.04, 0.15), st.floats(1.01, 1.5), st.floats(24, 42), st.floats(0.4, 0.8), st.floats(0, 8))
def test_a_wet_coil_with_more_air_takes_more_and_lets_warmer_air_off(air, factor, t, rh, surface):
    # at 24 °C and 40 % the dew point is 9.6 °C: every fin here is wet
    w = float(humidity_ratio(t, rh))
    less, more = (
        coil(surface, m, t, w, 101325.0, bypass_factor(180.0, 0.1, m, w)) for m in (air, air * factor)
    )
    assert more.total_w > less.total_w > 0
    assert more.latent_w > less.latent_w > 0
    assert more.air_off_c > less.air_off_c


def compressor_rpm(engine_rpm: float, crank_mm: float, own_mm: float) -> float:
    car = SimpleNamespace(hot_idle_rpm=engine_rpm, crank_pulley_mm=crank_mm, engine_rpm_per_km_h=None)
    compressor = SimpleNamespace(electric=False, speed_max_rpm=6500.0)
    case = SimpleNamespace(car=car, plant=SimpleNamespace(compressor=compressor, pulley_mm=own_mm))
    found = Point(case, SimpleNamespace(engine_state="idle")).compressor_rpm()
    assert found is not None
    return found


@given(st.floats(500, 5000), st.floats(80, 250), st.floats(90, 150), st.floats(1.01, 1.5))
def test_a_bigger_crank_pulley_never_slows_the_compressor_and_a_bigger_one_of_its_own_never_speeds_it_up(
    rpm, crank, own, factor
):
    base = compressor_rpm(rpm, crank, own)
    assert base == pytest.approx(rpm * crank / own)
    assert compressor_rpm(rpm, crank * factor, own) >= base
    assert compressor_rpm(rpm, crank, own * factor) <= base


@given(st.floats(0.1, 60), st.floats(0.1, 8))
def test_a_thinner_wire_never_loses_less(current, length):
    sections = np.array(sorted(electrics_constants().resistance_20_mohm_m))
    able = sections[largest_current_a(sections) >= current]
    drops = voltage_drop_v(current, able, length)
    assert np.all(np.diff(drops) <= 1e-12)


@given(
    st.floats(0, 12),
    st.floats(25, 45),
    st.floats(0.004, 0.05),
    st.floats(0.001, 0.02),
    st.floats(0.0005, 0.02),
)
def test_thicker_insulation_never_makes_a_cold_pipe_or_duct_colder_outside(cold, warm, bore, foam, more):
    pipe = bore + 0.002
    thin, thick = (
        round_wall(
            inside_c=cold,
            outside_c=warm,
            inside_film_w_m2k=100.0,
            bore_radius_m=bore,
            pipe_radius_m=pipe,
            pipe_w_mk=0.2,
            outer_radius_m=pipe + thickness,
            insulation_w_mk=0.04,
            outside_film_w_m2k=8.0,
        ).second_c
        for thickness in (foam, foam + more)
    )
    assert cold < thin < thick < warm
