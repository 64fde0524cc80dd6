"""The direct solution held against published cycles, other libraries, hand limits and its own equations."""

import dataclasses
import math
from typing import Any

import fluids
import numpy as np
import psychrolib
import pytest
from CoolProp.CoolProp import PropsSI
from scipy.optimize import brentq

from tests.reference import case, check
from tests.reference.direct_balance import (
    FLUIDS,
    Coil,
    Plant,
    circuit,
    coil,
    condensed,
    darcy_smooth,
    moist_air_enthalpy_j_kg,
    saturation_humidity,
    saturation_pa,
    saturation_pressure_pa,
    solve_direct,
)
from tests.reference.hypercube import plants

CASES = "direct_balance_cases.json"
PLANT: dict[str, Any] = {
    "displacement_m3": 150e-6,
    "speed_rpm": 910.0,
    "speed_min_rpm": 600.0,
    "speed_max_rpm": 6500.0,
    "electric": False,
    "v0": 0.90,
    "v1": -0.05,
    "v2": 0.0,
    "v3": 0.0,
    "i0": 0.62,
    "i1": 0.0,
    "i2": 0.0,
    "i3": 0.0,
    "superheat_k": 5.0,
    "subcooling_k": 5.0,
    "suction_gain_k": 4.0,
    "suction_length_m": 1.5,
    "suction_bore_m": 0.0127,
    "suction_k": 3.0,
    "discharge_length_m": 1.0,
    "discharge_bore_m": 0.0103,
    "discharge_k": 3.0,
    "evap_ua_air_w_k": 190.0,
    "evap_ref_air_kg_s": 0.1,
    "evap_ua_ref_w_k": 1100.0,
    "air_kg_s": 0.11,
    "air_in_c": 30.0,
    "air_in_w": 0.0125,
    "pressure_pa": 101325.0,
    "cond_ua_w_k": 600.0,
    "cond_ref_air_kg_s": 0.8,
    "cond_exponent": 0.6,
    "cond_air_kg_s": 0.4,
    "cond_air_in_c": 40.0,
    "freeze_mode": "cycling",
    "freeze_surface_c": 1.5,
    "high_pressure_cut_out_pa": 2.8e6,
    "discharge_limit_c": 120.0,
}
FAST: dict[str, Any] = {
    "speed_rpm": 3000.0,
    "air_in_c": 24.0,
    "air_in_w": 0.008,
    "air_kg_s": 0.09,
    "cond_air_kg_s": 0.8,
}
NO_LINES: dict[str, Any] = {
    f"{line}_{what}": 0.0 for line in ("suction", "discharge") for what in ("length_m", "k")
}


def solve(**changes: Any) -> dict[str, Any]:
    return solve_direct("R-134a", **(PLANT | changes))


# --- moist air and friction against other libraries ---


@pytest.mark.parametrize("temperature_c", [-20.0, -5.0, -0.5, 0.5, 10.0, 27.0, 35.0, 60.0])
def test_saturation_is_that_of_psychrolib(temperature_c: float) -> None:
    """PsychroLib 2.5 (ASHRAE Fundamentals ch. 1 eqs. 5, 6); same equations, so to rounding."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    assert saturation_pressure_pa(temperature_c) == pytest.approx(
        psychrolib.GetSatVapPres(temperature_c), rel=1e-9
    )
    assert saturation_humidity(temperature_c, 95000.0) == pytest.approx(
        psychrolib.GetSatHumRatio(temperature_c, 95000.0), rel=1e-9
    )


def test_moist_air_enthalpy_is_that_of_psychrolib() -> None:
    """PsychroLib 2.5 (ASHRAE Fundamentals ch. 1 eq. 30)."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    assert moist_air_enthalpy_j_kg(27.0, 0.011) == pytest.approx(
        psychrolib.GetMoistAirEnthalpy(27.0, 0.011), rel=1e-9
    )


@pytest.mark.parametrize("reynolds", [4e3, 5e4, 3e5, 2e6])
def test_friction_is_that_of_colebrook(reynolds: float) -> None:
    """fluids 1.x, analytical solution of Colebrook's equation."""
    assert darcy_smooth(reynolds) == pytest.approx(fluids.friction.Colebrook(reynolds, 0.0), rel=1e-9)


def test_friction_is_laminar_at_low_flow() -> None:
    assert darcy_smooth(1000.0) == pytest.approx(0.064)


# --- published and computed cycles ---


