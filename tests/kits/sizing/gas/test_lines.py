"""Lines: pressure lost in them, and the mean density of what they hold."""

from typing import Any

import numpy as np
import pytest

from kits.sizing.air.ducts import friction_factor
from kits.sizing.gas.lines import (
    line,
    line_loss_pa,
    line_pressure_drop_pa,
    mean_two_phase_density,
    mean_void_fraction,
    saturation_loss_k,
)
from kits.sizing.gas.refrigerant import refrigerant
from tests.reference import case, check, load


@pytest.mark.parametrize(
    "line", [c for c in load("lines.json") if c["id"].startswith("line-suction")], ids=lambda c: c["id"]
)
def test_suction_lines_agree_with_the_reference(line: dict[str, Any]) -> None:
    # source: Darcy-Weisbach with Colebrook, CoolProp 8.0.0
    given, gas = line["inputs"], refrigerant(line["inputs"]["fluid"])
    state = gas.vapour(given["T_sat"], given["T_gas"] - given["T_sat"])
    drop = line_pressure_drop_pa(given["m_kg_s"], given["L_m"], given["D_m"], 0.0, state.rho, state.mu)
    velocity = given["m_kg_s"] / state.rho / (np.pi / 4 * given["D_m"] ** 2)
    got = {
        "p_Pa": gas.p_sat_pa(given["T_sat"]),
        "rho": state.rho,
        "mu": state.mu,
        "V_m_s": velocity,
        "Re": state.rho * velocity * given["D_m"] / state.mu,
        "f": drop / (given["L_m"] / given["D_m"] * state.rho * velocity**2 / 2),
        "dp_Pa": drop,
        "sat_temp_loss_K": saturation_loss_k(gas, given["T_sat"], drop),
    }
    for name, expected in line["outputs"].items():
        check(got[name], expected, line["tolerance"], name)


def test_a_liquid_line_agrees_with_the_reference() -> None:
    # source: Darcy-Weisbach with Colebrook, CoolProp 8.0.0
    line = case("lines.json", "line-liquid-dash6-0.03")
    given = line["inputs"]
    state = refrigerant("R-134a").liquid(given["T_cond"], given["T_cond"] - given["T_liquid"])
    drop = line_pressure_drop_pa(given["m_kg_s"], given["L_m"], given["D_m"], 0.0, state.rho, state.mu)
    velocity = given["m_kg_s"] / state.rho / (np.pi / 4 * given["D_m"] ** 2)
    got = {
        "rho": state.rho,
        "mu": state.mu,
        "V_m_s": velocity,
        "Re": state.rho * velocity * given["D_m"] / state.mu,
        "f": drop / (given["L_m"] / given["D_m"] * state.rho * velocity**2 / 2),
        "dp_Pa": drop,
    }
    for name, expected in line["outputs"].items():
        check(got[name], expected, line["tolerance"], name)


def mean_between(low: float, high: float, rho_l: float, rho_v: float) -> float:
    """The mean void fraction between two qualities: at one quality when they lie close together."""
    above = [(1 - x) * float(mean_void_fraction(rho_l, rho_v, x)) for x in (low, high)]
    return (above[0] - above[1]) / (high - low)


def test_void_fraction_and_mean_density_agree_with_the_reference() -> None:
    # source: Zivi (1964), coefficients as in ASHRAE Fundamentals 2021 ch. 5 Table 5
    known = case("heat_exchangers.json", "void-r134a-60")
    rho_l, rho_v = known["inputs"]["rho_l"], known["inputs"]["rho_g"]
    for name, expected in known["outputs"].items():
        if name.startswith("zivi_x"):
            x = float(name.removeprefix("zivi_x"))
            got = mean_between(x - 1e-4, x + 1e-4, rho_l, rho_v)
            check(got, expected, known["tolerance"], name)
    mean = mean_void_fraction(rho_l, rho_v)
    check(mean, known["outputs"]["mean_alpha_linear_x"], known["tolerance"], "mean_alpha_linear_x")
    density = mean_two_phase_density(rho_l, rho_v)
    check(density, known["outputs"]["mean_density"], known["tolerance"], "mean_density")


