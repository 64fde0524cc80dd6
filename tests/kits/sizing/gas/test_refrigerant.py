"""Refrigerant tables: against CoolProp itself, published cycles, their file, and their limits."""

import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from kits.sizing.gas.refrigerant import known_refrigerants, refrigerant
from tests.reference import check, load

WORKING = ("R-134a", "R-1234yf", "R-152a")
FLUIDS = {"R-134a": "R134a", "R-1234yf": "R1234yf", "R-152a": "R152a", "R-12": "R12"}
CASES = load("refrigerants.json")
SATURATION_CASES = [c for c in CASES if c["id"].startswith("ref-sat-")]
SWEEP = 300
AGREES = 1e-5


@pytest.mark.parametrize("case", SATURATION_CASES, ids=lambda c: c["id"])
def test_saturation_agrees_with_the_reference(case: dict[str, Any]) -> None:
    # source: CoolProp 8.0.0, IIR reference state
    found = refrigerant(case["inputs"]["fluid"]).saturation(case["inputs"]["T_C"])
    got = {
        "p_kPa": found.p_pa / 1000,
        "rho_l": found.rho_l,
        "rho_v": found.rho_v,
        "h_l_kJ": found.h_l / 1000,
        "h_v_kJ": found.h_v / 1000,
        "h_fg_kJ": (found.h_v - found.h_l) / 1000,
        "s_l": found.s_l / 1000,
        "s_v": found.s_v / 1000,
    }
    for name, expected in case["outputs"].items():
        check(got[name], expected, case["tolerance"], name)


@pytest.mark.parametrize("case", [c for c in CASES if c["id"].startswith("ref-crit-")], ids=lambda c: c["id"])
def test_boiling_point_at_one_atmosphere(case: dict[str, Any]) -> None:
    # source: CoolProp 8.0.0; the critical constants of the case are listed as not used
    got = refrigerant(case["inputs"]["fluid"]).t_sat_c(101325.0)
    check(got, case["outputs"]["Tsat_at_101.325kPa_C"], case["tolerance"], "Tsat_at_101.325kPa_C")


def test_saturation_pressure_recalled_from_a_textbook_table() -> None:
    # source: Cengel and Boles, Table A-11, from memory: CoolProp's own values are checked above
    case = next(c for c in CASES if c["id"] == "ref-published-134a-sat")
    got = refrigerant("R-134a").p_sat_pa(np.array(case["inputs"]["T_C"])) / 1000
    check(list(got), case["outputs"]["p_kPa"], case["tolerance"], "p_kPa")


def test_enthalpies_of_a_textbook() -> None:
    # source: Hundy, Trott and Welch, Examples 2.1 and 25.3
    case = next(c for c in CASES if c["id"] == "ref-hundy-134a-enthalpies")
    gas = refrigerant("R-134a")
    got = [
        gas.saturation(35.0).h_l,
        gas.saturation(-5.0).h_v,
        gas.saturation(33.0).h_l,
        gas.vapour(5.0, 4.0).h,
    ]
    check([h / 1000 for h in got], case["outputs"]["h_kJ_kg"], case["tolerance"], "h_kJ_kg")


def _ideal_cycle(evaporating_c: Any, condensing_c: Any, flow_kg_s: float) -> dict[str, Any]:
    """Saturated vapour, isentropic compression, saturated liquid; ASHRAE reference (0 at -40 °C liquid)."""
    gas = refrigerant("R-134a")
    zero = gas.saturation(-40.0)
    start = gas.saturation(evaporating_c)
    h_1, h_3 = start.h_v, gas.saturation(condensing_c).h_l
    h_2 = gas.isentropic(condensing_c, start.s_v).h
    return {
        "h1": (h_1 - zero.h_l) / 1000,
        "s1": (start.s_v - zero.s_l) / 1000,
        "h2": (h_2 - zero.h_l) / 1000,
        "h2s": (h_2 - zero.h_l) / 1000,
        "h3": (h_3 - zero.h_l) / 1000,
        "Q_L_kW": flow_kg_s * (h_1 - h_3) / 1000,
        "Q_L_ton": flow_kg_s * (h_1 - h_3) / 3517,
        "W_kW": flow_kg_s * (h_2 - h_1) / 1000,
        "Q_H_kW": flow_kg_s * (h_2 - h_3) / 1000,
        "Q_cond_kW": flow_kg_s * (h_2 - h_3) / 1000,
        "COP": (h_1 - h_3) / (h_2 - h_1),
    }