def test_a_vehicle_cycle_is_met_by_the_whole_balance() -> None:
    """Case cyc-vehicle-R-134a: boundless exchangers and no lines put 5 and 60 °C at the cycle's ends.

    A dry coil then takes m cp (T_in - 5), the condenser's air leaves at 60 °C; only those air flows are set.
    """
    known = case(CASES, "cyc-vehicle-R-134a")
    given, expected, tolerance = known["inputs"], known["outputs"], known["tolerance"]
    air_in_w = 0.002
    got = solve(
        **NO_LINES,
        v0=given["eta_vol"],
        v1=0.0,
        i0=given["eta_is"],
        speed_rpm=given["rpm"],
        displacement_m3=given["displacement_m3"],
        superheat_k=given["superheat_K"],
        subcooling_k=given["subcool_K"],
        suction_gain_k=0.0,
        evap_ua_air_w_k=1e9,
        evap_ua_ref_w_k=1e12,
        cond_ua_w_k=1e9,
        air_in_c=30.0,
        air_in_w=air_in_w,
        air_kg_s=expected["Q_e_W"] / ((1006.0 + 1860.0 * air_in_w) * (30.0 - given["T_evap"])),
        cond_air_in_c=35.0,
        cond_air_kg_s=expected["Q_c_W"] / (1007.0 * (given["T_cond"] - 35.0)),
    )
    assert got["status"] == "full"
    assert got["evaporating_c"] == pytest.approx(given["T_evap"], abs=1e-3)
    assert got["condensing_c"] == pytest.approx(given["T_cond"], abs=1e-3)
    for name, value in {
        "p_e_kPa": got["suction_pa"] / 1e3,
        "p_c_kPa": got["discharge_pa"] / 1e3,
        "pressure_ratio": got["discharge_pa"] / got["suction_pa"],
        "m_kg_s": got["flow_kg_s"],
        "T2_C": got["discharge_c"],
        "Q_e_W": got["capacity_w"],
        "W_W": got["power_w"],
        "Q_c_W": got["heat_rejected_w"],
        "COP": got["cop"],
    }.items():
        check(value, expected[name], tolerance, name)


def test_the_ideal_cycle_of_a_textbook() -> None:
    """Case cyc-cengel-11-1, Cengel & Boles example 11-1: saturated ends, isentropic compression."""
    known = case(CASES, "cyc-cengel-11-1")
    given, expected, tolerance = known["inputs"], known["outputs"], known["tolerance"]
    ideal = {"superheat_k": 0.0, "subcooling_k": 0.0, "suction_gain_k": 0.0, "i0": 1.0}
    evaporating_c = PropsSI("T", "P", given["p_evap_MPa"] * 1e6, "Q", 1, "R134a") - 273.15
    condensing_c = PropsSI("T", "P", given["p_cond_MPa"] * 1e6, "Q", 1, "R134a") - 273.15
    load = Coil(evaporating_c, expected["Q_L_kW"] * 1e3, math.nan, math.nan, math.nan, evaporating_c)
    point = circuit("R-134a", Plant(**(PLANT | NO_LINES | ideal)), load, condensing_c, 1000.0, 1.0)
    work_kw = point.flow_kg_s * (point.h_2 - point.h_1) / 1e3
    check(point.flow_kg_s, given["m_kg_s"], tolerance, "m_kg_s")
    check(work_kw, expected["W_kW"], tolerance, "W_kW")
    check(expected["Q_L_kW"] / work_kw, expected["COP"], tolerance, "COP")


def test_the_flow_a_published_coil_needs() -> None:
    """Case cyc-hundy-25-3, Hundy, Trott & Welch example 25.3: 16.4 kW, liquid 33 °C, 5 °C, gas 9 °C."""
    known = case(CASES, "cyc-hundy-25-3")
    given = known["inputs"]
    changed = {"superheat_k": given["T_suction"] - given["T_evap"], "subcooling_k": 2.0}
    load = Coil(5.0, given["Q_kW"] * 1e3, math.nan, math.nan, math.nan, given["T_evap"])
    point = circuit("R-134a", Plant(**(PLANT | changed)), load, given["T_liquid"] + 2.0, 1000.0, 1.0)
    check(point.flow_kg_s, known["outputs"]["m_kg_s"], known["tolerance"], "m_kg_s")


# --- the equations, written again with another interface to the properties ---


