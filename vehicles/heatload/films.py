"""Films of air on surfaces, overall U values and the sol-air temperature."""

import numpy as np
from numpy.typing import ArrayLike

from vehicles.physics.arrays import FloatArray, answer, floats, scalar_or_array

REFERENCE_OUTSIDE_FILM_W_M2K = 25.0
"""Outside film contained in a U value as data sheets give it (EN 673; ISO 6946: R_se = 0.04 m²K/W)."""
INSIDE_FILM_W_M2K = 7.7
"""Inside film added to layers (EN 673; ISO 6946: R_si = 0.13 m²K/W)."""
STILL_AIR_CONVECTION_W_M2K = 7.0
"""Floor of the outside convection: free and light air. The correlation for driving starts at 0.6."""
RADIATIVE_FILM_W_M2K = 5.75
"""Radiation of a non-metallic surface near 35 °C, 5.5 to 6 W/m²K (4·ε·σ·T³)."""
HIGHEST_U_W_M2K = 1 / (1 / REFERENCE_OUTSIDE_FILM_W_M2K + 1 / 15)
"""A U value above this would need more than 15 W/m²K inside, which no cabin has."""


def driving_convection_w_m2k(velocity_m_s: ArrayLike) -> FloatArray:
    """Convection of air on a moving car's surface, without a floor for still air (`outside_film_w_m2k` has one).

    Formula: h = 0.6 + 6.64·√v
    Parameters: velocity_m_s v, m/s
    Returns: W/m²K
    Validity: v not negative; still air has more
    Source: SAE 2013-01-1507, from memory
    Check: by hand: 0.6 + 6.64·5 at 25 m/s

    >>> round(float(driving_convection_w_m2k(25)), 6)
    33.8
    """
    v = floats(velocity_m_s)
    valid = v >= 0
    return answer(0.6 + 6.64 * np.sqrt(np.where(valid, v, 0.0)), valid, "A velocity can't be negative.")


def outside_film_w_m2k(road_speed_km_h: ArrayLike) -> FloatArray:
    """Outside film of a car's surface, convection and radiation together.

    Formula: h = max(7, 0.6 + 6.64·√v) + 5.75, v the road speed in m/s
    Parameters: road_speed_km_h
    Returns: W/m²K
    Validity: speed not negative; surfaces that are not bare metal, near 35 °C
    Source: `driving_convection_w_m2k`; floor and radiation: common practice, no source
    Check: by hand: 7 + 5.75 at a standstill, 33.8 + 5.75 at 90 km/h

    >>> float(outside_film_w_m2k(0)), round(float(outside_film_w_m2k(90)), 6)
    (12.75, 39.55)
    """
    convection = driving_convection_w_m2k(floats(road_speed_km_h) / 3.6)
    return scalar_or_array(np.maximum(convection, STILL_AIR_CONVECTION_W_M2K) + RADIATIVE_FILM_W_M2K)


def resistance_of_layers_m2k_w(layers: tuple[tuple[float, float], ...]) -> float:
    """Resistance of layers to heat, one behind the other.

    Formula: R = Σ d/k
    Parameters: layers of (thickness, mm; conductivity, W/mK)
    Returns: m²K/W
    Validity: even layers without gaps; conductivities above 0, as the data ask
    Source: definition; ISO 6946
    Check: by hand: 0.010/0.04 + 0.001/50

    >>> round(resistance_of_layers_m2k_w(((10, 0.04), (1, 50))), 5)
    0.25002
    """
    return sum(thickness_mm / 1000 / conductivity for thickness_mm, conductivity in layers)


def resistance_inward_m2k_w(
    u_w_m2k: float | None, layers: tuple[tuple[float, float], ...] | None = None
) -> float:
    """Resistance from the outer face to the cabin's air, from a U value or from layers.

    Formula: R = 1/U − 1/25, or Σ d/k + 1/7.7
    Parameters: u_w_m2k U as data sheets give it, W/m²K; without it layers of (thickness, mm; conductivity, W/mK)
    Returns: m²K/W
    Validity: U below 9.4, as the data ask; films of EN 673
    Source: ISO 6946; films of EN 673
    Check: by hand: 0.2 − 0.04

    >>> round(resistance_inward_m2k_w(5.0), 9)
    0.16
    """
    if u_w_m2k is not None:
        return 1 / u_w_m2k - 1 / REFERENCE_OUTSIDE_FILM_W_M2K
    return resistance_of_layers_m2k_w(layers or ()) + 1 / INSIDE_FILM_W_M2K


def sol_air_c(
    outside_c: ArrayLike, absorptance: ArrayLike, irradiance_w_m2: ArrayLike, film_w_m2k: ArrayLike
) -> FloatArray:
    """Outside temperature that would drive the same heat into a surface without sun.

    Formula: T = T_o + α·I/h_o
    Parameters: outside_c T_o, °C; absorptance α, a share; irradiance_w_m2 I, W/m²; film_w_m2k h_o, W/m²K
    Returns: °C
    Validity: α from 0 to 1, I not negative, h_o above 0; radiation to a cold sky is left out, a few kelvin on a roof
        and on the safe side in summer
    Source: ASHRAE Handbook Fundamentals (SI), ch. 18, sol-air temperature
    Check: by hand: 35 + 0.5·800/20

    >>> float(sol_air_c(35, 0.5, 800, 20))
    55.0
    """
    absorbed, sun, film = floats(absorptance), floats(irradiance_w_m2), floats(film_w_m2k)
    outside = floats(outside_c)
    valid = (absorbed >= 0) & (absorbed <= 1) & (sun >= 0) & (film > 0) & np.isfinite(outside)
    found = outside + absorbed * sun / np.where(valid, film, 1.0)
    return answer(
        found, valid, "An absorptance lies from 0 to 1, sunshine is not negative, a film above zero."
    )