@pytest.mark.parametrize("case_id", ["cyc-cengel-11-1", "cyc-moran-10-1", "cyc-moran-10-2"])
def test_ideal_cycles_of_textbooks(case_id: str) -> None:
    # source: Cengel and Boles Example 11-1; Moran and Shapiro Examples 10.1, 10.2
    case = next(c for c in CASES if c["id"] == case_id)
    gas, given = refrigerant("R-134a"), case["inputs"]
    evaporating = given["T_evap"] if "T_evap" in given else gas.t_sat_c(given["p_evap_MPa"] * 1e6)
    if "T_cond" in given:
        condensing = given["T_cond"]
    else:
        condensing = gas.t_sat_c(given.get("p_cond_MPa", given.get("p_cond_bar", 0) / 10) * 1e6)
    got = _ideal_cycle(evaporating, condensing, given["m_kg_s"])
    for name in case["outputs"].keys() - {"COP_carnot"}:
        expected = case["outputs"][name]
        check(got[name], expected, case["tolerance"], name)


def test_ideal_cycle_with_its_enthalpies() -> None:
    # source: Hundy, Trott and Welch, Example 2.1. Our tables give the enthalpies that the book reads off its
    # chart; the book's rounded COP of 5.4 follows from those (from unrounded tables it is 5.45)
    case = next(c for c in CASES if c["id"] == "cyc-hundy-2-1")
    gas, given = refrigerant("R-134a"), case["inputs"]
    start = gas.saturation(given["T_e"])
    found = {
        "h_in": gas.saturation(given["T_c"]).h_l / 1000,
        "h_e": start.h_v / 1000,
        "h_sup": gas.isentropic(given["T_c"], start.s_v).h / 1000,
    }
    for name, value in found.items():
        check(value, given[name], case["tolerance"], name)
    ideal = (given["h_e"] - given["h_in"]) / (given["h_sup"] - given["h_e"])
    check(ideal, case["outputs"]["COP_ideal"], case["tolerance"], "COP_ideal")


def test_flow_for_a_given_duty() -> None:
    # source: Hundy, Trott and Welch, Example 25.3
    case = next(c for c in CASES if c["id"] == "cyc-hundy-25-3")
    gas = refrigerant("R-134a")
    flow = case["inputs"]["Q_kW"] * 1000 / (gas.vapour(5.0, 4.0).h - gas.saturation(33.0).h_l)
    check(flow, case["outputs"]["m_kg_s"], case["tolerance"], "m_kg_s")