def test_the_charge_of_a_plant_by_zones() -> None:
    # source: volumes times densities with Zivi means, CoolProp 8.0.0. The case does not say where its
    # evaporator begins; its density belongs to a quality of 0.25
    known = case("heat_exchangers.json", "charge-inventory")
    given, gas = known["inputs"], refrigerant("R-134a")
    t_c, t_e = given["T_cond"], given["T_evap"]
    hot, cold = gas.saturation(t_c), gas.saturation(t_e)
    densities = {
        "discharge_hose": gas.vapour(t_c, given["T_discharge_line"] - t_c).rho,
        "condenser_two_phase": mean_two_phase_density(hot.rho_l, hot.rho_v),
        "drier_liquid": gas.liquid(t_c, t_c - given["T_liquid"]).rho,
        "liquid_line": gas.liquid(t_c, t_c - given["T_liquid"]).rho,
        "evaporator_two_phase": mean_two_phase_density(cold.rho_l, cold.rho_v, 0.25),
        "suction_hose": gas.vapour(t_e, given["T_suction"] - t_e).rho,
        # short zones: mean of both ends
        "condenser_desup": (hot.rho_v + gas.vapour(t_c, given["T_discharge_line"] - t_c).rho) / 2,
        "condenser_subcool": (hot.rho_l + gas.liquid(t_c, t_c - given["T_liquid"]).rho) / 2,
        "evaporator_superheat": (cold.rho_v + gas.vapour(t_e, given["T_suction"] - t_e).rho) / 2,
    }
    total = 0.0
    for zone, density in densities.items():
        mass = density * given["volumes_m3"][zone]
        total += mass
        check(density, known["outputs"][f"rho_{zone}"], known["tolerance"], f"rho_{zone}")
        check(mass, known["outputs"][f"m_{zone}"], known["tolerance"], f"m_{zone}")
    check(total, known["outputs"]["total_kg"], known["tolerance"], "total_kg")


def test_suction_losses_of_common_hoses_at_45_g_s() -> None:
    # common practice, no source: #8 2 m 3.7 K, #10 2 m 1.4 K, #10 5 m 3.3 K, #12 5 m 1.2 K; the evaporating
    # temperature is not given with them, -5 °C is near the freeze limit
    gas = refrigerant("R-134a")
    state = gas.vapour(-5.0, 10.0)
    length, bore = np.array([2.0, 2.0, 5.0, 5.0]), np.array([10.3, 12.7, 12.7, 15.9]) / 1000
    loss = saturation_loss_k(gas, -5.0, line_pressure_drop_pa(0.045, length, bore, 0.0, state.rho, state.mu))
    np.testing.assert_allclose(loss, [3.7, 1.4, 3.3, 1.2], rtol=0.15)


def test_losses_of_ends_add_to_friction_and_no_flow_loses_nothing() -> None:
    tube, ends = (
        line_pressure_drop_pa(0.03, length, 0.0127, k, 16.0, 1.1e-5) for length, k in ((1.5, 0), (0, 2))
    )
    both = line_pressure_drop_pa(0.03, 1.5, 0.0127, 2.0, 16.0, 1.1e-5)
    assert both == pytest.approx(tube + ends, rel=1e-12)
    assert line_pressure_drop_pa(0.0, 1.5, 0.0127, 2.0, 16.0, 1.1e-5) == 0


@pytest.mark.parametrize(
    "bad", [(-0.01, 1, 0.01, 0, 16, 1e-5), (0.01, -1, 0.01, 0, 16, 1e-5), (0.01, 1, 0, 0, 16, 1e-5),
            (0.01, 1, 0.01, -1, 16, 1e-5), (0.01, 1, 0.01, 0, 0, 1e-5), (float("nan"), 1, 0.01, 0, 16, 1e-5)]
)  # fmt: skip
def test_a_line_refuses_what_is_no_line(bad: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match="A line needs"):
        line_pressure_drop_pa(*bad)
    assert np.isnan(line_pressure_drop_pa(*(np.array([v]) for v in bad))).all()


def test_two_phase_flow_refuses_vapour_heavier_than_liquid() -> None:
    with pytest.raises(ValueError, match="vapour below liquid"):
        mean_void_fraction(20.0, 1000.0)


def test_the_fast_friction_factor_is_that_of_the_ducts() -> None:
    # oracle: kits.sizing.air.ducts.friction_factor, itself held against fluids
    reynolds = np.geomspace(1e-3, 1e8, 2001)
    one = np.ones_like(reynolds)
    # one bore of line, viscosity 1 and density ½: the flux is the Reynolds number, the loss f·Re²
    loss = line_loss_pa(reynolds * np.pi / 4, line(one, one, 0 * one), one / 2, one)
    np.testing.assert_allclose(loss / reynolds**2, friction_factor(reynolds, 0.0), rtol=1e-9)
