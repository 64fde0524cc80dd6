"""Every function of moist air against PsychroLib over −20 to 60 °C, 5 to 100 % and 0 to 3,000 m, within 0.05 %.

PsychroLib 2.5 implements the same chapter independently. Agreements stated: 0.05 % of the value; for temperatures and
enthalpies 0.05 % of their distance from −100 °C and from dry air at −40 °C, where zero is no accident of the scale.
"""

import numpy as np
import psychrolib
import pytest

from tests.vehicles.physics.wet_bulb import (
    humidity_ratio_from_dew_point,
    humidity_ratio_from_wet_bulb,
    wet_bulb_c,
)
from vehicles.physics import air

AGREES = 5e-4
COUNT = 600
ICE_OR_WATER_K = 0.5


@pytest.fixture(autouse=True)
def oracle_in_si() -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)


@pytest.fixture(scope="module")
def states():
    """Temperature, relative humidity, pressure, and the humidity ratio by the oracle."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    rng = np.random.default_rng(71)
    t, rh, z = rng.uniform(-20, 60, COUNT), rng.uniform(0.05, 1.0, COUNT), rng.uniform(0, 3000, COUNT)
    p = each(psychrolib.GetStandardAtmPressure, z)
    return t, rh, z, p, each(psychrolib.GetHumRatioFromRelHum, t, rh, p)


def each(function, *columns):
    """The oracle's answer row by row."""
    return np.array([function(*(float(v) for v in row)) for row in zip(*columns, strict=True)])


def test_pressures(states) -> None:
    t, rh, z, p, w = states
    np.testing.assert_allclose(air.pressure_from_altitude_pa(z), p, rtol=AGREES)
    np.testing.assert_allclose(air.saturation_pressure_pa(t), each(psychrolib.GetSatVapPres, t), rtol=AGREES)
    oracle = each(psychrolib.GetVapPresFromHumRatio, w, p)
    np.testing.assert_allclose(air.vapour_pressure_pa(w, p), oracle, rtol=AGREES)
    np.testing.assert_allclose(oracle, each(psychrolib.GetVapPresFromRelHum, t, rh), rtol=AGREES)


def test_humidity_ratio_from_every_measure_of_humidity(states) -> None:
    t, rh, _, p, w = states
    np.testing.assert_allclose(air.humidity_ratio(t, rh, p), w, rtol=AGREES)
    saturated = each(psychrolib.GetSatHumRatio, t, p)
    np.testing.assert_allclose(air.saturation_humidity_ratio(t, p), saturated, rtol=AGREES)
    vapour = each(psychrolib.GetVapPresFromRelHum, t, rh)
    oracle = each(psychrolib.GetHumRatioFromVapPres, vapour, p)
    np.testing.assert_allclose(air.humidity_ratio_from_vapour_pressure(vapour, p), oracle, rtol=AGREES)
    dew = each(psychrolib.GetTDewPointFromRelHum, t, rh)
    oracle = each(psychrolib.GetHumRatioFromTDewPoint, dew, p)
    np.testing.assert_allclose(humidity_ratio_from_dew_point(dew, p), oracle, rtol=AGREES)
    wet = each(psychrolib.GetTWetBulbFromRelHum, t, rh, p)
    oracle = each(psychrolib.GetHumRatioFromTWetBulb, t, wet, p)
    np.testing.assert_allclose(humidity_ratio_from_wet_bulb(t, wet, p), oracle, rtol=AGREES)


def test_humidity_read_back(states) -> None:
    t, rh, _, p, w = states
    np.testing.assert_allclose(air.relative_humidity(t, w, p), rh, rtol=AGREES)
    dew = each(psychrolib.GetTDewPointFromHumRatio, t, w, p)
    np.testing.assert_allclose(air.dew_point_c(w, p) + 100, dew + 100, rtol=AGREES)
    wet = each(psychrolib.GetTWetBulbFromHumRatio, t, w, p)
    got = wet_bulb_c(t, w, p)
    away = np.abs(wet) > ICE_OR_WATER_K
    assert away.mean() > 0.95
    np.testing.assert_allclose(got[away] + 100, wet[away] + 100, rtol=AGREES)
    # near 0 °C ice and water on the bulb both satisfy the equations: ours is one that the oracle confirms
    np.testing.assert_allclose(each(psychrolib.GetHumRatioFromTWetBulb, t, got, p), w, rtol=AGREES)


def test_enthalpy_volume_and_density(states) -> None:
    t, _, _, p, w = states
    enthalpy = each(psychrolib.GetMoistAirEnthalpy, t, w)
    np.testing.assert_allclose(air.enthalpy_j_kg(t, w) + 40e3, enthalpy + 40e3, rtol=AGREES)
    back = each(psychrolib.GetTDryBulbFromEnthalpyAndHumRatio, enthalpy, w)
    np.testing.assert_allclose(air.temperature_from_enthalpy(enthalpy, w) + 100, back + 100, rtol=AGREES)
    volume = each(psychrolib.GetMoistAirVolume, t, w, p)
    np.testing.assert_allclose(air.specific_volume_m3_kg(t, w, p), volume, rtol=AGREES)
    density = each(psychrolib.GetMoistAirDensity, t, w, p)
    np.testing.assert_allclose(air.density_kg_m3(t, w, p), density, rtol=AGREES)


def test_the_mixture_of_two_streams(states) -> None:
    # by hand: water and enthalpy of both are kept; the temperature by the oracle's inverse
    t, _, _, _, w = states
    half = COUNT // 2
    flow = np.random.default_rng(72).uniform(0.01, 0.3, COUNT)
    got_t, got_w = air.mixed(flow[:half], t[:half], w[:half], flow[half:], t[half:], w[half:])
    total = flow[:half] + flow[half:]
    humidity = (flow[:half] * w[:half] + flow[half:] * w[half:]) / total
    h = each(psychrolib.GetMoistAirEnthalpy, t, w)
    enthalpy = (flow[:half] * h[:half] + flow[half:] * h[half:]) / total
    oracle = each(psychrolib.GetTDryBulbFromEnthalpyAndHumRatio, enthalpy, humidity)
    np.testing.assert_allclose(got_w, humidity, rtol=AGREES)
    np.testing.assert_allclose(got_t + 100, oracle + 100, rtol=AGREES)