def test_a_vehicle_cycle_with_given_efficiencies() -> None:
    # source: CoolProp 8.0.0 with m = rho1·V·N·eta_v and h2 = h1 + (h2s - h1)/eta_is
    case = next(c for c in CASES if c["id"] == "cyc-vehicle-R-134a")
    given, gas = case["inputs"], refrigerant("R-134a")
    p_e, p_c = gas.p_sat_pa(given["T_evap"]), gas.p_sat_pa(given["T_cond"])
    inlet = gas.vapour(given["T_evap"], given["superheat_K"])
    h_3 = gas.liquid(given["T_cond"], given["subcool_K"]).h
    h_2 = inlet.h + (gas.isentropic(given["T_cond"], inlet.s).h - inlet.h) / given["eta_is"]
    flow = inlet.rho * given["displacement_m3"] * given["rpm"] / 60 * given["eta_vol"]
    evaporating = gas.saturation(given["T_evap"])
    got = {
        "p_e_kPa": p_e / 1000,
        "p_c_kPa": p_c / 1000,
        "pressure_ratio": p_c / p_e,
        "rho_suction": inlet.rho,
        "m_kg_s": flow,
        "h1": inlet.h / 1000,
        "h2": h_2 / 1000,
        "h3": h_3 / 1000,
        "x4": (h_3 - evaporating.h_l) / (evaporating.h_v - evaporating.h_l),
        "T2_C": given["T_cond"] + gas.superheat_from_enthalpy(given["T_cond"], h_2),
        "Q_e_W": flow * (inlet.h - h_3),
        "W_W": flow * (h_2 - inlet.h),
        "Q_c_W": flow * (h_2 - h_3),
        "COP": (inlet.h - h_3) / (h_2 - inlet.h),
    }
    for name, expected in case["outputs"].items():
        check(got[name], expected, case["tolerance"], name)


@pytest.mark.parametrize("name", WORKING)
def test_tables_agree_with_coolprop_over_a_random_sweep(name: str) -> None:
    # oracle: CoolProp AbstractState
    from CoolProp import CoolProp

    state, gas = CoolProp.AbstractState("HEOS", FLUIDS[name]), refrigerant(name)
    state.update(CoolProp.QT_INPUTS, 0, 273.15)
    h_0, s_0 = state.hmass() - 200e3, state.smass() - 1000
    rng = np.random.default_rng(11)
    t_sat = rng.uniform(-55, gas.condensing_to_c, SWEEP)
    superheat = np.minimum(150 * rng.uniform(0, 1, SWEEP) ** 2, 165 - t_sat)
    subcooling = 40 * rng.uniform(0, 1, SWEEP) ** 2
    found, liquid, saturated = (
        gas.vapour(t_sat, superheat),
        gas.liquid(t_sat, subcooling),
        gas.saturation(t_sat),
    )
    for k in range(SWEEP):
        state.unspecify_phase()
        state.update(CoolProp.QT_INPUTS, 1, t_sat[k] + 273.15)
        p = state.p()
        np.testing.assert_allclose(saturated.p_pa[k], p, rtol=AGREES)
        np.testing.assert_allclose(gas.t_sat_c(p), t_sat[k], atol=1e-4)
        state.specify_phase(CoolProp.iphase_gas)
        state.update(CoolProp.PT_INPUTS, p, t_sat[k] + superheat[k] + 273.15)
        h, s = state.hmass() - h_0, state.smass() - s_0
        expected = [state.rhomass(), h, s, state.viscosity()]
        np.testing.assert_allclose([q[k] for q in found], expected, rtol=AGREES)
        np.testing.assert_allclose(gas.superheat_from_enthalpy(t_sat[k], h), superheat[k], atol=1e-3)
        end = gas.isentropic(t_sat[k], s)
        np.testing.assert_allclose([end.h, end.rho, end.mu], [h, expected[0], expected[3]], rtol=2 * AGREES)
        np.testing.assert_allclose(end.superheat_k, superheat[k], atol=1e-3)
        state.specify_phase(CoolProp.iphase_liquid)
        state.update(CoolProp.PT_INPUTS, p, t_sat[k] - subcooling[k] + 273.15)
        expected = [state.rhomass(), state.hmass() - h_0, state.viscosity()]
        np.testing.assert_allclose([q[k] for q in liquid], expected, rtol=AGREES)


def test_isentropic_compression_that_ends_wet_follows_the_mixture() -> None:
    # R-1234yf: compressed from nearly saturated vapour it ends wet. Oracle: CoolProp AbstractState
    from CoolProp import CoolProp

    gas, state = refrigerant("R-1234yf"), CoolProp.AbstractState("HEOS", "R1234yf")
    state.update(CoolProp.QT_INPUTS, 0, 273.15)
    h_0, s_0 = state.hmass() - 200e3, state.smass() - 1000
    s = gas.saturation(-10.0).s_v
    end = gas.isentropic(60.0, s)
    state.update(CoolProp.PSmass_INPUTS, float(gas.p_sat_pa(60.0)), float(s + s_0))
    assert 0 < state.Q() < 1
    assert end.superheat_k == pytest.approx(0, abs=1e-9)
    assert end.h == pytest.approx(state.hmass() - h_0, rel=1e-6)


