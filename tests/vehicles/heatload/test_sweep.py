"""A design day swept: limits, symmetry, directions, and the same numbers one point at a time."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.vehicles.heatload.cars import COUPE, DASH_AIR, SUMMER, VAN, VAN_AIR, WINTER, point, with_surface
from vehicles.heatload.inputs import LoadPoint
from vehicles.heatload.load import heat_load
from vehicles.heatload.prepare import prepare
from vehicles.heatload.sweep import HEADING_WORDS, HOURS, Sweep, design_day_sweep, sweep_weather
from vehicles.physics.design_day import DesignDay, Site, weather_of_day
from vehicles.physics.sun import HEADINGS_DEG

COAST = Site(code="coast", name="Coast", latitude_deg=52.0, longitude_deg=0.0, utc_offset_h=0.0)
DAY = DesignDay(
    site=COAST,
    month=6,
    day=21,
    dry_bulb_max_c=27.0,
    daily_range_k=8.0,
    humidity_kg_kg=0.011,
    beam_tau=0.41,
    diffuse_tau=2.3,
)
CABIN_W = 0.010
OPPOSITE = {word: HEADING_WORDS[-k % 8] for k, word in enumerate(HEADING_WORDS)}
"""The heading mirrored at the line from south to north."""


def swept(at: LoadPoint | None = None, day: DesignDay = DAY, **more: object) -> Sweep:
    return design_day_sweep(at or point(), day, 25.0, CABIN_W, **more)


def test_each_hour_and_heading_is_the_load_of_that_point_alone() -> None:
    got = swept(point(VAN, SUMMER, VAN_AIR))
    weather = got.weather
    for hour, heading in ((5, 0), (9, 3), (14, 6), (23, 1)):
        alone = replace(
            SUMMER,
            outside_c=weather.outside_c[hour],
            rh=weather.rh[hour],
            beam_normal_w_m2=weather.sun.beam_normal_w_m2[hour],
            diffuse_horizontal_w_m2=weather.sun.diffuse_horizontal_w_m2[hour],
            sun_altitude_deg=weather.sun.altitude_deg[hour],
            heading_deg=HEADINGS_DEG[heading] - weather.sun.azimuth_from_north_deg[hour],
        )
        expected = heat_load(prepare([point(VAN, alone, VAN_AIR)]), 25.0, CABIN_W).total_w[0]
        assert got.load_w[hour, heading] == pytest.approx(expected, abs=1e-6)


def test_the_worst_is_the_greatest_of_all() -> None:
    got = swept()
    hour, heading = got.worst
    assert got.worst_w == got.load_w.max() == got.load_w[hour, heading]
    assert got.worst_hour_h == HOURS[hour]
    assert got.worst_heading == HEADING_WORDS[heading]
    # common practice, no source: early to mid afternoon, when air and sun are both strong
    assert 11 <= got.worst_hour_h <= 16


def test_at_night_there_is_no_sun_and_no_heading_is_worse() -> None:
    got = swept()
    night = got.weather.sun.altitude_deg < 0
    assert 5 <= night.sum() <= 9
    assert np.ptp(got.load_w[night], axis=1) == pytest.approx(0, abs=1e-9)
    dark = replace(
        got.weather,
        sun=replace(
            got.weather.sun,
            beam_normal_w_m2=np.zeros(24),
            diffuse_horizontal_w_m2=np.zeros(24),
        ),
    )
    without = sweep_weather(point(), DAY, dark, 25.0, CABIN_W)
    assert got.load_w[night] == pytest.approx(without.load_w[night])
    assert (got.load_w[~night] > without.load_w[~night]).all()


@pytest.mark.parametrize("cabin", [COUPE, VAN])
def test_a_symmetric_car_has_mirrored_loads_around_solar_noon(cabin: object) -> None:
    # at the solstice the declination stands still; without a daily range only the sun tells the hours apart
    day = replace(DAY, daily_range_k=0.0)
    weather = weather_of_day(day, np.linspace(11.5, 12.5, 601))
    noon = float(weather.hour_h[weather.sun.altitude_deg.argmax()])
    hours = noon + np.array([-6.0, -4.0, -2.5, -1.0, 1.0, 2.5, 4.0, 6.0])
    load = swept(point(cabin), day, hours=hours).load_w
    for k, word in enumerate(HEADING_WORDS):
        other = HEADING_WORDS.index(OPPOSITE[word])
        assert load[:4, k] == pytest.approx(load[:3:-1, other], rel=2e-3)
    # and the mirror shows something: a car that heads east is not loaded as one that heads west, side for side
    lopsided = with_surface(COUPE, "right", transmittance=0.1, absorptance=0.1)
    load = swept(point(lopsided), day, hours=hours).load_w
    east, west = HEADING_WORDS.index("north-east"), HEADING_WORDS.index("north-west")
    assert np.abs(load[:4, east] - load[:3:-1, west]).max() > 20


@given(st.floats(1, 1.5), st.floats(1, 1.5), st.sampled_from([COUPE, VAN]))
@settings(max_examples=25)
def test_more_sun_never_lowers_the_load(beam_factor: float, diffuse_factor: float, cabin: object) -> None:
    weather = weather_of_day(DAY, np.array([4.0, 7.0, 12.0, 17.0, 20.0]))
    sun = weather.sun
    more = replace(
        weather,
        sun=replace(
            sun,
            beam_normal_w_m2=sun.beam_normal_w_m2 * beam_factor,
            diffuse_horizontal_w_m2=sun.diffuse_horizontal_w_m2 * diffuse_factor,
        ),
    )
    less_w, more_w = (sweep_weather(point(cabin), DAY, w, 25.0, CABIN_W).load_w for w in (weather, more))
    assert (more_w >= less_w - 1e-9).all()


@given(st.floats(0, 0.9), st.floats(0, 0.1))
@settings(max_examples=15)
def test_paler_ground_never_lowers_the_load(reflectance: float, more: float) -> None:
    hours = np.array([3.0, 9.0, 13.0])
    dark, pale = (
        swept(day=replace(DAY, site=replace(COAST, ground_reflectance=r)), hours=hours).load_w
        for r in (reflectance, reflectance + more)
    )
    assert (pale >= dark - 1e-9).all()


def test_a_hotter_day_is_a_greater_load_at_every_hour() -> None:
    hot = swept(day=replace(DAY, dry_bulb_max_c=DAY.dry_bulb_max_c + 5))
    assert (hot.load_w > swept().load_w).all()


def test_south_of_the_equator_north_and_south_change_places() -> None:
    # the same sun half a year later, by the same clock but for the equation of time
    south = replace(DAY, site=replace(COAST, latitude_deg=-52.0), month=12, daily_range_k=0.0)
    there, here = swept(day=south), swept(day=replace(DAY, daily_range_k=0.0))
    assert there.worst_w == pytest.approx(here.worst_w, rel=0.05)
    assert there.worst_hour_h == pytest.approx(here.worst_hour_h, abs=1)


def test_an_incomplete_point_and_a_winter_point_are_refused() -> None:
    with pytest.raises(ValueError, match="volume is missing"):
        swept(point(replace(COUPE, volume_m3=None)))
    with pytest.raises(ValueError, match="cooling"):
        swept(point(COUPE, WINTER, DASH_AIR))
    with pytest.raises(ValueError, match="no such day"):
        swept(day=replace(DAY, month=13))
