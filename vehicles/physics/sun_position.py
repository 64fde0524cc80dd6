"""Where the sun stands at a place, on a date, at a standard clock time.

Angles in degrees; the azimuth counts from south, west positive (as in the ASHRAE handbook), longitudes east
positive. All arguments broadcast; scalars give scalars, a batch marks a bad row with NaN.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from vehicles.physics.arrays import BoolArray, FloatArray, answer, floats, scalar_or_array
from vehicles.physics.sun import cos_deg, sin_deg

FIRST_YEAR, LAST_YEAR = 1950, 2100
J2000 = 2451545.0
"""Julian day of 1 January 2000, noon."""
DAYS_PER_CENTURY = 36525.0
CLOCK_DRIFT_S = 70.0
"""What the time of the almanac leads universal time by, 64 to 75 s from 2000 on; the sun moves 0.001° in that."""
PARALLAX_DEG = 0.002443
"""How much lower the sun stands from the ground than from the earth's middle, on the horizon: 8.794″."""
DAYS_OF_MONTH = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])


@dataclass(frozen=True)
class SunPosition:
    """The sun at a place and time.

    altitude_deg          of its middle over the horizon, without refraction; negative below
    azimuth_deg           from south, west positive
    declination_deg       between its rays and the equator
    hour_angle_deg        from its highest point of the day, afternoon positive: 15° an hour
    equation_of_time_min  sundial time minus mean solar time
    """

    altitude_deg: FloatArray
    azimuth_deg: FloatArray
    declination_deg: FloatArray
    hour_angle_deg: FloatArray
    equation_of_time_min: FloatArray


def sun_position(
    latitude_deg: ArrayLike,
    longitude_deg: ArrayLike,
    utc_offset_h: ArrayLike,
    year: ArrayLike,
    month: ArrayLike,
    day: ArrayLike,
    *,
    clock_h: ArrayLike,
) -> SunPosition:
    """The sun's altitude and azimuth at a place and a standard clock time.

    Formula: λ from mean longitude, equation of the centre and the five largest perturbations; sin δ = sin ε·sin λ;
        H = θ + longitude − α; sin β = cos L·cos δ·cos H + sin L·sin δ, less the parallax
    Parameters: latitude_deg north and longitude_deg east positive; utc_offset_h of standard time, east positive;
        clock_h standard time (daylight saving time less one hour), 0 to 24
    Returns: SunPosition, without refraction
    Validity: years 1950 to 2100; a place, a date or an hour that does not exist is refused (a batch: NaN)
    Source: J. Meeus, Astronomical Algorithms, ch. 12, 22 and 25 (low accuracy); perturbations: J. Meeus,
        Astronomical Formulae for Calculators, ch. 18; constants from memory
    Check: NREL/TP-560-34302 table A5.1 within 0.001°; pvlib's almanac within 0.006° of arc and 0.025 min
    """
    place = np.broadcast_arrays(*(floats(v) for v in (latitude_deg, longitude_deg, utc_offset_h, clock_h)))
    latitude, longitude, offset, clock = _checked_place(*place)
    days = julian_day(year, month, day, clock - offset) - J2000
    right_ascension, declination, turn, mean_longitude = _on_the_sky(days)
    hour = _half_turn(turn + longitude - right_ascension)
    seen = altitude_deg(latitude, declination, hour)
    equation = 4 * _half_turn(mean_longitude - right_ascension)
    return SunPosition(
        altitude_deg=scalar_or_array(seen - PARALLAX_DEG * cos_deg(seen)),
        azimuth_deg=azimuth_deg(latitude, declination, hour),
        declination_deg=_spread_to(declination, seen),
        hour_angle_deg=_spread_to(hour, seen),
        equation_of_time_min=_spread_to(equation, seen),
    )


