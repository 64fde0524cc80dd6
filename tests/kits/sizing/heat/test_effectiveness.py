"""Effectiveness relations against a reference library, textbooks and their limiting cases."""

from typing import Any

import numpy as np
import pytest
from ht import effectiveness_from_NTU

from kits.sizing.heat.effectiveness import RELATIONS, effectiveness_from_ntu, ntu_from_effectiveness
from tests.reference import case, check, load

HT_CASES = [c for c in load("heat_exchangers.json") if c["id"].startswith("ntu-ht-")]


@pytest.mark.parametrize("known", HT_CASES, ids=lambda c: c["id"])
def test_effectiveness_agrees_with_the_reference(known: dict[str, Any]) -> None:
    # source: ht 1.2.0
    given = known["inputs"]
    got = effectiveness_from_ntu(given["NTU"], given["Cr"], given["subtype"])
    check(got, known["outputs"]["effectiveness"], known["tolerance"], "effectiveness")


@pytest.mark.parametrize("flow", [f for f in RELATIONS if f not in ("one shell pass", "crossflow")])
def test_effectiveness_agrees_with_ht_over_the_field(flow: str) -> None:
    # oracle: ht.effectiveness_from_NTU
    for ntu in (0.1, 0.7, 2.0, 5.0):
        for cr in (0.1, 0.5, 0.9, 1.0) if flow != "boiler" else (0.0,):
            expected = effectiveness_from_NTU(ntu, cr, subtype=flow)  # type: ignore[no-untyped-call]
            assert effectiveness_from_ntu(ntu, cr, flow) == pytest.approx(expected, rel=1e-9)


def test_crossflow_of_a_gas_heater() -> None:
    # source: Incropera et al., Example 11.3
    known = case("heat_exchangers.json", "ntu-incropera-11-3")
    g, out = known["inputs"], known["outputs"]
    cold = g["mc"] * g["cpc"]
    heat = cold * (g["Tco"] - g["Tci"])
    hot = heat / (g["Thi"] - g["Tho"])
    effectiveness = heat / (min(hot, cold) * (g["Thi"] - g["Tci"]))
    ntu = ntu_from_effectiveness(effectiveness, hot / cold, "crossflow")
    got = {
        "Ch": hot,
        "effectiveness": effectiveness,
        "Cr": hot / cold,
        "NTU": ntu,
        "A_m2": ntu * hot / g["U"],
    }
    for name, expected in out.items():
        check(got[name], expected, known["tolerance"], name)


def test_crossflow_of_an_oil_heater() -> None:
    # source: Holman, Example 10.9; the book reads 0.8 off a chart
    known = case("heat_exchangers.json", "ntu-holman-10-9")
    g = known["inputs"]
    least, most = g["m_oil"] * g["c_oil"], g["m_steam"] * g["c_steam"]
    got = effectiveness_from_ntu(g["UA"] / least, least / most, "crossflow, mixed Cmax")
    check(got, known["outputs"]["effectiveness"], known["tolerance"], "effectiveness")


def test_one_shell_pass_of_an_oil_cooler() -> None:
    # source: Holman, Example 10.13
    known = case("heat_exchangers.json", "ntu-holman-10-13")
    g = known["inputs"]
    air, oil = g["m_air"] * g["cp_air"], g["m_oil"] * g["cp_oil"]
    effectiveness = (g["T_air_out"] - g["T_air_in"]) / (g["T_oil_in"] - g["T_air_in"])
    ntu = ntu_from_effectiveness(effectiveness, air / oil, "one shell pass")
    check(effectiveness, known["outputs"]["effectiveness"], known["tolerance"], "effectiveness")
    check(ntu * air / g["U"], known["outputs"]["A_m2"], known["tolerance"], "A_m2")


def test_heat_of_a_water_heated_air_heater() -> None:
    # source: Hundy, Trott and Welch, Example 21.1: here as the effectiveness that gives this heat and flow
    known = case("heat_exchangers.json", "ntu-hundy-21-1")
    g = known["inputs"]
    air = g["m_air"] * g["cp_air"]
    water = known["outputs"]["m_w"] * g["cp_w"]
    effectiveness = (g["T2"] - g["T1"]) / (g["Tw_in"] - g["T1"]) * air / min(air, water)
    ratio = min(air, water) / max(air, water)
    ntu = ntu_from_effectiveness(effectiveness, ratio, "counterflow")
    heat = effectiveness_from_ntu(ntu, ratio, "counterflow") * min(air, water) * (g["Tw_in"] - g["T1"])
    check(heat, known["outputs"]["Q_kW"], known["tolerance"], "Q_kW")
    check(heat / (g["cp_w"] * (g["Tw_in"] - g["Tw_out"])), known["outputs"]["m_w"], known["tolerance"], "m_w")


@pytest.mark.parametrize("flow", RELATIONS)
def test_limits_of_every_relation(flow: str) -> None:
    assert effectiveness_from_ntu(0.0, 0.5, flow) == pytest.approx(0, abs=1e-12)
    # with one stream of endless capacity every arrangement is the same
    assert effectiveness_from_ntu(1.3, 0.0, flow) == pytest.approx(1 - np.exp(-1.3), rel=1e-6)
    curve = effectiveness_from_ntu(np.linspace(0, 10, 50), 0.6 if flow != "boiler" else 0.0, flow)
    # mixed flows may fall slightly at high NTU: not the others
    if "mixed" not in flow:
        assert (np.diff(curve) > -1e-12).all()
    assert curve.max() <= 1


@pytest.mark.parametrize("flow", RELATIONS)
def test_the_inverse_gives_the_ntu_back(flow: str) -> None:
    for ntu in (0.2, 1.0, 1.8):
        eps = effectiveness_from_ntu(ntu, 0.4, flow)
        assert ntu_from_effectiveness(eps, 0.4, flow) == pytest.approx(ntu, rel=1e-8)


def test_what_no_exchanger_can_do_is_refused() -> None:
    with pytest.raises(ValueError, match="No NTU up to 10"):
        ntu_from_effectiveness(0.9, 1.0, "parallel")
    with pytest.raises(ValueError, match="known are counterflow"):
        effectiveness_from_ntu(1.0, 0.5, "sideways")
    with pytest.raises(ValueError, match="NTU from 0 to 10"):
        effectiveness_from_ntu(-1.0, 0.5, "counterflow")
    marked = effectiveness_from_ntu(np.array([1.0, 11.0, np.nan]), 0.5, "counterflow")
    assert np.isfinite(marked).tolist() == [True, False, False]
