"""A design day: its course, its air, its sun."""

from dataclasses import replace

import numpy as np
import pytest

from tests.reference import case, check
from tests.vehicles.physics.solar import arc_deg
from vehicles.physics.air import humidity_ratio, pressure_from_altitude_pa, saturation_humidity_ratio
from vehicles.physics.clear_sky import clear_sky_w_m2, extraterrestrial_w_m2
from vehicles.physics.design_day import (
    DESIGN_YEAR,
    DesignDay,
    Site,
    clock_gap_h,
    daily_course,
    outside_temperature_c,
    sun_of_day,
    weather_of_day,
)
from vehicles.physics.sun_position import sun_position

ATLANTA = Site(
    code="A", name="Atlanta", latitude_deg=33.64, longitude_deg=-84.43, utc_offset_h=-5.0, altitude_m=313.0
)
JULY = DesignDay(
    site=ATLANTA,
    month=7,
    day=21,
    dry_bulb_max_c=33.1,
    daily_range_k=11.5,
    humidity_kg_kg=0.0146,
    beam_tau=0.515,
    diffuse_tau=2.066,
)


def test_ashrae_examples_1_to_4_follow_from_place_date_and_hour() -> None:
    # the handbook's examples of 21 July in Atlanta: 15 h daylight saving time, and solar noon
    sun = sun_of_day(JULY, 14.0)
    ex2, ex4 = case("solar.json", "sol-ashrae-ex2"), case("solar.json", "sol-ashrae-ex4")
    check(sun.altitude_deg, ex2["outputs"]["altitude_deg"], ex2["tolerance"], "altitude_deg")
    check(sun.beam_normal_w_m2, ex4["outputs"]["Eb"], ex4["tolerance"], "Eb")
    check(sun.diffuse_horizontal_w_m2, ex4["outputs"]["Ed"], ex4["tolerance"], "Ed")
    noon = sun_of_day(JULY, np.linspace(12, 14, 481))
    ex3 = case("solar.json", "sol-ashrae-ex3")
    check(noon.beam_normal_w_m2.max(), ex3["outputs"]["Eb"], ex3["tolerance"], "Eb")
    check(noon.diffuse_horizontal_w_m2.max(), ex3["outputs"]["Ed"], ex3["tolerance"], "Ed")


def test_one_hour_and_many_are_the_same_sun() -> None:
    hours = np.array([6.0, 12.5, 18.0])
    many = sun_of_day(JULY, hours)
    for k, hour in enumerate(hours):
        one = sun_of_day(JULY, hour)
        assert one.altitude_deg == many.altitude_deg[k]
        assert one.beam_normal_w_m2 == many.beam_normal_w_m2[k]
    assert np.ndim(sun_of_day(JULY, 12.5).beam_normal_w_m2) == 0


def test_beam_and_diffuse_are_the_clear_skys_of_the_suns_altitude() -> None:
    sun = sun_of_day(JULY, 9.0)
    beam, diffuse = clear_sky_w_m2(sun.altitude_deg, extraterrestrial_w_m2(202), 0.515, 2.066)
    assert sun.beam_normal_w_m2 == pytest.approx(beam)
    assert sun.diffuse_horizontal_w_m2 == pytest.approx(diffuse)


def test_no_sun_at_night_nor_in_the_polar_night() -> None:
    night = sun_of_day(JULY, [0.0, 3.0, 23.0])
    assert (night.altitude_deg < 0).all()
    assert not night.beam_normal_w_m2.any() and not night.diffuse_horizontal_w_m2.any()
    polar = replace(JULY, site=replace(ATLANTA, latitude_deg=75.0), month=12)
    assert not sun_of_day(polar, np.arange(25)).beam_normal_w_m2.any()


def test_the_sun_rises_in_the_east_and_sets_in_the_west() -> None:
    sun = sun_of_day(JULY, [7.0, 18.0])
    assert 45 < sun.azimuth_from_north_deg[0] < 90 < 270 < sun.azimuth_from_north_deg[1] < 300


