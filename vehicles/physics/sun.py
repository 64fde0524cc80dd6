"""Angles, and what falls on a tilted surface from beam, sky and ground.

Angles in degrees. The altitude counts from the horizon; an azimuth counts from south, west positive (as in
the ASHRAE handbook). A surface's tilt is 0 facing up, 90 vertical, 180 facing down. Irradiances in W/m².
All arguments broadcast; scalars give scalars. The sun's place: `sun_position`; a clear sky: `clear_sky`.
Source, unless another is named: ASHRAE Handbook Fundamentals (SI), chapter 14.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from vehicles.physics.arrays import FloatArray, answer, floats, scalar_or_array

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
