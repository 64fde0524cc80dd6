"""The sun's place against the NREL example, ASHRAE's examples, Meeus' and pvlib's full almanac."""

from dataclasses import astuple
from datetime import datetime
from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pvlib import spa

from tests.reference import case, check
from tests.sampling import Sampled
from tests.vehicles.physics.solar import PVLIB_CASES, arc_deg, hold, ids
from vehicles.physics import sun_position as sp

DELTA_T_S = 67.0
"""What pvlib's almanac takes for the lead of dynamical time, and the NREL example too."""


def clock_h(when: datetime) -> float:
    return when.hour + when.minute / 60 + when.second / 3600


def refraction_deg(altitude: Any, pressure_pa: Any = 101325.0, temperature_c: Any = 12.0) -> Any:
    """How much higher than it stands the sun is seen through the air; 0 once all of it is below the horizon.

    Source: Sæmundsson's formula, as in J. Meeus, Astronomical Algorithms, ch. 16, and NREL/TP-560-34302 eq. 42
    """
    up = np.asarray(altitude) >= -0.833
    safe = np.where(up, altitude, 45.0)
    lift = 1.02 / (60 * np.tan(np.radians(safe + 10.3 / (safe + 5.11))))
    return np.where(up, pressure_pa / 101000 * 283 / (273 + temperature_c) * lift, 0.0)[()]


def test_the_nrel_example_is_met_within_its_own_tolerance() -> None:
    # NREL/TP-560-34302 table A5.1; its zenith is seen through the air
    one = case("solar.json", "sol-spa")
    i, tolerance = one["inputs"], one["tolerance"]
    when = datetime.fromisoformat(i["local_time"])
    date = (when.year, when.month, when.day)
    at = sp.sun_position(i["lat"], i["lon"], i["utc_offset_h"], *date, clock_h=clock_h(when))
    seen = at.altitude_deg + refraction_deg(at.altitude_deg, 100 * i["pressure_mbar"], i["temp_C"])
    got = {
        "julian_day": sp.julian_day(*date, clock_h(when) - i["utc_offset_h"]),
        "zenith_deg": 90 - seen,
        "azimuth_deg_from_N": 180 + at.azimuth_deg,
    }
    for name, value in got.items():
        check(value, one["outputs"][name], tolerance, name)


def test_ashrae_example_1_noon_altitude_and_azimuth() -> None:
    i = case("solar.json", "sol-ashrae-ex1")["inputs"]
    hold(
        "sol-ashrae-ex1",
        {
            "altitude_deg": sp.altitude_deg(i["lat"], i["decl"], 0.0),
            "azimuth_deg_from_south": sp.azimuth_deg(i["lat"], i["decl"], 0.0),
        },
    )


def test_ashrae_example_2_afternoon_position() -> None:
    # the example is of 21 July; its own declination, 0.1° off the almanac's, is taken for the azimuth
    one = case("solar.json", "sol-ashrae-ex2")
    i, o = one["inputs"], one["outputs"]
    at = sp.sun_position(i["lat"], i["lon"], i["tz"], 2021, 7, 21, clock_h=i["clock_h_DST"] - 1)
    hold(
        "sol-ashrae-ex2",
        {
            "AST_h": 12 + at.hour_angle_deg / 15,
            "hour_angle_deg": at.hour_angle_deg,
            "altitude_deg": at.altitude_deg,
            "azimuth_deg_from_south": sp.azimuth_deg(i["lat"], i["decl"], o["hour_angle_deg"]),
        },
    )
    check(sp.altitude_deg(i["lat"], i["decl"], o["hour_angle_deg"]), o["altitude_deg"], one["tolerance"], "")


def test_the_apparent_place_of_meeus_example_from_memory() -> None:
    one = case("solar.json", "sol-meeus-25b")
    days = one["inputs"]["julian_day"] - sp.J2000 - sp.CLOCK_DRIFT_S / 86400
    ascension, declination, _, _ = sp._on_the_sky(np.float64(days))
    hold("sol-meeus-25b", {"right_ascension_deg": ascension % 360, "declination_deg": declination})


@pytest.mark.parametrize("one", PVLIB_CASES, ids=ids(PVLIB_CASES))
def test_the_cases_of_pvlib_agree(one: dict[str, Any]) -> None:
    i, o, tolerance = one["inputs"], one["outputs"], one["tolerance"]
    when = datetime.fromisoformat(i["time"])
    offset = {"Etc/GMT+7": -7, "UTC": 0}[i["tz"]]
    at = sp.sun_position(i["lat"], i["lon"], offset, when.year, when.month, when.day, clock_h=clock_h(when))
    seen = at.altitude_deg + refraction_deg(at.altitude_deg)
    check(90 - at.altitude_deg, o["zenith_deg"], tolerance, "zenith_deg")
    check(90 - seen, o["apparent_zenith_deg"], tolerance, "apparent_zenith_deg")
    check(at.azimuth_deg + 180, o["azimuth_deg_N"], tolerance, "azimuth_deg_N")
    if "eot_min" in o:
        check(at.equation_of_time_min, o["eot_min"], tolerance, "eot_min")


def almanac(times: pd.DatetimeIndex, latitude: Any, longitude: Any) -> Any:
    """Rows of pvlib's almanac: seen zenith, zenith, seen altitude, altitude, azimuth, equation of time."""
    unix = ((times - pd.Timestamp("1970-01-01", tz="UTC")) / pd.Timedelta("1s")).to_numpy()
    rows = [
        spa.solar_position(np.array([u]), la, lo, 0.0, 1010.0, 12.0, DELTA_T_S, 0.5667, numthreads=1)
        for u, la, lo in zip(unix, latitude, longitude, strict=True)
    ]
    return np.array(rows)[:, :, 0].T


