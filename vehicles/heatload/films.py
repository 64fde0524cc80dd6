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
    """Convection on a moving car's surface, h = 0.6 + 6.64·√v, W/m²K; v in m/s, not negative.

    It has no floor: see `outside_film_w_m2k`. Source: SAE 2013-01-1507 (from memory).
    """
    v = floats(velocity_m_s)
    valid = v >= 0
    return answer(0.6 + 6.64 * np.sqrt(np.where(valid, v, 0.0)), valid, "A velocity can't be negative.")


def outside_film_w_m2k(road_speed_km_h: ArrayLike) -> FloatArray:
    """Combined outside film, convection and radiation: max(7, 0.6 + 6.64·√v) + 5.75, W/m²K.

    About 12.8 at standstill, 31 at 50 km/h, 41 at 100 km/h.
    """
    convection = driving_convection_w_m2k(floats(road_speed_km_h) / 3.6)
    return scalar_or_array(np.maximum(convection, STILL_AIR_CONVECTION_W_M2K) + RADIATIVE_FILM_W_M2K)


def resistance_of_layers_m2k_w(layers: tuple[tuple[float, float], ...]) -> float:
    """Σ d/k, m²K/W, of layers given as (thickness_mm, conductivity_w_mk)."""
    return sum(thickness_mm / 1000 / conductivity for thickness_mm, conductivity in layers)


def overall_u_w_m2k(
    outside_film: ArrayLike, resistance_m2k_w: ArrayLike, inside_film: ArrayLike
) -> FloatArray:
    """U = 1/(1/h_o + ΣR + 1/h_i), W/m²K."""
    out, between, inside = floats(outside_film), floats(resistance_m2k_w), floats(inside_film)
    valid = (out > 0) & (between >= 0) & (inside > 0)
    total = 1 / np.where(valid, out, 1.0) + between + 1 / np.where(valid, inside, 1.0)
    return answer(1 / total, valid, "Films lie above zero, and a resistance can't be negative.")


def resistance_inward_m2k_w(
    u_w_m2k: float | None, layers: tuple[tuple[float, float], ...] | None = None
) -> float:
    """Resistance from the outer face to cabin air, m²K/W: a U value less its reference film, or layers."""
    if u_w_m2k is not None:
        return 1 / u_w_m2k - 1 / REFERENCE_OUTSIDE_FILM_W_M2K
    return resistance_of_layers_m2k_w(layers or ()) + 1 / INSIDE_FILM_W_M2K


def sol_air_c(
    outside_c: ArrayLike, absorptance: ArrayLike, irradiance_w_m2: ArrayLike, film_w_m2k: ArrayLike
) -> FloatArray:
    """Outside temperature that would drive the same heat without sun: T_o + α·I/h_o, °C.

    Radiation to a cold sky is left out (a few kelvin on a roof, on the safe side in summer).
    Source: ASHRAE Handbook Fundamentals ch. 18, sol-air temperature.
    """
    absorbed, sun, film = floats(absorptance), floats(irradiance_w_m2), floats(film_w_m2k)
    outside = floats(outside_c)
    valid = (absorbed >= 0) & (absorbed <= 1) & (sun >= 0) & (film > 0) & np.isfinite(outside)
    found = outside + absorbed * sun / np.where(valid, film, 1.0)
    return answer(
        found, valid, "An absorptance lies from 0 to 1, sunshine is not negative, a film above zero."
    )


def skin_c(
    sol_air: ArrayLike, cabin_c: ArrayLike, film_w_m2k: ArrayLike, inward_m2k_w: ArrayLike
) -> FloatArray:
    """Temperature of the outer face between the outside film and what lies inward, °C."""
    outer, inner, film, inward = floats(sol_air), floats(cabin_c), floats(film_w_m2k), floats(inward_m2k_w)
    valid = (film > 0) & (inward >= 0) & np.isfinite(outer) & np.isfinite(inner)
    share = 1 / (1 + np.where(valid, film * inward, 0.0))
    return answer(
        outer - share * (outer - inner),
        valid,
        "A skin needs temperatures, a film above zero and a resistance.",
    )