def _residuals(refrigerant: str, plant: dict[str, Any], got: dict[str, Any]) -> dict[str, float]:
    """Relative residuals of the printed numbers in pump, condenser, coil, line and energy equations."""
    fluid, p = FLUIDS[refrigerant], plant
    t_e, t_c = got["evaporating_c"] + 273.15, got["condensing_c"] + 273.15
    p_e, p_c = (PropsSI("P", "T", t_e, "Q", 1, fluid), PropsSI("P", "T", t_c, "Q", 1, fluid))
    t_out = t_e + p["superheat_k"]
    h_eo, rho_eo, mu_eo = (PropsSI(x, "P", p_e, "T", t_out, fluid) for x in ("H", "D", "V"))
    h_3 = PropsSI("H", "P", p_c, "T", t_c - p["subcooling_k"], fluid)

    def loss(line: str, rho: float, mu: float) -> float:
        velocity = got["flow_kg_s"] / rho / (math.pi * p[f"{line}_bore_m"] ** 2 / 4)
        reynolds = rho * velocity * p[f"{line}_bore_m"] / mu
        friction = fluids.friction.Colebrook(reynolds, 0.0)
        resistance = friction * p[f"{line}_length_m"] / p[f"{line}_bore_m"] + p[f"{line}_k"]
        return float(resistance * rho * velocity**2 / 2)

    hose_end = p_e - loss("suction", rho_eo, mu_eo)
    h_1 = PropsSI("H", "P", hose_end, "T", t_out + p["suction_gain_k"], fluid)
    regulated = p["freeze_mode"] == "suction-regulated" and got["suction_pa"] < hose_end * (1 - 1e-9)
    inlet = got["suction_pa"] if regulated else hose_end
    t_1 = PropsSI("T", "P", inlet, "H", h_1, fluid) if regulated else t_out + p["suction_gain_k"]
    rho_1, s_1 = (PropsSI(x, "P", inlet, "T", t_1, fluid) for x in ("D", "S"))
    t_2s = PropsSI("T", "P", p_c, "S", s_1, fluid)
    p_d = p_c + loss("discharge", *(PropsSI(x, "P", p_c, "T", t_2s, fluid) for x in ("D", "V")))
    ratio, n = p_d / inlet, got["speed_rpm"] / 1e3
    eta_v = p["v0"] + p["v1"] * ratio + p["v2"] * n + p["v3"] * n * n
    eta_is = p["i0"] + p["i1"] * ratio + p["i2"] * n + p["i3"] * n * n
    h_2 = h_1 + (PropsSI("H", "P", p_d, "S", s_1, fluid) - h_1) / eta_is
    stream = p["cond_air_kg_s"] * 1007.0
    ua = p["cond_ua_w_k"] * (p["cond_air_kg_s"] / p["cond_ref_air_kg_s"]) ** p["cond_exponent"]
    rejected = (1 - math.exp(-ua / stream)) * stream * (got["condensing_c"] - p["cond_air_in_c"])
    h_in = 1006.0 * p["air_in_c"] + p["air_in_w"] * (2501000.0 + 1860.0 * p["air_in_c"])
    h_off = 1006.0 * got["air_off_c"] + got["air_off_w"] * (2501000.0 + 1860.0 * got["air_off_c"])
    pumped = got["duty"] * eta_v * p["displacement_m3"] * got["speed_rpm"] / 60.0 * rho_1
    flow, q_c = got["flow_kg_s"], got["heat_rejected_w"]
    energy = got["capacity_w"] + flow * (h_1 - h_eo) + got["power_w"] - q_c
    return {
        "pump": pumped / flow - 1,
        "condenser": rejected / q_c - 1,
        "coil, refrigerant": flow * (h_eo - h_3) / got["capacity_w"] - 1,
        "coil, air": p["air_kg_s"] * (h_in - h_off) / got["capacity_w"] - 1,
        "coil, metal": p["evap_ua_ref_w_k"] * (got["surface_c"] - got["evaporating_c"]) / got["capacity_w"]
        - 1,
        "suction": inlet / got["suction_pa"] - 1,
        "discharge": p_d / got["discharge_pa"] - 1,
        "discharge gas": PropsSI("H", "P", p_d, "T", got["discharge_c"] + 273.15, fluid) / h_2 - 1,
        "power": flow * (h_2 - h_1) / got["power_w"] - 1,
        "energy": energy / q_c,
    }


