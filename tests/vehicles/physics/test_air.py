"""Moist air against ASHRAE's and textbook examples and against PsychroLib."""

from typing import Any

import numpy as np
import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.reference import check, load
from tests.vehicles.physics.wet_bulb import (
    humidity_ratio_from_dew_point,
    humidity_ratio_from_wet_bulb,
    wet_bulb_c,
)
from vehicles.physics import air

CASES = load("psychrometrics.json")
# PsychroLib 2.5 implements the same chapter independently; agreement asked: 0.05 %
AGREEMENT = 5e-4


@pytest.fixture(autouse=True)
def oracle_in_si() -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)


def state(t: float, w: float, p: float) -> dict[str, float]:
    return {
        "h_kJ_kg": float(air.enthalpy_j_kg(t, w)) / 1000,
        "h_J_kg": float(air.enthalpy_j_kg(t, w)),
        "W_kg_kg": w,
        "T_dp_C": float(air.dew_point_c(w, p)),
        "T_wb_C": float(wet_bulb_c(t, w, p)),
        "RH": float(air.relative_humidity(t, w, p)),
        "p_ws_Pa": float(air.saturation_pressure_pa(t)),
        "p_w_Pa": float(air.vapour_pressure_pa(w, p)),
        "v_m3_kg": float(air.specific_volume_m3_kg(t, w, p)),
    }


def got_altitude(i: dict[str, Any]) -> dict[str, Any]:
    p = np.array(i["P_kPa"]) * 1000
    w = humidity_ratio_from_wet_bulb(i["T_db"], i["T_wb"], p)
    return {
        "h_kJ_kg": air.enthalpy_j_kg(i["T_db"], w) / 1000,
        "W_g_kg": 1000 * w,
        "RH_pct": 100 * air.relative_humidity(i["T_db"], w, p),
        "v": air.specific_volume_m3_kg(i["T_db"], w, p),
    }


def got_heating_coil(i: dict[str, Any]) -> dict[str, Any]:
    w = air.humidity_ratio(i["T1"], i["RH1"], i["P_Pa"])
    v = air.specific_volume_m3_kg(i["T1"], w, i["P_Pa"])
    h1, h2 = air.enthalpy_j_kg(i["T1"], w), air.enthalpy_j_kg(i["T2"], w)
    flow = i["V1_m3_s"] / v
    return {"h1": h1 / 1e3, "W1": w, "v1": v, "h2": h2 / 1e3, "m_da": flow, "Q_kW": flow * (h2 - h1) / 1e3}


def got_mixing_ashrae(i: dict[str, Any]) -> dict[str, Any]:
    w1, w2 = humidity_ratio_from_wet_bulb(i["T1"], i["Twb1"]), air.humidity_ratio(i["T2"], i["RH2"])
    v1, v2 = air.specific_volume_m3_kg(i["T1"], w1), air.specific_volume_m3_kg(i["T2"], w2)
    t3, w3 = air.mixed(i["V1"] / v1, i["T1"], w1, i["V2"] / v2, i["T2"], w2)
    wet = wet_bulb_c(t3, w3)
    return {"v1": v1, "v2": v2, "m1": i["V1"] / v1, "m2": i["V2"] / v2, "T3": t3, "Twb3": wet}


def got_room(i: dict[str, Any]) -> dict[str, Any]:
    p = 1000 * i["P_kPa"]
    w = air.humidity_ratio(i["T"], i["RH"], p)
    p_w, v = air.vapour_pressure_pa(w, p), air.specific_volume_m3_kg(i["T"], w, p)
    m_a, h = i["V_m3"] / v, air.enthalpy_j_kg(i["T"], w)
    return {"p_a_kPa": (p - p_w) / 1e3, "w": w, "h_kJ_kg_da": h / 1e3, "m_a_kg": m_a, "m_v_kg": m_a * w}


def got_wet_bulb(i: dict[str, Any]) -> dict[str, Any]:
    p = 1000 * i["P_kPa"]
    w = humidity_ratio_from_wet_bulb(i["T"], i["T_wb"], p)
    return {"w": w, "RH": air.relative_humidity(i["T"], w, p), "h": air.enthalpy_j_kg(i["T"], w) / 1000}