def _checked_place(
    latitude: FloatArray, longitude: FloatArray, offset: FloatArray, clock: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    return (
        answer(latitude, np.abs(latitude) <= 90, "A latitude lies from 90° south (negative) to 90° north."),
        answer(
            longitude, np.abs(longitude) <= 180, "A longitude lies from 180° west (negative) to 180° east."
        ),
        answer(offset, np.abs(offset) <= 14, "Standard time is at most 14 h off universal time."),
        answer(clock, (clock >= 0) & (clock <= 24), "An hour of the day lies from 0 to 24."),
    )


def _on_the_sky(days: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """(right ascension, declination, sidereal time of Greenwich, mean longitude less aberration), degrees.

    days: universal time from J2000, in days. The last two are those of the true equinox, with its nutation.
    """
    t = (days + CLOCK_DRIFT_S / 86400) / DAYS_PER_CENTURY
    mean = 280.46646 + 36000.76983 * t + 0.0003032 * t**2
    anomaly = 357.52911 + 35999.05029 * t - 0.0001537 * t**2
    centre = (
        (1.914602 - 0.004817 * t - 0.000014 * t**2) * sin_deg(anomaly)
        + (0.019993 - 0.000101 * t) * sin_deg(2 * anomaly)
        + 0.000289 * sin_deg(3 * anomaly)
    )
    node = 125.04 - 1934.136 * t
    nutation, aberration = -0.00478 * sin_deg(node), 0.00569
    ecliptic = mean + centre + _perturbations_deg(t) - aberration + nutation
    obliquity = 23.4392911 - 0.0130042 * t - 1.64e-7 * t**2 + 5.04e-7 * t**3 + 0.00256 * cos_deg(node)
    ascension = np.degrees(np.arctan2(cos_deg(obliquity) * sin_deg(ecliptic), cos_deg(ecliptic)))
    declination = np.degrees(np.arcsin(sin_deg(obliquity) * sin_deg(ecliptic)))
    on_equator = nutation * cos_deg(obliquity)
    turn = 280.46061837 + 360.98564736629 * days + 0.000387933 * (days / DAYS_PER_CENTURY) ** 2
    return ascension, declination, turn + on_equator, mean - aberration + on_equator


def _perturbations_deg(t: FloatArray) -> FloatArray:
    """What Venus, Jupiter, the moon and one slow wave add to the longitude; their angles count from 1900."""
    c = t + 1
    venus = 0.00134 * cos_deg(153.23 + 22518.7541 * c) + 0.00154 * cos_deg(216.57 + 45037.5082 * c)
    jupiter = 0.00200 * cos_deg(312.69 + 32964.3577 * c)
    moon = 0.00179 * sin_deg(350.74 + 445267.1142 * c - 0.00144 * c**2)
    found: FloatArray = venus + jupiter + moon + 0.00178 * sin_deg(231.19 + 20.20 * c)
    return found


def julian_day(year: ArrayLike, month: ArrayLike, day: ArrayLike, hour_h: ArrayLike = 0.0) -> FloatArray:
    """Days from the start of the Julian count, at an hour of a date of our calendar.

    Formula: ⌊365.25·(Y + 4716)⌋ + ⌊30.6001·(M + 1)⌋ + D + 2 − ⌊Y/100⌋ + ⌊⌊Y/100⌋/4⌋ − 1524.5 + h/24, January and
        February as months 13 and 14 of the year before
    Parameters: hour_h of universal time; below 0 or above 24 it is of the day before or after
    Returns: days
    Validity: whole years 1950 to 2100, months and days that exist
    Source: J. Meeus, Astronomical Algorithms, ch. 7
    Check: 2000-01-01 12 h is 2451545.0; NREL/TP-560-34302: 2003-10-17 19:30:30 is 2452930.312847
    """
    y, m, d, h = np.broadcast_arrays(*(floats(v) for v in (year, month, day, hour_h)))
    exists = _exists(y, m, d)
    sentence = f"There is no such day, or not within {FIRST_YEAR} to {LAST_YEAR}: check year, month and day."
    y, m, d = (answer(v, exists, sentence) for v in (y, m, d))
    early = m <= 2
    y, m = np.where(early, y - 1, y), np.where(early, m + 12, m)
    century = np.floor(y / 100)
    whole = np.floor(365.25 * (y + 4716)) + np.floor(30.6001 * (m + 1))
    return scalar_or_array(whole + d + 2 - century + np.floor(century / 4) - 1524.5 + h / 24)


def _exists(year: FloatArray, month: FloatArray, day: FloatArray) -> BoolArray:
    """Whether the date is one of the calendar, in whole numbers."""
    whole = (year % 1 == 0) & (month % 1 == 0) & (day % 1 == 0)
    known = whole & (month >= 1) & (month <= 12) & (year >= FIRST_YEAR) & (year <= LAST_YEAR)
    at = np.where(known, month, 1).astype(int) - 1
    leap = (year % 4 == 0) & ((year % 100 != 0) | (year % 400 == 0)) & (month == 2)
    found: BoolArray = known & (day >= 1) & (day <= DAYS_OF_MONTH[at] + leap)
    return found


def altitude_deg(latitude_deg: ArrayLike, declination: ArrayLike, hour_angle: ArrayLike) -> FloatArray:
    """Altitude of the sun over the horizon; negative below.

    Formula: sin β = cos L·cos δ·cos H + sin L·sin δ
    Parameters: latitude_deg L, north positive; declination δ; hour_angle H from noon, 15° an hour
    Returns: degrees, −90 to 90
    Validity: the sun far away, without refraction
    Source: ASHRAE Handbook Fundamentals (SI), ch. 14, eq. 12
    Check: by hand: noon at an equinox at 50° north is 90° − 50°

    >>> round(float(altitude_deg(50, 0, 0)), 9)
    40.0
    """
    along = cos_deg(latitude_deg) * cos_deg(declination) * cos_deg(hour_angle)
    sine = along + sin_deg(latitude_deg) * sin_deg(declination)
    # rounding may leave a sine a last digit beyond 1
    return scalar_or_array(np.degrees(np.arcsin(np.clip(sine, -1, 1))))


def azimuth_deg(latitude_deg: ArrayLike, declination: ArrayLike, hour_angle: ArrayLike) -> FloatArray:
    """Azimuth of the sun from south, west positive.

    Formula: tan φ = sin H·cos δ/(cos H·cos δ·sin L − sin δ·cos L), by both signs
    Parameters: latitude_deg L, north positive; declination δ; hour_angle H from noon, 15° an hour, afternoon positive
    Returns: degrees, −180 to 180
    Validity: the sun far away; overhead there is none
    Source: ASHRAE Handbook Fundamentals (SI), ch. 14, eqs. 14 and 15
    Check: six hours after noon at an equinox the sun stands in the west

    >>> round(float(azimuth_deg(50, 0, 90)), 9)
    90.0
    """
    west = sin_deg(hour_angle) * cos_deg(declination)
    south = cos_deg(hour_angle) * cos_deg(declination) * sin_deg(latitude_deg)
    south = south - sin_deg(declination) * cos_deg(latitude_deg)
    return scalar_or_array(np.degrees(np.arctan2(west, south)))


def _half_turn(angle_deg: FloatArray) -> FloatArray:
    """The angle within −180 to 180."""
    found: FloatArray = (angle_deg + 180) % 360 - 180
    return found


def _spread_to(value: FloatArray, like: FloatArray) -> FloatArray:
    """The value in the shape of another; NaN where that is."""
    return scalar_or_array(np.where(np.isnan(like), np.nan, value))