def test_the_solution_meets_its_equations() -> None:
    """Every equation at the answers of 60 random plants, to 1e-6 of its own size."""
    wrong, answered = [], 0
    for plant in plants(60, seed=5):
        got = solve_direct(**plant)
        if math.isnan(got["capacity_w"]):
            continue
        answered += 1
        residuals = _residuals(plant["refrigerant"], plant, got)
        wrong += [(got["status"], name, r, plant) for name, r in residuals.items() if not abs(r) < 1e-6]
    assert answered > 30
    assert not wrong


@pytest.mark.parametrize("row", [41, 74])
def test_a_balance_beyond_the_fold_of_the_condenser_equation_is_found(row: int) -> None:
    """At the balanced surface the condenser's equation has two roots; the pump agrees at the upper one."""
    plant = plants(300, seed=2026)[row]
    got = solve_direct(**plant)
    inputs = Plant(**{name: plant[name] for name in plant.keys() - {"refrigerant"}})
    surface = coil(inputs, got["surface_c"])
    at_lower_root = condensed(plant["refrigerant"], inputs, surface, plant["speed_rpm"])
    assert at_lower_root.condensing_c < got["condensing_c"] - 0.5
    assert at_lower_root.surplus_kg_s > 0.01 * got["flow_kg_s"]
    residuals = _residuals(plant["refrigerant"], plant, got)
    assert max(abs(r) for r in residuals.values()) < 1e-6, residuals


@pytest.mark.parametrize("refrigerant", list(FLUIDS))
def test_every_refrigerant_is_answered_in_the_middle_of_the_range(refrigerant: str) -> None:
    got = solve_direct(refrigerant, **PLANT)
    assert got["status"] == "full"
    assert 2000.0 < got["capacity_w"] < 4500.0


# --- hand limits ---


def test_boundless_air_conductance_brings_all_air_to_the_surface() -> None:
    got = solve(evap_ua_air_w_k=1e6)
    assert got["air_off_c"] == pytest.approx(got["surface_c"], abs=1e-6)
    assert got["air_off_w"] == pytest.approx(saturation_humidity(got["surface_c"], 101325.0), rel=1e-9)


def test_boundless_refrigerant_conductance_puts_the_surface_at_evaporating() -> None:
    got = solve(evap_ua_ref_w_k=1e12)
    assert got["evaporating_c"] == pytest.approx(got["surface_c"], abs=1e-6)


def test_boundless_condenser_conductance_brings_its_air_to_condensing() -> None:
    got = solve(cond_ua_w_k=1e6)
    assert got["condensing_c"] == pytest.approx(40.0 + got["heat_rejected_w"] / (0.4 * 1007.0), abs=1e-6)


def test_without_lines_the_compressor_sees_both_saturation_pressures() -> None:
    got = solve(**NO_LINES)
    assert got["suction_pa"] == pytest.approx(saturation_pa("R-134a", got["evaporating_c"], 1.0), rel=1e-9)
    assert got["discharge_pa"] == pytest.approx(saturation_pa("R-134a", got["condensing_c"], 1.0), rel=1e-9)


def test_a_narrower_suction_hose_costs_capacity() -> None:
    assert solve(suction_bore_m=0.0103)["capacity_w"] < solve()["capacity_w"]


# --- freeze guard and continuity ---


def test_the_three_freeze_controls_give_the_same_cold() -> None:
    cycling = solve(**FAST)
    regulated = solve(**FAST, freeze_mode="suction-regulated")
    slowed = solve(**FAST, freeze_mode="speed-controlled", electric=True)
    assert {cycling["status"], regulated["status"], slowed["status"]} == {"freeze-limited"}
    for other in (regulated, slowed):
        for name in ("capacity_w", "sensible_w", "air_off_c", "surface_c", "evaporating_c"):
            assert other[name] == pytest.approx(cycling[name], rel=1e-12)
    assert cycling["surface_c"] == 1.5
    assert cycling["duty"] < 1.0
    assert regulated["duty"] == slowed["duty"] == 1.0
    assert regulated["suction_pa"] < cycling["suction_pa"]
    assert regulated["power_w"] > cycling["power_w"]
    assert slowed["speed_rpm"] < 3000.0


def test_a_drive_at_its_lowest_speed_cycles() -> None:
    got = solve(**FAST, freeze_mode="speed-controlled", electric=True, speed_min_rpm=2500.0)
    assert got["speed_rpm"] == 2500.0
    assert 0.0 < got["duty"] < 1.0


