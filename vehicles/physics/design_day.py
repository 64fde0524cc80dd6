"""A design day of a site: where it is, how warm and moist it gets, how clear the sky is, and the sun by the hour."""

import json
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from vehicles.physics.air import (
    pressure_from_altitude_pa,
    relative_humidity,
    saturation_humidity_ratio,
)
from vehicles.physics.arrays import FloatArray, Refusal, answer, floats, scalar_or_array
from vehicles.physics.clear_sky import clear_sky_w_m2, extraterrestrial_w_m2
from vehicles.physics.origin import Kind, Origin
from vehicles.physics.sun import ALBEDO
from vehicles.physics.sun_position import julian_day, sun_position

DESIGN_YEAR = 2025
"""A design day belongs to no year; one in the middle of them is at most 0.4° of arc off any from 2000 to 2050."""
MOST_CLOCK_GAP_H = 3.0
"""Standard time is nowhere much further from the sun: the widest zone, China’s, comes to about 3 h in its far west."""
COURSE_FILE = Path(__file__).parent / "daily_course.json"


@dataclass(frozen=True, kw_only=True)
class Site:
    """A place; utc_offset_h is that of its standard time."""

    code: str
    name: str
    latitude_deg: float
    longitude_deg: float
    utc_offset_h: float
    altitude_m: float = 0.0
    ground_reflectance: float = ALBEDO
    origin: Origin = field(default_factory=lambda: Origin(Kind.ESTIMATE))


def clock_gap_h(longitude_deg: float, utc_offset_h: float) -> float:
    """By how much a place's standard time runs before the mean sun there.

    Formula: utc_offset − longitude/15, whole days taken off
    Parameters: longitude_deg, east positive; utc_offset_h, east positive
    Returns: h, from −12 to below 12; positive where the clock is ahead of the sun
    Validity: mean sun; the equation of time adds up to a quarter of an hour
    Source: the earth turns by 15° an hour
    Check: by hand: 0 on a zone's own meridian, on either side of the date line too
    """
    return (utc_offset_h - longitude_deg / 15 + 12) % 24 - 12


@dataclass(frozen=True, kw_only=True)
class DesignDay:
    """A clear day of a month at a site.

    dry_bulb_max_c          highest temperature of the day, daily_range_k above the lowest
    humidity_kg_kg          humidity ratio, the same all day
    beam_tau, diffuse_tau   optical depths of the sky in that month
    """

    site: Site
    month: int
    day: int
    dry_bulb_max_c: float
    daily_range_k: float
    humidity_kg_kg: float
    beam_tau: float
    diffuse_tau: float
    origin: Origin = field(default_factory=lambda: Origin(Kind.ESTIMATE))


@dataclass(frozen=True)
class Sun:
    """The sun of a clear day at one hour or at many: its place and what it sends; no sun at night.

    azimuth_from_north_deg  clockwise, 0 to 360
    """

    altitude_deg: FloatArray
    azimuth_from_north_deg: FloatArray
    beam_normal_w_m2: FloatArray
    diffuse_horizontal_w_m2: FloatArray


@dataclass(frozen=True)
class Weather:
    """Air and sun of a design day, by the hour."""

    hour_h: FloatArray
    outside_c: FloatArray
    rh: FloatArray
    sun: Sun


@lru_cache(maxsize=1)
def daily_course() -> dict[str, Any]:
    """How far below the day's highest temperature each hour is, as a share of the daily range.

    Formula: f(hour) = (t_max − t)/range, a table for 24 hours
    Parameters: none; read once from daily_course.json
    Returns: the table, with its source
    Validity: a clear summer day
    Source: as the file says
    Check: from 0, in the afternoon, to 1, before sunrise

    >>> min(daily_course()["fraction"]), max(daily_course()["fraction"])
    (0.0, 1.0)
    """
    found: dict[str, Any] = json.loads(COURSE_FILE.read_text(encoding="utf-8"))
    return found