@pytest.mark.parametrize("name", WORKING)
def test_outside_the_tables_a_scalar_is_refused_and_a_batch_is_marked(name: str) -> None:
    gas = refrigerant(name)
    top = gas.saturation_to_c
    for ask in (
        lambda: gas.p_sat_pa(top + 0.1),
        lambda: gas.t_sat_c(1.0),
        lambda: gas.t_sat_c(-5.0),
        lambda: gas.vapour(5.0, -0.1),
        lambda: gas.vapour(5.0, 191.0),
        lambda: gas.liquid(40.0, 41.0),
        lambda: gas.isentropic(60.0, 5000.0),
        lambda: gas.isentropic(60.0, 500.0),
        lambda: gas.superheat_from_enthalpy(60.0, 2e5),
        lambda: gas.vapour(float("nan"), 5.0),
    ):
        with pytest.raises(ValueError, match="outside the property tables"):
            ask()
    batch = gas.vapour(np.array([5.0, top + 1, -61.0, np.nan, 5.0]), np.array([5.0, 5.0, 5.0, 5.0, 200.0]))
    assert [np.isfinite(q).tolist() for q in batch] == [[True, False, False, False, False]] * 4


def test_shapes_broadcast_and_scalars_stay_scalars() -> None:
    gas = refrigerant("R-134a")
    assert gas.vapour(np.zeros((2, 1)), np.ones(3)).rho.shape == (2, 3)
    assert np.ndim(gas.p_sat_pa(0.0)) == 0
    assert gas.saturation(np.array([])).rho_l.shape == (0,)


def test_r_12_is_known_at_saturation_only() -> None:
    assert refrigerant("R-12").only_saturation
    with pytest.raises(ValueError, match="at saturation only"):
        refrigerant("R-12").vapour(5.0, 5.0)


def test_an_unknown_refrigerant_is_refused_with_the_known_ones() -> None:
    with pytest.raises(ValueError, match=r"R-22 is not known; known are R-134a, R-1234yf, R-152a, R-12"):
        refrigerant("R-22")
    assert known_refrigerants() == ["R-134a", "R-1234yf", "R-152a", "R-12"]


def test_the_file_is_written_once_and_read_the_same(tmp_path: Path) -> None:
    built = refrigerant("R-12", tmp_path)
    files = list(tmp_path.iterdir())
    assert [f.suffix for f in files] == [".npz"]
    assert "coolprop-" in files[0].name
    script = (
        "import sys; from pathlib import Path; from kits.sizing.gas.refrigerant import refrigerant;"
        f"gas = refrigerant('R-12', Path({str(tmp_path)!r}));"
        "print(repr(float(gas.p_sat_pa(12.3)))); assert 'CoolProp' not in sys.modules, 'imported'"
    )
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stderr
    assert float(run.stdout) == float(built.p_sat_pa(12.3))


def test_a_damaged_file_is_built_again(tmp_path: Path) -> None:
    from kits.sizing.gas.refrigerant import _load

    expected = refrigerant("R-12", tmp_path).p_sat_pa(20.0)
    (file,) = tmp_path.iterdir()
    file.write_bytes(b"half a file")
    _load.cache_clear()
    assert refrigerant("R-12", tmp_path).p_sat_pa(20.0) == expected
    assert file.stat().st_size > 1000


def test_a_folder_that_cannot_be_written_still_gives_tables(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("not a folder")
    assert refrigerant("R-12", blocked / "inner").p_sat_pa(20.0) > 0
