"""Limiting cases and round trips: where a formula ends in something known, and where it must give back what it got."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.sizing.cabin import pulldown
from kits.sizing.electrics import battery, electrics
from kits.sizing.gas import charge, hoses, lines
from kits.sizing.gas.readings import MEASURED, Readings, expected_bands, judge_readings, rest_pressure_bar_g
from kits.sizing.gas.refrigerant import refrigerant
from kits.sizing.heat import condensation, heating
from kits.sizing.mechanics import belt, fasteners

GAS = refrigerant("R-134a")
INF = float("inf")


def test_a_zone_that_is_all_but_vapour_holds_vapour_and_without_slip_the_mean_is_half() -> None:
    # phases of nearly one density flow together: the share of volume is the share of mass, on the mean a half
    assert lines.mean_void_fraction(500.0, 499.0) == pytest.approx(0.5, abs=1e-3)
    assert lines.mean_two_phase_density(1100.0, 60.0, 1 - 1e-6) == pytest.approx(60.0, rel=1e-4)


def test_a_line_in_laminar_flow_follows_hagen_and_poiseuille() -> None:
    flow, length, bore, rho, mu = 1e-5, 2.0, 0.0103, 10.0, 1.2e-5
    velocity = flow / rho / (np.pi / 4 * bore**2)
    assert rho * velocity * bore / mu < 1000
    expected = 32 * mu * velocity * length / bore**2
    assert lines.line_pressure_drop_pa(flow, length, bore, 0.0, rho, mu) == pytest.approx(expected, rel=1e-6)


@given(st.floats(-10, 15), st.floats(0, 5e4))
def test_a_loss_in_kelvin_gives_its_pressure_back(t: float, drop: float) -> None:
    loss = lines.saturation_loss_k(GAS, t, drop)
    assert GAS.p_sat_pa(t) - GAS.p_sat_pa(t - loss) == pytest.approx(drop, abs=0.5)
    assert lines.saturation_loss_k(GAS, t, 0.0) == pytest.approx(0.0, abs=1e-5)


def test_no_hose_and_no_flow_cost_nothing() -> None:
    none = hoses.suction_hose_loss_k(
        GAS,
        flow_kg_s=[0.03, 0.0],
        length_m=[0.0, 2.0],
        bore_mm=12.7,
        loss_factor=0.0,
        evaporating_c=5.0,
        superheat_k=5.0,
    )
    assert none == pytest.approx([0.0, 0.0], abs=1e-5)
    assert hoses.hose_volume_ml(12.7, 0.0) == 0
    assert hoses.hose_velocity_m_s(0.0, 12.7, 16.0) == 0


def test_an_empty_circuit_holds_nothing_and_one_of_vapour_holds_its_vapour() -> None:
    state = charge.zone_densities(
        GAS, evaporating_c=5.0, condensing_c=55.0, discharge_c=80.0, superheat_k=5.0, subcooling_k=5.0
    )
    nothing = charge.Volumes(*(0.0 for _ in charge.Volumes._fields))
    assert charge.inventory_g(nothing, state, 0.0).total == 0
    one = charge.inventory_g(nothing._replace(receiver=100.0), state, 0.0)
    assert one.total == pytest.approx(float(state.receiver_vapour) * 100 / 1000)


def test_a_wire_without_length_or_current_loses_nothing_and_two_in_a_row_lose_the_sum() -> None:
    assert electrics.voltage_drop_v([10.0, 0.0], 2.5, [0.0, 3.0]).tolist() == [0.0, 0.0]
    assert electrics.temperature_factor(20.0) == 1.0
    parts = electrics.resistance_ohm(2.5, [1.3, 2.2]).sum()
    assert electrics.resistance_ohm(2.5, 3.5) == pytest.approx(float(parts), rel=1e-12)


@given(st.floats(1, 200), st.floats(1, 60), st.floats(0, 60), st.floats(0, 60))
def test_a_budget_that_is_spent_has_nothing_to_spare(
    generator: float, car: float, kit: float, more: float
) -> None:
    spare = electrics.spare_current_a(generator, car, kit)
    assert electrics.spare_current_a(generator + more, car, kit + more) == pytest.approx(
        float(spare), abs=1e-9
    )
    assert electrics.spare_current_a(car + kit, car, kit) == pytest.approx(0.0, abs=1e-9)


@given(st.floats(1, 50), st.floats(60, 250), st.floats(60, 250), st.floats(300, 6000))
def test_a_belt_gives_speed_pull_and_torque_back(torque: float, crank: float, own: float, rpm: float) -> None:
    assert belt.driven_rpm(belt.driven_rpm(rpm, crank, own), own, crank) == pytest.approx(rpm)
    pull_there = belt.belt_pull_n(belt.crank_torque_nm(torque, crank, own), crank)
    assert pull_there == pytest.approx(float(belt.belt_pull_n(torque, own)))


def test_no_preload_no_torque_and_twice_the_preload_twice() -> None:
    none, one, two = fasteners.tightening_torque_nm(0.2, 8, [0.0, 1e4, 2e4])
    assert none == 0
    assert two == pytest.approx(2 * float(one))


@given(st.floats(30, 500), st.floats(-20, 40), st.floats(-3000, 6000))
def test_a_vents_rise_gives_the_heat_back(flow: float, inlet: float, heat: float) -> None:
    air = heating.air_mass_flow_kg_s(flow, inlet)
    rise = heating.vent_with_heat_c(inlet, heat, air) - inlet
    assert rise * air * heating.CP_AIR_J_KGK == pytest.approx(heat, abs=1e-6)
    # the ideal gas at one atmosphere
    assert air == pytest.approx(flow / 3600 * 101325 / (287.042 * (inlet + 273.15)), rel=1e-6)


@given(st.floats(1, 3600), st.floats(30, 70), st.floats(25, 45), st.floats(2e4, 2e5), st.floats(10, 120))
def test_the_time_to_a_temperature_and_the_temperature_at_a_time_undo_each_other(
    seconds: float, start: float, outside: float, capacity: float, ua: float
) -> None:
    body = (start, outside, capacity, ua, -ua * 40.0)
    reached = float(pulldown.one_node_c(seconds, *body))
    assert pulldown.one_node_c(0.0, *body) == pytest.approx(start)
    end = outside - 40.0
    if abs(reached - end) > 0.01:
        assert pulldown.one_node_seconds(reached, *body) == pytest.approx(seconds, rel=1e-5)


def test_walls_without_difference_pass_no_heat_and_without_films_stand_at_their_airs() -> None:
    even, sharp = condensation.flat_wall(20, 20, 8, 0.1, 8), condensation.flat_wall(4, 30, INF, 0.1, INF)
    assert (even.first_c, even.second_c, even.heat) == (20, 20, 0)
    assert (sharp.first_c, sharp.second_c, sharp.heat) == pytest.approx((4, 30, 260))
    bare = condensation.round_wall(
        inside_c=4,
        outside_c=30,
        inside_film_w_m2k=INF,
        bore_radius_m=0.01,
        pipe_radius_m=0.01,
        pipe_w_mk=0.2,
        outer_radius_m=0.01,
        insulation_w_mk=0.04,
        outside_film_w_m2k=8,
    )
    assert bare.second_c == pytest.approx(4)
    assert bare.heat == pytest.approx(8 * 2 * np.pi * 0.01 * 26)


def test_a_stock_thickness_is_its_own_next_and_a_trap_gives_its_pressure_back() -> None:
    stock = np.array(condensation.stock_mm())
    assert condensation.next_stock_mm(stock).tolist() == stock.tolist()
    assert condensation.trap_height_mm(300) * 1e-3 * 1000 * 9.80665 == pytest.approx(300)


@given(st.floats(5, 60), st.floats(0.3, 1.0), st.floats(30, 100))
def test_a_battery_runs_flat_at_the_minute_it_says(load: float, start: float, capacity: float) -> None:
    first = battery.battery_after_idle(
        0, load, 0, 12, capacity_ah=capacity, start_state_of_charge=start, minutes=1
    )
    at_the_end = battery.battery_after_idle(
        0,
        load,
        0,
        12,
        capacity_ah=capacity,
        start_state_of_charge=start,
        minutes=first.minutes_to_flat * (1 - 1e-9),
    )
    assert at_the_end.state_of_charge == pytest.approx(0, abs=1e-6)


@given(st.floats(20, 40), st.floats(0.3, 0.7), st.floats(0.02, 0.98))
def test_readings_from_the_bands_themselves_are_healthy(t: float, rh: float, share: float) -> None:
    bands = expected_bands(t, rh)
    middle = {name: low + share * (high - low) for name in MEASURED for low, high in [bands.of(name)]}
    assert judge_readings(Readings(**middle), bands).is_healthy


@given(st.floats(15, 35))
def test_the_pressure_at_rest_tells_the_temperature(t: float) -> None:
    back = GAS.t_sat_c(rest_pressure_bar_g(t) * 1e5 + 101325)
    # the table of practice is written to a tenth of a bar
    assert back == pytest.approx(t, abs=0.6)