def got_mixing_cengel(i: dict[str, Any]) -> dict[str, Any]:
    w1, w2 = air.humidity_ratio(i["T1"], i["RH1"]), air.humidity_ratio(i["T2"], i["RH2"])
    m1 = i["V1"] / air.specific_volume_m3_kg(i["T1"], w1)
    m2 = i["V2"] / air.specific_volume_m3_kg(i["T2"], w2)
    t3, w3 = air.mixed(m1, i["T1"], w1, m2, i["T2"], w2)
    v3 = air.specific_volume_m3_kg(t3, w3)
    return {"w3": w3, "T3": t3, "RH3": air.relative_humidity(t3, w3), "V3": (m1 + m2) * v3}


SPECIAL = {
    "psy-ashrae-altitude": got_altitude,
    "psy-ashrae-ex2": got_heating_coil,
    "psy-ashrae-ex4": got_mixing_ashrae,
    "psy-cengel-14-1": got_room,
    "psy-cengel-14-3": got_wet_bulb,
    "psy-cengel-14-8": got_mixing_cengel,
}


def got_state(i: dict[str, Any]) -> dict[str, Any]:
    t, p = i["T_db_C"], i["P_Pa"]
    if "RH" in i:
        return state(t, float(air.humidity_ratio(t, i["RH"], p)), p)
    return state(t, float(humidity_ratio_from_wet_bulb(t, i["T_wb_C"], p)), p)


@pytest.mark.parametrize("one", CASES, ids=[c["id"] for c in CASES])
def test_published_and_computed_states(one: dict[str, Any]) -> None:
    got = SPECIAL.get(one["id"], got_state)(one["inputs"])
    for name, expected in one["outputs"].items():
        check(got[name], expected, one["tolerance"], name)


def test_sweep_agrees_with_psychrolib() -> None:
    rng = np.random.default_rng(20)
    t, rh, p = rng.uniform(-20, 60, 800), rng.uniform(0.05, 1.0, 800), rng.uniform(75e3, 104e3, 800)
    w = air.humidity_ratio(t, rh, p)
    got = {
        "w": w,
        "dew": air.dew_point_c(w, p) + 273.15,
        "wet": wet_bulb_c(t, w, p) + 273.15,
        # from −20 °C on: enthalpy crosses zero, so the agreement is asked of its distance from −40 °C air
        "h": air.enthalpy_j_kg(t, w) + 40e3,
        "v": air.specific_volume_m3_kg(t, w, p),
        "density": air.density_kg_m3(t, w, p),
        "rh": air.relative_humidity(t, w, p),
    }
    for k in range(800):
        ti, ri, pi = float(t[k]), float(rh[k]), float(p[k])
        wi = psychrolib.GetHumRatioFromRelHum(ti, ri, pi)
        expected = {
            "w": wi,
            "dew": psychrolib.GetTDewPointFromRelHum(ti, ri) + 273.15,
            "wet": psychrolib.GetTWetBulbFromRelHum(ti, ri, pi) + 273.15,
            "h": psychrolib.GetMoistAirEnthalpy(ti, wi) + 40e3,
            "v": psychrolib.GetMoistAirVolume(ti, wi, pi),
            "density": psychrolib.GetMoistAirDensity(ti, wi, pi),
            "rh": ri,
        }
        for name, value in expected.items():
            assert got[name][k] == pytest.approx(value, rel=AGREEMENT), (name, ti, ri, pi)


def test_altitude_pressure_agrees_with_psychrolib() -> None:
    for z in (-200.0, 0.0, 800.0, 2500.0):
        assert air.pressure_from_altitude_pa(z) == pytest.approx(
            psychrolib.GetStandardAtmPressure(z), rel=1e-6
        )


def test_saturation_pressure_has_no_step_where_ice_meets_water() -> None:
    below, above = air.saturation_pressure_pa(np.array([0.01 - 1e-9, 0.01]))
    assert above == pytest.approx(below, rel=2e-6)


