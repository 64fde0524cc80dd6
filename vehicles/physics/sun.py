"""The sun: where it stands, what a clear sky sends, and what falls on a tilted surface.

Angles in degrees. The altitude counts from the horizon; an azimuth counts from south, west positive (as in
the ASHRAE handbook). A surface's tilt is 0 facing up, 90 vertical, 180 facing down. Irradiances in W/m².
All arguments broadcast; scalars give scalars.
Source, unless another is named: ASHRAE Handbook Fundamentals (SI), chapter 14.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from vehicles.physics.arrays import FloatArray, answer, floats, scalar_or_array

SOLAR_CONSTANT_W_M2 = 1367.0
ALBEDO = 0.2
"""Share of the light that ordinary ground throws back (ASHRAE ch. 14: 0.2 for mixed ground)."""
HEADINGS_DEG = np.arange(0.0, 360.0, 45.0)
"""The eight headings of a car that are tried when the worst is asked for."""


def sin_deg(angle_deg: ArrayLike) -> FloatArray:
    """Sine of an angle in degrees."""
    return scalar_or_array(np.sin(np.radians(floats(angle_deg))))


def cos_deg(angle_deg: ArrayLike) -> FloatArray:
    """Cosine of an angle in degrees."""
    return scalar_or_array(np.cos(np.radians(floats(angle_deg))))


def equation_of_time_min(day_of_year: ArrayLike) -> FloatArray:
    """Sundial time minus clock time, minutes; day 1 is 1 January. Source: eqs. 5 and 6."""
    turn = 360 * (floats(day_of_year) - 1) / 365
    return scalar_or_array(
        2.2918
        * (
            0.0075
            + 0.1868 * cos_deg(turn)
            - 3.2077 * sin_deg(turn)
            - 1.4615 * cos_deg(2 * turn)
            - 4.089 * sin_deg(2 * turn)
        )
    )


def declination_deg(day_of_year: ArrayLike) -> FloatArray:
    """Angle between the sun's rays and the equator: 23.45·sin(360·(n + 284)/365). Source: eq. 10."""
    return scalar_or_array(23.45 * sin_deg(360 * (floats(day_of_year) + 284) / 365))


def extraterrestrial_w_m2(day_of_year: ArrayLike) -> FloatArray:
    """Normal irradiance outside the air: 1367·(1 + 0.033·cos(360·(n − 3)/365)). Source: eq. 4."""
    return scalar_or_array(SOLAR_CONSTANT_W_M2 * (1 + 0.033 * cos_deg(360 * (floats(day_of_year) - 3) / 365)))


def solar_time_h(
    clock_h: ArrayLike, utc_offset_h: ArrayLike, longitude_deg: ArrayLike, equation_min: ArrayLike
) -> FloatArray:
    """Apparent solar time, h: clock + ET/60 + (longitude − 15·offset)/15.

    clock_h is standard time (daylight saving time less one hour); longitude east positive. Source: eqs. 7, 8.
    """
    meridian = 15 * floats(utc_offset_h)
    shift_h = floats(equation_min) / 60 + (floats(longitude_deg) - meridian) / 15
    return scalar_or_array(floats(clock_h) + shift_h)


def hour_angle_deg(apparent_solar_time_h: ArrayLike) -> FloatArray:
    """15° per hour from noon, afternoon positive. Source: eq. 11."""
    return scalar_or_array(15 * (floats(apparent_solar_time_h) - 12))


def altitude_deg(latitude_deg: ArrayLike, declination: ArrayLike, hour_angle: ArrayLike) -> FloatArray:
    """Sun altitude: sin β = cos L·cos δ·cos H + sin L·sin δ. Negative below the horizon. Source: eq. 12."""
    along = cos_deg(latitude_deg) * cos_deg(declination) * cos_deg(hour_angle)
    sine = along + sin_deg(latitude_deg) * sin_deg(declination)
    return scalar_or_array(np.degrees(np.arcsin(np.clip(sine, -1, 1))))


