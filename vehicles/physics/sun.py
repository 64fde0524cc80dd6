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
    """Sine of an angle in degrees.

    Formula: sin(π·α/180)
    Parameters: angle_deg α, °
    Returns: −1 to 1
    Validity: any angle
    Source: definition
    Check: half at 30°

    >>> round(float(sin_deg(30)), 9)
    0.5
    """
    return scalar_or_array(np.sin(np.radians(floats(angle_deg))))


def cos_deg(angle_deg: ArrayLike) -> FloatArray:
    """Cosine of an angle in degrees.

    Formula: cos(π·α/180)
    Parameters: angle_deg α, °
    Returns: −1 to 1
    Validity: any angle
    Source: definition
    Check: half at 60°

    >>> round(float(cos_deg(60)), 9)
    0.5
    """
    return scalar_or_array(np.cos(np.radians(floats(angle_deg))))


def cos_incidence(
    sun_altitude_deg: ArrayLike, azimuth_from_sun_deg: ArrayLike, tilt_deg: ArrayLike
) -> FloatArray:
    """Cosine of the angle between the sun's rays and a surface's normal; negative: the sun is behind it.

    Formula: cos θ = cos β·cos γ·sin Σ + sin β·cos Σ
    Parameters: sun_altitude_deg β, °; azimuth_from_sun_deg γ, the surface's azimuth less the sun's, 0 where it faces
        the sun's side; tilt_deg Σ, 0 facing up, 90 vertical
    Returns: −1 to 1
    Validity: any angles; the sun's own width is not counted
    Source: ASHRAE Handbook Fundamentals (SI), ch. 14, eq. 22
    Check: by hand: the level under a sun at 30°, and a wall that faces a sun at 60°

    >>> round(float(cos_incidence(30, 0, 0)), 9), round(float(cos_incidence(60, 0, 90)), 9)
    (0.5, 0.5)
    """
    facing = cos_deg(sun_altitude_deg) * cos_deg(azimuth_from_sun_deg) * sin_deg(tilt_deg)
    cosine = facing + sin_deg(sun_altitude_deg) * cos_deg(tilt_deg)
    return scalar_or_array(np.clip(cosine, -1.0, 1.0))


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
    """What beam and diffuse light give together on the level.

    Formula: E = E_b·sin β + E_d, no beam from below the horizon
    Parameters: beam_normal_w_m2 E_b and diffuse_horizontal_w_m2 E_d, W/m²; sun_altitude_deg β, °
    Returns: W/m²
    Validity: irradiances not negative, as `on_surface` asks
    Source: definition of global horizontal irradiance
    Check: by hand: 800·0.5 + 100

    >>> round(float(horizontal_w_m2(800, 100, 30)), 6)
    500.0
    """
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
    """What falls on a tilted surface: the beam by its incidence, an isotropic sky, and what the ground throws back.

    Formula: beam E_b·max(cos θ, 0); sky E_d·(1 + cos Σ)/2; ground E·ρ·(1 − cos Σ)/2, E that on the level
    Parameters: beam_normal_w_m2 E_b and diffuse_horizontal_w_m2 E_d, W/m²; sun_altitude_deg, tilt_deg Σ and
        azimuth_from_sun_deg as `cos_incidence`; albedo ρ, a share
    Returns: the three parts, W/m², and the cosine of the beam's incidence
    Validity: irradiances not negative; a beam needs the sun at or above the horizon; a real sky is brighter at the sun
    Source: isotropic sky of Liu and Jordan (1963), as in Duffie and Beckman ch. 2; ASHRAE ch. 14 eq. 31
    Check: by hand: a wall that faces a sun at 30° of 800 W/m² under a sky of 100: 692.8 + 50 + 50

    >>> on = on_surface(800, 100, 30, 90, 0)
    >>> [round(float(part), 1) for part in (on.beam, on.sky, on.ground)]
    [692.8, 50.0, 50.0]
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