def sun_of_day(day: DesignDay, clock_h: ArrayLike) -> Sun:
    """The sun of a design day at an hour: where it stands and what it sends through a clear sky.

    Formula: position by place, date and hour; E_b = E_0·exp(−τ_b·m^ab), E_d = E_0·exp(−τ_d·m^ad); 0 at night
    Parameters: the design day with its site; clock_h local standard time, 0 to 24
    Returns: altitude and azimuth of the sun, beam normal and diffuse horizontal irradiance, W/m²
    Validity: clear sky; at twilight the little light of the sky is not counted
    Source: J. Meeus, Astronomical Algorithms; ASHRAE Handbook Fundamentals (SI), ch. 14
    Check: position within 0.006° of pvlib; ASHRAE examples 2 and 4: Atlanta on 21 July
    """
    site = day.site
    place_and_date = (
        site.latitude_deg, site.longitude_deg, site.utc_offset_h, DESIGN_YEAR, day.month, day.day,
    )  # fmt: skip
    # place and date are one for all hours: what is wrong with them is said at once, not marked hour by hour
    sun_position(*place_and_date, clock_h=12.0)
    at = sun_position(*place_and_date, clock_h=clock_h)
    is_up = at.altitude_deg > 0
    above = np.where(is_up, at.altitude_deg, 90.0)
    of_year = julian_day(DESIGN_YEAR, day.month, day.day) - julian_day(DESIGN_YEAR, 1, 1) + 1
    sky = clear_sky_w_m2(above, extraterrestrial_w_m2(of_year), day.beam_tau, day.diffuse_tau)
    beam, diffuse = (scalar_or_array(np.where(is_up, light, 0.0)) for light in sky)
    return Sun(at.altitude_deg, scalar_or_array((at.azimuth_deg + 180) % 360), beam, diffuse)


def outside_temperature_c(day: DesignDay, clock_h: ArrayLike) -> FloatArray:
    """Outside temperature of a design day at an hour.

    Formula: t = t_max − f(hour)·range, f between full hours by a straight line
    Parameters: dry_bulb_max_c and daily_range_k of the day; clock_h local standard time, 0 to 24
    Returns: °C
    Validity: a clear summer day; at the sea or in mountains the course is flatter or later
    Source: ASHRAE Handbook Fundamentals (SI), ch. 14, table of the fraction of the daily range, from memory
    Check: the highest at 14 and 15 h, the lowest at 5 h, a full range between them
    """
    hour = floats(clock_h)
    if not np.isfinite(day.dry_bulb_max_c):
        raise Refusal("The highest temperature of the day is missing.")
    if not day.daily_range_k >= 0:
        raise Refusal("A daily range of temperature is 0 or above.")
    fractions = daily_course()["fraction"]
    around = np.array([fractions[-1], *fractions])
    fraction = np.interp(hour, np.arange(25.0), around)
    warm = day.dry_bulb_max_c - fraction * day.daily_range_k
    return answer(warm, (hour >= 0) & (hour <= 24), "An hour of the day lies from 0 to 24.")


def weather_of_day(day: DesignDay, clock_h: ArrayLike) -> Weather:
    """Air and sun of a design day at many hours.

    Formula: temperature by its daily course; humidity ratio W the same all day, at most saturated (dew falls)
    Parameters: the design day; clock_h local standard time, 0 to 24
    Returns: temperature °C, relative humidity 0 to 1, and the sun
    Validity: as the sun and the temperature of a design day; pressure by the site's altitude
    Source: ASHRAE Handbook Fundamentals (SI), ch. 14
    Check: the humidity ratio comes back from temperature and relative humidity
    """
    hours = np.atleast_1d(floats(clock_h))
    warm = np.atleast_1d(outside_temperature_c(day, hours))
    pressure = pressure_from_altitude_pa(day.site.altitude_m)
    if not day.humidity_kg_kg >= 0:
        raise Refusal("A humidity ratio is 0 or above.")
    # after a moist day the night is colder than the dew point: what is too much falls as dew
    moist = np.minimum(day.humidity_kg_kg, saturation_humidity_ratio(warm, pressure))
    # rounding may leave a saturated hour a last digit above 1
    rh = np.minimum(relative_humidity(warm, moist, pressure), 1.0)
    return Weather(hours, warm, rh, sun_of_day(day, hours))