def azimuth_deg(latitude_deg: ArrayLike, declination: ArrayLike, hour_angle: ArrayLike) -> FloatArray:
    """Sun azimuth from south, west positive, −180 to 180. Source: eqs. 14 and 15."""
    west = sin_deg(hour_angle) * cos_deg(declination)
    south = cos_deg(hour_angle) * cos_deg(declination) * sin_deg(latitude_deg)
    south = south - sin_deg(declination) * cos_deg(latitude_deg)
    return scalar_or_array(np.degrees(np.arctan2(west, south)))


def position_deg(
    latitude_deg: ArrayLike,
    longitude_deg: ArrayLike,
    utc_offset_h: ArrayLike,
    day_of_year: ArrayLike,
    clock_h: ArrayLike,
) -> tuple[FloatArray, FloatArray]:
    """(altitude, azimuth from south) at a place and a standard clock time.

    Agreement with the full almanac: 1.2° of arc at worst (autumn), 0.8 min.
    """
    declination = declination_deg(day_of_year)
    time_h = solar_time_h(clock_h, utc_offset_h, longitude_deg, equation_of_time_min(day_of_year))
    hour = hour_angle_deg(time_h)
    return altitude_deg(latitude_deg, declination, hour), azimuth_deg(latitude_deg, declination, hour)


def air_mass(sun_altitude_deg: ArrayLike) -> FloatArray:
    """Relative air mass 1/(sin β + 0.50572·(6.07995 + β)^−1.6364), sun above the horizon. Source: eq. 16."""
    beta = floats(sun_altitude_deg)
    valid = (beta >= 0) & (beta <= 90)
    safe = np.where(valid, beta, 45.0)
    mass = 1 / (sin_deg(safe) + 0.50572 * (6.07995 + safe) ** -1.6364)
    return answer(mass, valid, "The air mass needs a sun between the horizon and overhead.")


def clear_sky_w_m2(
    sun_altitude_deg: ArrayLike, extraterrestrial: ArrayLike, tau_beam: ArrayLike, tau_diffuse: ArrayLike
) -> tuple[FloatArray, FloatArray]:
    """(beam normal, diffuse horizontal) of a clear sky from the two optical depths of a place and month.

    Validity: sun above the horizon. Source: ch. 14 eqs. 17 to 20 (the "tau" model).
    """
    tb, td = floats(tau_beam), floats(tau_diffuse)
    mass, e0 = air_mass(sun_altitude_deg), floats(extraterrestrial)
    ab, ad = tau_exponents(tb, td)
    return scalar_or_array(e0 * np.exp(-tb * mass**ab)), scalar_or_array(e0 * np.exp(-td * mass**ad))


