"""The coil: bypass method, wet and dry, and conductances that give the rated points back."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from kits.sizing.machine.evaporator import RatedCoilPoint, bypass_factor, coil, fit_evaporator, rated_heat_w
from tests.reference import case, check, load
from vehicles.physics.air import dew_point_c, enthalpy_j_kg, humidity_ratio, saturation_humidity_ratio

ONE = RatedCoilPoint(320, 27, 0.5, -2.5, 3500)


@pytest.mark.parametrize(
    "known",
    [c for c in load("heat_exchangers.json") if c["id"].startswith("wet-bf-ntu")],
    ids=lambda c: c["id"],
)
def test_bypass_factor_from_transfer_units(known: dict[str, Any]) -> None:
    # source: constant surface temperature, BF = exp(-NTU)
    got = bypass_factor(known["inputs"]["NTU_airside"] * 0.1 * 1006, 0.1, 0.1, 0.0)
    check(got, known["outputs"]["bypass_factor"], known["tolerance"], "bypass_factor")
    check(1 - got, known["outputs"]["contact_factor"], known["tolerance"], "contact_factor")


def _bypass_of(h_1: float, h_2: float, h_s: float) -> float:
    """The bypass factor with which our coil takes air from h_1 to h_2 over a surface at h_s (kJ/kg)."""
    surface = np.interp(h_s * 1000, [float(enthalpy_j_kg(t, saturation_humidity_ratio(t))) for t in T], T)
    w_in = (h_1 * 1000 - 1006 * 30) / (2501000 + 1860 * 30)
    taken = [coil(surface, 1.0, 30.0, w_in, 101325.0, b).total_w for b in (0.0, 1.0)]
    return float(1 - (h_1 - h_2) * 1000 / (taken[0] - taken[1]))


T = np.linspace(-5, 25, 601)


@pytest.mark.parametrize("case_id", ["wet-nag-15-9", "wet-rajput"])
def test_bypass_factor_of_textbook_coils(case_id: str) -> None:
    # source: Nag, Example 15.9; Rajput, ch. 10
    known = case("heat_exchangers.json", case_id)
    given = known["inputs"]
    got = _bypass_of(given["h1"], given["h2"], given["h_s"])
    check(got, known["outputs"]["bypass_factor"], known["tolerance"], "bypass_factor")


def test_capacity_and_water_of_a_textbook_coil() -> None:
    # source: Rajput, ch. 10; humidity in g/kg, capacity in tons of 14,000 kJ/h as the book counts
    known = case("heat_exchangers.json", "wet-rajput")
    given = known["inputs"]
    m = given["V_m3_min"] / given["v1"] / 60
    w_1, w_2 = given["W1"] / 1000, given["W3"] / 1000
    t_1 = (given["h1"] * 1000 - 2501000 * w_1) / (1006 + 1860 * w_1)
    bypass = known["outputs"]["bypass_factor"]
    surface = np.interp(
        given["h_s"] * 1000, [float(enthalpy_j_kg(t, saturation_humidity_ratio(t))) for t in T], T
    )
    got = coil(surface, m, t_1, w_1, 101325.0, bypass)
    check(got.total_w * 3.6 / 14000, known["outputs"]["capacity_TR"], known["tolerance"], "capacity_TR")
    check(m * (w_1 - w_2) * 3600, known["outputs"]["m_w_kg_h"], known["tolerance"], "m_w_kg_h")


def test_an_evaporator_rating_by_mean_temperature_difference() -> None:
    # source: Hundy, Trott and Welch, Example 10.1: dry, sensible, air off and logarithmic mean difference
    known = case("heat_exchangers.json", "ntu-hundy-10-1")
    g = known["inputs"]
    heat = g["rating_kW_K"] * (g["T_air_in"] - g["T_refrig"])
    contact = heat / (g["m_air"] * g["cp_air"] * (g["T_air_in"] - g["T_refrig"]))
    got = coil(g["T_refrig"], g["m_air"], g["T_air_in"], 0.0, 101325.0, 1 - contact)
    mean = heat * 1000 / (-g["m_air"] * 1006 * np.log(got.bypass_factor))
    check(got.total_w / 1000, known["outputs"]["Q_kW"], known["tolerance"], "Q_kW")
    check(got.air_off_c, known["outputs"]["T_air_out"], known["tolerance"], "T_air_out")
    check(mean, known["outputs"]["LMTD_K"], known["tolerance"], "LMTD_K")


def test_wet_and_dry_meet_without_a_step() -> None:
    w_in = humidity_ratio(27.0, 0.5)
    dew = float(dew_point_c(w_in))
    surface = dew + np.linspace(-1e-6, 1e-6, 41)
    got = coil(surface, 0.1, 27.0, w_in, 101325.0, 0.2)
    for value, scale in (
        (got.total_w, 1000.0),
        (got.sensible_w, 1000.0),
        (got.latent_w, 1000.0),
        (got.air_off_c, 1.0),
    ):
        assert np.abs(np.diff(value)).max() < 1e-6 * scale
    assert got.latent_w[surface > dew + 1e-8] == pytest.approx(0, abs=1e-9)
    assert (got.latent_w[surface < dew - 1e-8] > 0).all()


def test_air_off_lies_between_surface_and_inlet_and_heat_balances() -> None:
    rng = np.random.default_rng(5)
    t_in, rh, bypass = rng.uniform(15, 45, 200), rng.uniform(0.1, 0.9, 200), rng.uniform(0.05, 0.6, 200)
    w_in, surface = humidity_ratio(t_in, rh), t_in - rng.uniform(1, 30, 200)
    got = coil(surface, 0.1, t_in, w_in, 101325.0, bypass)
    assert ((got.air_off_c > surface) & (got.air_off_c < t_in)).all()
    assert (got.air_off_w <= w_in + 1e-15).all()
    h_out = enthalpy_j_kg(got.air_off_c, got.air_off_w)
    np.testing.assert_allclose(got.total_w, 0.1 * (enthalpy_j_kg(t_in, w_in) - h_out), rtol=1e-9)
    np.testing.assert_allclose(got.sensible_w + got.latent_w, got.total_w, rtol=1e-12)


def test_a_single_total_uses_the_named_default_and_gives_the_point_back() -> None:
    model = fit_evaporator([ONE])
    assert len(model.assumed) == 1
    assert "coil_refrigerant_side_share" in model.assumed[0]
    got = rated_heat_w(model.ua_air_w_k, model.ref_air_kg_s, model.ua_ref_w_k, [ONE])
    assert got.total_w[0] == pytest.approx(3500, rel=1e-9)
    assert model.rms_error_share < 1e-9


def test_a_fit_recovers_the_coil_behind_its_points() -> None:
    true = (190.0, 0.12, 800.0)
    empty = [
        RatedCoilPoint(v, t, rh, -2.0, 1.0) for v, t, rh in ((250, 27, 0.5), (400, 27, 0.5), (550, 35, 0.4))
    ]
    heat = rated_heat_w(*true, empty)
    points = [
        replace(p, total_w=float(q), sensible_w=float(s))
        for p, q, s in zip(empty, heat.total_w, heat.sensible_w, strict=True)
    ]
    model = fit_evaporator(points)
    at_true_flow = model.ua_air_w_k * (true[1] / model.ref_air_kg_s) ** 0.8
    assert at_true_flow == pytest.approx(true[0], rel=1e-5)
    assert model.ua_ref_w_k == pytest.approx(true[2], rel=1e-5)
    assert model.rms_error_share < 1e-7
    assert model.assumed == ()


def test_one_point_with_its_sensible_part_needs_no_default() -> None:
    model = fit_evaporator([replace(ONE, sensible_w=2105.0)])
    assert model.assumed == ()
    assert model.rms_error_share < 0.01


def test_points_that_differ_in_nothing_fall_back_on_the_default() -> None:
    model = fit_evaporator([ONE, replace(ONE, total_w=3520)])
    assert "coil_refrigerant_side_share" in model.assumed[0]
    assert model.rms_error_share == pytest.approx(20 / 3520 / np.sqrt(2), rel=1e-6)


def test_where_the_first_point_can_not_be_the_next_one_is_taken() -> None:
    # both of one state: they can't tell the sides apart
    alone, both = fit_evaporator([ONE]), fit_evaporator([replace(ONE, total_w=9000.0), ONE])
    assert "coil_refrigerant_side_share" in both.assumed[0]
    assert (both.ua_air_w_k, both.ua_ref_w_k) == pytest.approx((alone.ua_air_w_k, alone.ua_ref_w_k))


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"airflow_m3_h": 0.0}, "air flow and heat above zero"),
        ({"total_w": -1.0}, "air flow and heat above zero"),
        ({"rh": 0.0}, "relative humidity"),
        ({"evaporating_c": 27.0}, "evaporate below its air inlet"),
        ({"sensible_w": 4000.0}, "sensible heat lies above zero"),
        ({"total_w": float("nan")}, "not a number"),
        ({"total_w": 9000.0}, "Rated are 9000 W at"),
    ],
)
def test_impossible_rated_points_are_refused(change: dict[str, float], sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        fit_evaporator([replace(ONE, **change)])


def test_no_points_are_refused() -> None:
    with pytest.raises(ValueError, match="at least one rated point"):
        fit_evaporator([])


def test_a_rated_point_left_out_comes_back_within_the_stated_error() -> None:
    """Heats as a data sheet has them, rounded to 50 W; a lone point may miss by three such errors."""
    states = [
        (v, t, rh, e) for v in (250, 350, 450, 550) for t, rh, e in ((27.0, 0.5, -2.0), (35.0, 0.4, 3.0))
    ]
    empty = [RatedCoilPoint(v, t, rh, e, 1.0) for v, t, rh, e in states]
    heat = rated_heat_w(190.0, 0.12, 800.0, empty).total_w
    points = [replace(p, total_w=float(50 * round(q / 50))) for p, q in zip(empty, heat, strict=True)]
    for k in range(2, 6):
        model = fit_evaporator(points[:k] + points[k + 1 :])
        assert 0 < model.rms_error_share < 0.01
        assert model.assumed == ()
        got = rated_heat_w(model.ua_air_w_k, model.ref_air_kg_s, model.ua_ref_w_k, [points[k]]).total_w[0]
        assert abs(got / points[k].total_w - 1) <= 3 * model.rms_error_share