@given(st.floats(-20, 60), st.floats(0.05, 1.0), st.floats(70e3, 105e3))
def test_round_trips(t: float, rh: float, p: float) -> None:
    w = air.humidity_ratio(t, rh, p)
    assert air.relative_humidity(t, w, p) == pytest.approx(rh, rel=1e-9)
    assert humidity_ratio_from_dew_point(air.dew_point_c(w, p), p) == pytest.approx(w, rel=1e-9)
    assert air.temperature_from_enthalpy(air.enthalpy_j_kg(t, w), w) == pytest.approx(t, abs=1e-9)
    assert air.dew_point_c(w, p) <= wet_bulb_c(t, w, p) + 1e-6 <= t + 2e-6


@given(st.floats(3, 60), st.floats(0.05, 0.999))
def test_wet_bulb_round_trip_away_from_the_ice_gap(t: float, rh: float) -> None:
    w = air.humidity_ratio(t, rh)
    wet = wet_bulb_c(t, w)
    if abs(wet) > 1e-6:
        assert humidity_ratio_from_wet_bulb(t, wet) == pytest.approx(w, abs=1e-10)


def test_saturated_air_is_at_its_dew_point_and_wet_bulb() -> None:
    t = np.array([-15.0, -0.5, 0.5, 20.0, 55.0])
    w = air.saturation_humidity_ratio(t)
    np.testing.assert_allclose(air.dew_point_c(w), t, atol=1e-6)
    np.testing.assert_allclose(wet_bulb_c(t, w), t, atol=1e-5)


def test_dry_air_limits() -> None:
    assert air.enthalpy_j_kg(20, 0) == 20 * 1006
    assert air.humidity_ratio(30, 0) == 0
    assert air.density_kg_m3(20, 0) == pytest.approx(101325 / 287.042 / 293.15)


def test_mixing_keeps_water_and_enthalpy_and_one_empty_stream_changes_nothing() -> None:
    t, w = air.mixed(0.02, 25, 0.010, np.array([0.0, 0.05]), 38, 0.016)
    assert t[0] == pytest.approx(25)
    assert w[0] == pytest.approx(0.010)
    assert 0.07 * w[1] == pytest.approx(0.02 * 0.010 + 0.05 * 0.016)
    kept = 0.02 * air.enthalpy_j_kg(25, 0.010) + 0.05 * air.enthalpy_j_kg(38, 0.016)
    assert 0.07 * air.enthalpy_j_kg(t[1], w[1]) == pytest.approx(kept)


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: air.saturation_pressure_pa(250), "−100 to 200"),
        (lambda: air.humidity_ratio(25, 1.2), "share from 0 to 1"),
        (lambda: air.humidity_ratio(120, 1.0), "vapour pressure"),
        (lambda: humidity_ratio_from_wet_bulb(20, 22), "wet bulb"),
        (lambda: air.dew_point_c(0.0), "dew point"),
        (lambda: wet_bulb_c(20, 0.05), "supersaturated"),
        (lambda: air.vapour_pressure_pa(-0.001), "negative"),
        (lambda: air.pressure_from_altitude_pa(20e3), "altitude"),
        (lambda: air.mixed(0, 20, 0.01, 0, 20, 0.01), "both zero"),
    ],
)
def test_a_scalar_outside_its_range_is_refused_in_a_sentence(call: Any, sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        call()


def test_a_batch_marks_the_row_and_keeps_the_others() -> None:
    w = air.humidity_ratio(np.array([25.0, 25.0, 300.0]), np.array([0.5, 1.5, 0.5]))
    assert np.isfinite(w).tolist() == [True, False, False]
    wet = wet_bulb_c(np.array([25.0, 20.0]), np.array([0.010, 0.050]))
    assert np.isfinite(wet).tolist() == [True, False]


def test_scalars_and_batches_agree() -> None:
    t, w = np.array([-8.0, 4.0, 33.0]), np.array([0.0012, 0.004, 0.018])
    for k in range(3):
        assert wet_bulb_c(t, w)[k] == pytest.approx(float(wet_bulb_c(t[k], w[k])), abs=1e-7)
        assert air.dew_point_c(w)[k] == pytest.approx(float(air.dew_point_c(w[k])), abs=1e-9)