def tau_exponents(tau_beam: ArrayLike, tau_diffuse: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """The air mass exponents (ab, ad) of the tau model. Source: eqs. 19 and 20."""
    tb, td = floats(tau_beam), floats(tau_diffuse)
    ab = 1.454 - 0.406 * tb - 0.268 * td + 0.021 * tb * td
    ad = 0.507 + 0.205 * tb - 0.080 * td - 0.190 * tb * td
    return scalar_or_array(ab), scalar_or_array(ad)


def clear_sky_abc_w_m2(
    sun_altitude_deg: ArrayLike, a_w_m2: ArrayLike, b_extinction: ArrayLike, c_diffuse: ArrayLike
) -> tuple[FloatArray, FloatArray]:
    """(beam normal, diffuse horizontal) by the older monthly constants: A·exp(−B/sin β) and C times that.

    Validity: sun above the horizon. Source: ASHRAE Handbook Fundamentals 1985 (A, B, C model).
    """
    sine = sin_deg(sun_altitude_deg)
    valid = sine > 0
    beam = floats(a_w_m2) * np.exp(-floats(b_extinction) / np.where(valid, sine, 1.0))
    beam = answer(beam, valid, "A clear sky needs a sun above the horizon.")
    return beam, scalar_or_array(floats(c_diffuse) * beam)


def cos_incidence(
    sun_altitude_deg: ArrayLike, azimuth_from_sun_deg: ArrayLike, tilt_deg: ArrayLike
) -> FloatArray:
    """Cosine of the angle between the sun's rays and a surface's normal; negative: the sun is behind it.

    azimuth_from_sun_deg  surface azimuth minus sun azimuth (0: it faces the sun's side)
    Formula: cos θ = cos β·cos γ·sin Σ + sin β·cos Σ. Source: eq. 22.
    """
    facing = cos_deg(sun_altitude_deg) * cos_deg(azimuth_from_sun_deg) * sin_deg(tilt_deg)
    cosine = facing + sin_deg(sun_altitude_deg) * cos_deg(tilt_deg)
    return scalar_or_array(np.clip(cosine, -1.0, 1.0))


def vertical_sky_ratio(cosine_incidence: ArrayLike) -> FloatArray:
    """Sky diffuse on a vertical surface over that on a horizontal one: max(0.45, 0.55 + 0.437·c + 0.313·c²).

    Source: eq. 28. The heat load uses the isotropic sky instead; this is for comparison.
    """
    c = floats(cosine_incidence)
    return scalar_or_array(np.maximum(0.45, 0.55 + 0.437 * c + 0.313 * c**2))


@dataclass(frozen=True)
class Irradiance:
    """What falls on a surface, W/m², in three parts, and the cosine of the beam's incidence."""

    beam: FloatArray
    sky: FloatArray
    ground: FloatArray
    cos_incidence: FloatArray

    @property
    def total(self) -> FloatArray:
        """All three together, W/m²."""
        return scalar_or_array(self.beam + self.sky + self.ground)


def horizontal_w_m2(
    beam_normal_w_m2: ArrayLike, diffuse_horizontal_w_m2: ArrayLike, sun_altitude_deg: ArrayLike
) -> FloatArray:
    """Global horizontal irradiance: beam·sin β + diffuse (no beam from below the horizon)."""
    sine = np.maximum(sin_deg(sun_altitude_deg), 0.0)
    return scalar_or_array(floats(beam_normal_w_m2) * sine + floats(diffuse_horizontal_w_m2))


def on_surface(
    beam_normal_w_m2: ArrayLike,
    diffuse_horizontal_w_m2: ArrayLike,
    sun_altitude_deg: ArrayLike,
    tilt_deg: ArrayLike,
    azimuth_from_sun_deg: ArrayLike,
    albedo: ArrayLike = ALBEDO,
) -> Irradiance:
    """Irradiance on a tilted surface: beam by incidence, isotropic sky, ground-reflected.

    Formula: beam·max(cos θ, 0); diffuse·(1 + cos Σ)/2; horizontal·albedo·(1 − cos Σ)/2
    Validity: irradiances not negative; a beam needs the sun at or above the horizon.
    Source: isotropic sky of Liu and Jordan (1963), as in Duffie and Beckman ch. 2; ASHRAE ch. 14 eq. 31.
    """
    beam, diffuse, altitude = (
        floats(v) for v in (beam_normal_w_m2, diffuse_horizontal_w_m2, sun_altitude_deg)
    )
    possible = (beam >= 0) & (diffuse >= 0) & ((beam == 0) | (altitude >= 0)) & (np.abs(altitude) <= 90)
    sentence = "Sunshine can't be negative, nor come as a beam from below the horizon."
    beam, diffuse = answer(beam, possible, sentence), answer(diffuse, possible, sentence)
    cosine = cos_incidence(altitude, azimuth_from_sun_deg, tilt_deg)
    up = (1 + cos_deg(tilt_deg)) / 2
    horizontal = horizontal_w_m2(beam, diffuse, altitude)
    return Irradiance(
        beam=scalar_or_array(beam * np.maximum(cosine, 0.0)),
        sky=scalar_or_array(diffuse * up),
        ground=scalar_or_array(horizontal * floats(albedo) * (1 - up)),
        cos_incidence=cosine,
    )
