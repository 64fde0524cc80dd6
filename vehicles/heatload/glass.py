"""How much less glass lets through when the light comes at an angle."""

import numpy as np
from numpy.typing import ArrayLike

from vehicles.physics.arrays import FloatArray, answer, floats

REFRACTIVE_INDEX = 1.526
"""Of glass (Duffie and Beckman, Solar Engineering of Thermal Processes, ch. 5)."""
NORMAL_REFLECTANCE = ((REFRACTIVE_INDEX - 1) / (REFRACTIVE_INDEX + 1)) ** 2
MOST_COSINE = 1 + 1e-9
"""A cosine, to rounding."""
HIGHEST_TRANSMITTANCE = (1 - NORMAL_REFLECTANCE) / (1 + NORMAL_REFLECTANCE)
"""A single pane that absorbs nothing still reflects at both faces: 0.917."""


def pane_transmittance(cos_incidence: ArrayLike, normal_transmittance: ArrayLike) -> FloatArray:
    """Solar transmittance of a single pane for a beam, from its transmittance at normal incidence.

    Formula: per polarisation τ = a·(1 − r)²/(1 − r²·a²), r by Fresnel, a = a_0^(1/cos θ_2), mean of the two; a_0
        follows from the normal transmittance
    Parameters: cos_incidence, of the angle of incidence, 0 or less lets nothing through; normal_transmittance, a share
    Returns: a share
    Validity: one pane of glass, refractive index 1.526; transmittance 0 to 0.917, cosine −1 to 1
    Source: Duffie and Beckman, Solar Engineering of Thermal Processes, ch. 5, eqs. 5.1 to 5.3
    Check: straight on it is what the data sheet says, from behind nothing

    >>> round(float(pane_transmittance(1, 0.8)), 9), float(pane_transmittance(-0.5, 0.8))
    (0.8, 0.0)
    """
    normal = floats(normal_transmittance)
    valid = (normal >= 0) & (normal <= HIGHEST_TRANSMITTANCE) & (np.abs(floats(cos_incidence)) <= MOST_COSINE)
    absorbed_0 = _absorption_factor(np.where(valid, normal, 0.5))
    behind = ~(floats(cos_incidence) > 0)
    cos_1 = np.where(behind | ~valid, 1.0, floats(cos_incidence))
    cos_2 = np.sqrt(1 - (1 - cos_1**2) / REFRACTIVE_INDEX**2)
    a = absorbed_0 ** (1 / cos_2)
    r_across = ((cos_1 - REFRACTIVE_INDEX * cos_2) / (cos_1 + REFRACTIVE_INDEX * cos_2)) ** 2
    r_along = ((REFRACTIVE_INDEX * cos_1 - cos_2) / (REFRACTIVE_INDEX * cos_1 + cos_2)) ** 2
    tau = 0.5 * sum(a * (1 - r) ** 2 / (1 - (r * a) ** 2) for r in (r_across, r_along))
    return answer(
        np.where(behind, 0.0, tau),
        valid,
        "A single pane lets through between 0 and 91.7 % of the sun, and a cosine lies from −1 to 1.",
    )


def _absorption_factor(normal: FloatArray) -> FloatArray:
    """a_0 from τ·r²·a² + (1 − r)²·a − τ = 0 at normal incidence, in the form that is exact at τ = 0."""
    r = NORMAL_REFLECTANCE
    through = (1 - r) ** 2
    result: FloatArray = 2 * normal / (through + np.sqrt(through**2 + (2 * normal * r) ** 2))
    return result


def diffuse_cosines(tilt_deg: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Cosines of the angles at which diffuse light from sky and ground acts on glass like a beam.

    Formula: 59.7 − 0.1388·Σ + 0.001497·Σ² of the sky and 90 − 0.5788·Σ + 0.002693·Σ² of the ground, °, Σ the tilt up to
        90°; a surface that looks down sees sky and ground exchanged
    Parameters: tilt_deg Σ, 0 facing up, 90 vertical, 180 facing down
    Returns: cosine for the sky, cosine for the ground
    Validity: 0 to 180°
    Source: Duffie and Beckman, Solar Engineering of Thermal Processes, ch. 5, eqs. 5.4
    Check: by hand: cos 59.7° and cos 90° on the level

    >>> [round(float(cosine), 4) for cosine in diffuse_cosines(0)]
    [0.5045, 0.0]
    """
    tilt = floats(tilt_deg)
    valid, sentence = (tilt >= 0) & (tilt <= 180), "A tilt lies from 0° (facing up) to 180° (facing down)."
    looks_down = tilt > 90
    upright = np.where(looks_down, 180 - tilt, tilt)
    sky = 59.7 - 0.1388 * upright + 0.001497 * upright**2
    ground = 90 - 0.5788 * upright + 0.002693 * upright**2
    sky, ground = np.where(looks_down, ground, sky), np.where(looks_down, sky, ground)
    return (
        answer(np.cos(np.radians(sky)), valid, sentence),
        answer(np.cos(np.radians(ground)), valid, sentence),
    )