@pytest.mark.parametrize("mode", ["cycling", "suction-regulated", "speed-controlled"])
def test_the_answer_is_continuous_where_the_freeze_control_takes_over(mode: str) -> None:
    plant = Plant(**(PLANT | FAST | {"electric": True, "freeze_mode": mode}))

    def surplus(speed_rpm: float) -> float:
        changed = dataclasses.replace(plant, speed_rpm=speed_rpm)
        return condensed("R-134a", changed, coil(changed, changed.freeze_surface_c), speed_rpm).surplus_kg_s

    switch_rpm = brentq(surplus, 700.0, 3000.0, xtol=1e-9)
    below = solve(**(FAST | {"electric": True, "freeze_mode": mode, "speed_rpm": switch_rpm * (1 - 1e-7)}))
    above = solve(**(FAST | {"electric": True, "freeze_mode": mode, "speed_rpm": switch_rpm * (1 + 1e-7)}))
    assert (below["status"], above["status"]) == ("full", "freeze-limited")
    for name in set(below) - {"status", "reason"}:
        assert above[name] == pytest.approx(below[name], rel=1e-5), name


def test_the_coil_is_continuous_where_it_turns_wet() -> None:
    plant = Plant(**PLANT)
    dew_c = brentq(
        lambda t: saturation_humidity(t, plant.pressure_pa) - plant.air_in_w, 0.0, 30.0, xtol=1e-13
    )
    wet, dry = coil(plant, dew_c - 1e-9), coil(plant, dew_c + 1e-9)
    assert wet.air_off_w < dry.air_off_w == plant.air_in_w
    assert wet.capacity_w == pytest.approx(dry.capacity_w, rel=1e-8)
    assert wet.sensible_w == pytest.approx(dry.sensible_w, rel=1e-8)
    assert dry.sensible_w == pytest.approx(dry.capacity_w, rel=1e-12)


# --- statuses and their precedence ---


@pytest.mark.parametrize(
    ("changes", "status"),
    [
        ({"air_kg_s": math.nan, "speed_rpm": 500.0}, "invalid input"),
        ({"displacement_m3": 0.0}, "invalid input"),
        ({"air_in_w": 0.05}, "invalid input"),
        ({"freeze_mode": "none"}, "invalid input"),
        ({"freeze_mode": "speed-controlled"}, "invalid input"),
        ({"speed_rpm": 500.0, "air_in_c": 1.0, "air_in_w": 0.003}, "out of range"),
        ({"cond_air_in_c": -10.0}, "out of range"),
        ({"cond_air_in_c": 80.0, "high_pressure_cut_out_pa": 2e6}, "out of range"),
        ({"air_in_c": 1.5, "air_in_w": 0.003, "high_pressure_cut_out_pa": 1e5}, "no solution"),
        ({"high_pressure_cut_out_pa": 1e6, "speed_max_rpm": 800.0}, "high pressure"),
        (FAST | {"speed_max_rpm": 2900.0}, "over speed"),
        (FAST | {"speed_max_rpm": 3000.0, "electric": True}, "freeze-limited"),
        ({"speed_max_rpm": 910.0, "electric": True}, "speed-limited"),
        ({"speed_max_rpm": 910.0}, "full"),
        ({"speed_max_rpm": 911.0, "electric": True}, "full"),
    ],
)
def test_the_first_status_that_applies_is_given(changes: dict[str, Any], status: str) -> None:
    got = solve(**changes)
    assert got["status"] == status, got["reason"]
    assert math.isnan(got["capacity_w"]) == (status in ("invalid input", "out of range", "no solution"))
    assert bool(got["reason"]) == (status != "full")


def test_the_would_be_numbers_of_a_tripped_plant_are_those_without_the_switch() -> None:
    tripped, free = solve(high_pressure_cut_out_pa=1e6), solve()
    assert {**tripped, "status": "", "reason": ""} == {**free, "status": "", "reason": ""}


# --- the sampler ---


def test_the_same_seed_gives_the_same_plants() -> None:
    assert plants(5, seed=8) == plants(5, seed=8)
    assert plants(5, seed=8) != plants(5, seed=9)


def test_the_sampled_efficiencies_are_sensible() -> None:
    """Between 0.40 and 0.95 at every ratio from 2 to 8 and speed from 0.7 to 6.5 krpm."""
    ratio, n = np.meshgrid([2.0, 5.0, 8.0], np.linspace(0.7, 6.5, 15))
    for plant in plants(300, seed=2):
        for c in "vi":
            eta = plant[f"{c}0"] + plant[f"{c}1"] * ratio + plant[f"{c}2"] * n + plant[f"{c}3"] * n**2
            assert eta.min() > 0.40
            assert eta.max() < 0.95