def test_random_places_and_times_agree_with_the_almanac_within_the_stated_agreement(
    sampled: Sampled[int],
) -> None:
    # agreement stated: 0.006° of arc and 0.025 min, over latitudes −66 to 66 and the years 2000 to 2050
    rng = np.random.default_rng(20261125)
    n = 1500
    latitude, longitude = rng.uniform(-66, 66, n), rng.uniform(-180, 180, n)
    seconds = rng.integers(0, 51 * 365 * 86400, n)
    taken = sampled(range(n), 300)
    latitude, longitude, seconds = latitude[taken], longitude[taken], seconds[taken]
    times = pd.DatetimeIndex(pd.Timestamp("2000-01-01", tz="UTC") + pd.to_timedelta(seconds, unit="s"))
    seen_zenith, _, _, altitude, azimuth, equation = almanac(times, latitude, longitude)
    hour = ((times - times.normalize()) / pd.Timedelta("1h")).to_numpy()
    at = sp.sun_position(latitude, longitude, 0, times.year, times.month, times.day, clock_h=hour)
    assert arc_deg((at.altitude_deg, at.azimuth_deg), (altitude, azimuth - 180)).max() < 0.006
    assert np.abs(at.equation_of_time_min - equation).max() < 0.025
    lift = refraction_deg(at.altitude_deg, 101000)
    up = altitude > -0.8
    assert np.abs(90 - at.altitude_deg - lift - seen_zenith)[up].max() < 0.006


@pytest.mark.parametrize("offset", [-7.0, 5.5, 14.0, -9.5])
def test_the_same_instant_by_another_clock_is_the_same_sun(offset: float) -> None:
    here = sp.sun_position(48.0, 11.0, 0.0, 2024, 5, 17, clock_h=9.0)
    date = 17 + (9.0 + offset) // 24
    there = sp.sun_position(48.0, 11.0, offset, 2024, 5, date, clock_h=(9.0 + offset) % 24)
    assert there.altitude_deg == pytest.approx(here.altitude_deg, abs=1e-6)
    assert there.azimuth_deg == pytest.approx(here.azimuth_deg, abs=1e-6)


def test_known_julian_days() -> None:
    # J2000.0 by definition; 1957-10-04.81 of Meeus, Astronomical Algorithms, example 7.a (from memory)
    assert sp.julian_day(2000, 1, 1, 12) == 2451545.0
    assert sp.julian_day(1957, 10, 4, 0.81 * 24) == pytest.approx(2436116.31, abs=1e-6)


def test_julian_days_agree_with_the_calendar_of_pandas() -> None:
    days = pd.date_range("1950-01-01", "2100-12-31", freq="11D")
    assert np.array_equal(sp.julian_day(days.year, days.month, days.day), days.to_julian_date())


@given(st.floats(-90, 90), st.floats(0, 24))
def test_altitude_and_azimuth_are_angles_of_the_sky(latitude: float, hour: float) -> None:
    at = sp.sun_position(latitude, 10.0, 1.0, 2025, 6, 21, clock_h=hour)
    assert -90 <= at.altitude_deg <= 90
    assert -180 <= at.azimuth_deg <= 180


def test_at_the_solstices_the_sun_is_overhead_at_the_tropics() -> None:
    for month, latitude in ((6, 23.44), (12, -23.44)):
        hours = np.linspace(11.5, 12.5, 241)
        at = sp.sun_position(latitude, 0.0, 0.0, 2025, month, 21, clock_h=hours)
        assert at.altitude_deg.max() == pytest.approx(90, abs=0.15)


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"latitude_deg": 90.5}, "latitude"),
        ({"latitude_deg": float("nan")}, "latitude"),
        ({"longitude_deg": -181}, "longitude"),
        ({"utc_offset_h": 15}, "universal time"),
        ({"month": 13}, "no such day"),
        ({"month": 0}, "no such day"),
        ({"month": 2, "day": 29}, "no such day"),
        ({"day": 20.5}, "no such day"),
        ({"year": 1949}, "no such day"),
        ({"year": float("nan")}, "no such day"),
        ({"clock_h": 24.5}, "hour"),
        ({"clock_h": float("nan")}, "hour"),
    ],
)
def test_what_cannot_be_is_refused_and_marked_in_a_batch(changes: dict[str, float], sentence: str) -> None:
    good = {
        "latitude_deg": 52.0, "longitude_deg": -4.0, "utc_offset_h": 0.0, "year": 2025, "month": 7, "day": 21,
        "clock_h": 13.0,
    }  # fmt: skip
    with pytest.raises(ValueError, match=sentence):
        sp.sun_position(**(good | changes))
    batch = {name: np.array([value, changes.get(name, value)]) for name, value in good.items()}
    at = sp.sun_position(**batch)
    for column in astuple(at):
        assert np.isnan(column).tolist() == [False, True]


def test_29_february_is_a_day_of_leap_years_only() -> None:
    assert np.isnan(sp.julian_day([2000, 2024, 2025, 2100], 2, 29)).tolist() == [False, False, True, True]


def test_refraction_lifts_the_sun_at_the_horizon_and_not_overhead_nor_at_night() -> None:
    # about 29 arc minutes on the horizon: the usual 34 minutes are for a sun that is seen there
    assert refraction_deg(0.0) == pytest.approx(0.48, abs=0.01)
    assert refraction_deg(90.0) == pytest.approx(0, abs=1e-3)
    assert refraction_deg(-10.0) == 0