def test_the_year_of_a_design_day_matters_little() -> None:
    # stated: at most 0.4° of arc off any year from 2000 to 2050
    rng = np.random.default_rng(3)
    n = 2000
    place = rng.uniform(-66, 66, n), rng.uniform(-180, 180, n), 0
    date, hour = (rng.integers(1, 13, n), rng.integers(1, 29, n)), rng.uniform(0, 24, n)
    ours = sun_position(*place, DESIGN_YEAR, *date, clock_h=hour)
    for year in (2000, 2003, 2024, 2028, 2048, 2050):
        other = sun_position(*place, year, *date, clock_h=hour)
        arc = arc_deg((ours.altitude_deg, ours.azimuth_deg), (other.altitude_deg, other.azimuth_deg))
        assert arc.max() < 0.4, year


def test_the_course_of_the_day_has_its_full_range() -> None:
    hours = np.arange(0, 24.01, 0.25)
    warm = outside_temperature_c(JULY, hours)
    assert warm.max() == outside_temperature_c(JULY, 14.0) == outside_temperature_c(JULY, 15.0) == 33.1
    assert warm.min() == outside_temperature_c(JULY, 5.0) == pytest.approx(33.1 - 11.5)
    assert outside_temperature_c(JULY, 0.0) == outside_temperature_c(JULY, 24.0)
    # between full hours half of each: fractions 0.38 at 10 h and 0.23 at 11 h (ASHRAE ch. 14, from memory)
    assert outside_temperature_c(JULY, 10.5) == pytest.approx(33.1 - 0.305 * 11.5)


def test_the_course_has_24_shares_from_none_to_all() -> None:
    fractions = daily_course()["fraction"]
    assert daily_course()["hour_h"] == list(range(1, 25))
    assert len(fractions) == 24
    assert (min(fractions), max(fractions)) == (0, 1)


def test_humidity_is_the_days_all_day_and_never_above_saturation() -> None:
    hours = np.arange(0, 25.0)
    pressure = pressure_from_altitude_pa(ATLANTA.altitude_m)
    air = weather_of_day(JULY, hours)
    assert humidity_ratio(air.outside_c, air.rh, pressure) == pytest.approx(np.full(25, 0.0146), rel=1e-6)
    moist = weather_of_day(replace(JULY, humidity_kg_kg=0.022), hours)
    saturated = saturation_humidity_ratio(moist.outside_c, pressure) < 0.022
    assert saturated.any() and not saturated.all()
    assert moist.rh[saturated] == pytest.approx(1)
    assert (moist.rh <= 1).all()


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"daily_range_k": -1.0}, "range"),
        ({"daily_range_k": float("nan")}, "range"),
        ({"dry_bulb_max_c": float("nan")}, "highest temperature"),
        ({"humidity_kg_kg": -0.001}, "humidity"),
        ({"humidity_kg_kg": float("nan")}, "humidity"),
        ({"beam_tau": 0.0}, "optical"),
        ({"month": 13}, "no such day"),
        ({"month": 6, "day": 31}, "no such day"),
        ({"site": replace(ATLANTA, latitude_deg=95.0)}, "latitude"),
    ],
)
def test_a_day_that_cannot_be_is_refused(changes: dict[str, object], sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        weather_of_day(replace(JULY, **changes), 12.0)


def test_an_hour_beyond_the_day_is_refused() -> None:
    for hour in (-0.5, 24.5, float("nan")):
        with pytest.raises(ValueError, match="hour"):
            outside_temperature_c(JULY, hour)
        with pytest.raises(ValueError, match="hour"):
            sun_of_day(JULY, hour)


@pytest.mark.parametrize(
    ("longitude", "offset", "gap"),
    [(0, 0, 0), (-84.43, -5, 0.629), (-157.5, 14, 0.5), (180, -12, 0), (-180, 12, 0), (121, -8, 7.933), (120, -8, 8)],
)  # fmt: skip
def test_the_gap_of_clock_and_sun_is_that_on_either_side_of_the_date_line(longitude, offset, gap) -> None:
    assert clock_gap_h(longitude, offset) == pytest.approx(gap, abs=0.001)
