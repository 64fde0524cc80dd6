"""Pressure losses of straight and flexible round ducts, and of fittings. SI units; arrays broadcast.

One-dimensional, incompressible flow: good for air below about 50 m/s. The Darcy friction factor serves
other fluids as well.
"""

import math

import numpy as np
from numpy.typing import ArrayLike

from vehicles.physics.arrays import BoolArray, FloatArray, answer, floats

LAMINAR_UP_TO_REYNOLDS = 2300.0
TURBULENT_FROM_REYNOLDS = 4000.0
ROUGHEST = 0.1
"""Relative roughness above which a wall is a row of obstacles, not a rough wall."""
NEWTON_STEPS = 6
"""Haaland starts within 2 %, each step squares the error: rounding is reached after three or four."""
PERCENT_COMPRESSION_TESTED = 30.0


def friction_factor(reynolds: ArrayLike, relative_roughness: ArrayLike) -> FloatArray:
    """Darcy friction factor of a full, round pipe.

    Formula: laminar (Re ≤ 2300) f = 64/Re; turbulent (Re ≥ 4000) Colebrook, 1/√f = −2·log10(ε/3.7 + 2.51/(Re·√f)),
    solved to rounding; between, a cubic step leads smoothly from the one to the other.
    Parameters: reynolds Re, above 0; relative_roughness ε, wall roughness over diameter, 0 (smooth) to 0.1.
    Returns: f, no unit.
    Validity: developed flow. Between 2300 and 4000 measurements scatter; there the pressure loss only rises with flow.
    Source: C. F. Colebrook, J. Inst. Civil Eng. 11 (1939); ASHRAE Fundamentals ch. 21 eq. 19. The step between is our
    own choice.
    Check: by hand: 64/1000 in laminar flow; Colebrook against the library fluids within 1e-9.

    >>> float(friction_factor(1000, 0.01))
    0.064
    """
    re, rough = np.broadcast_arrays(floats(reynolds), floats(relative_roughness))
    valid = (re > 0) & np.isfinite(re) & (rough >= 0) & (rough <= ROUGHEST)
    safe_re, safe_rough = np.where(valid, re, 1e5), np.where(valid, rough, 0.0)
    span = TURBULENT_FROM_REYNOLDS - LAMINAR_UP_TO_REYNOLDS
    way = np.clip((safe_re - LAMINAR_UP_TO_REYNOLDS) / span, 0.0, 1.0)
    step = way * way * (3.0 - 2.0 * way)
    turbulent = _colebrook(np.maximum(safe_re, LAMINAR_UP_TO_REYNOLDS), safe_rough)
    f = (1.0 - step) * 64.0 / safe_re + step * turbulent
    return answer(
        f,
        valid,
        "Friction needs a Reynolds number above 0 and a relative roughness from 0 to 0.1.",
    )


def _colebrook(re: FloatArray, rough: FloatArray) -> FloatArray:
    """Newton on x = 1/√f, started at Haaland's explicit formula."""
    x = -1.8 * np.log10((rough / 3.7) ** 1.11 + 6.9 / re)
    slope = 2.51 / re
    for _ in range(NEWTON_STEPS):
        inner = rough / 3.7 + slope * x
        x = x - (x + 2.0 * np.log10(inner)) / (1.0 + 2.0 / math.log(10.0) * slope / inner)
    return 1.0 / (x * x)


def air_viscosity_pa_s(t_c: ArrayLike) -> FloatArray:
    """Dynamic viscosity of air.

    Formula: μ = 1.458e-6·T^1.5/(T + 110.4), T = 273.15 + t (Sutherland).
    Parameters: t_c t, temperature, °C, −100 to 200.
    Returns: Pa·s.
    Validity: dry air; humidity changes it by less than 1 % and is left out.
    Source: U.S. Standard Atmosphere 1976, eq. 51.
    Check: 18.13 µPa·s at 20 °C; the standard atmosphere of the library fluids within 0.01 %.

    >>> round(1e6 * float(air_viscosity_pa_s(20)), 2)
    18.13
    """
    t = floats(t_c)
    valid = (t >= -100) & (t <= 200)
    t_k = np.where(valid, t, 20.0) + 273.15
    mu = 1.458e-6 * t_k**1.5 / (t_k + 110.4)
    return answer(mu, valid, "The viscosity of air is given from −100 to 200 °C only.")


def circle_area_m2(diameter_m: ArrayLike) -> FloatArray:
    """Cross-section of a round duct.

    Formula: A = π·D²/4.
    Parameters: diameter_m D, m, above 0.
    Returns: m².
    Validity: circles.
    Source: geometry.
    Check: by hand: a diameter of 2 m has π m².

    >>> round(float(circle_area_m2(2)), 5)
    3.14159
    """
    d = floats(diameter_m)
    return answer(np.pi * d * d / 4, _above_zero(d), "A diameter must be above zero.")


def _velocity_pressure_pa(velocity_m_s: ArrayLike, density_kg_m3: ArrayLike) -> FloatArray:
    """p_v = ρ·V²/2, Pa; V of either sign, density above 0. Source: ASHRAE Fundamentals ch. 21 eq. 10."""
    v, rho = floats(velocity_m_s), floats(density_kg_m3)
    valid = np.isfinite(v) & _above_zero(rho)
    return answer(
        rho * v * v / 2,
        valid,
        "Velocity pressure needs a velocity and a density above zero.",
    )


def straight_loss_pa(
    velocity_m_s: ArrayLike,
    length_m: ArrayLike,
    diameter_m: ArrayLike,
    roughness_m: ArrayLike,
    density_kg_m3: ArrayLike,
    viscosity_pa_s: ArrayLike,
) -> FloatArray:
    """Friction loss of a straight duct; nothing at rest.

    Formula: Δp = f·L/D·ρ·V²/2, f of Colebrook or of laminar flow.
    Parameters: velocity_m_s V, mean velocity, m/s, not negative; length_m L, m, not negative; diameter_m D, m, of a
    round duct, or the hydraulic diameter; roughness_m, of the wall, m, up to a tenth of the diameter; density_kg_m3 ρ,
    kg/m³, and viscosity_pa_s, Pa·s, of the fluid.
    Returns: Pa.
    Validity: one density all along; air below about 50 m/s.
    Source: Darcy-Weisbach, ASHRAE Fundamentals ch. 21 eq. 18.
    Check: by hand: at Re = 1000 f is 0.064, so that 10 diameters lose 0.64 of the velocity pressure of 0.5 Pa.

    >>> round(float(straight_loss_pa(1, 10, 1, 0, 1, 1e-3)), 6)
    0.32
    """
    v, length, d = floats(velocity_m_s), floats(length_m), floats(diameter_m)
    v, length, d, rough, rho, mu = np.broadcast_arrays(
        v, length, d, floats(roughness_m), floats(density_kg_m3), floats(viscosity_pa_s)
    )
    valid = (v >= 0) & np.isfinite(v) & (length >= 0) & np.isfinite(length) & _above_zero(d, rho, mu)
    valid &= (rough >= 0) & (rough <= ROUGHEST * d)
    moving = valid & (v > 0)
    re = np.where(moving, rho * v * d / np.where(moving, mu, 1.0), 1e5)
    f = friction_factor(re, np.where(valid, rough / np.where(valid, d, 1.0), 0.0))
    loss = np.where(moving, f * length / np.where(valid, d, 1.0) * rho * v * v / 2, 0.0)
    sentence = "A duct needs a diameter above zero, no negative length or velocity, a roughness up to D/10."
    return answer(loss, valid, sentence)


def minor_loss_pa(velocity_m_s: ArrayLike, k: ArrayLike, density_kg_m3: ArrayLike) -> FloatArray:
    """Loss of fittings: bends, entries, grilles.

    Formula: Δp = K·ρ·V²/2.
    Parameters: velocity_m_s V, m/s, of either sign; k K, sum of the loss coefficients, not negative; density_kg_m3 ρ,
    kg/m³, above 0.
    Returns: Pa.
    Validity: turbulent flow; K belongs to the velocity at one place of the fitting, the one that goes in.
    Source: ASHRAE Fundamentals ch. 21 eq. 27.
    Check: by hand: K = 1.5 at 8 m/s of air of 1.2 kg/m³ lose 57.6 Pa.

    >>> round(float(minor_loss_pa(8, 1.5, 1.2)), 6)
    57.6
    """
    coefficient = floats(k)
    valid = (coefficient >= 0) & np.isfinite(coefficient)
    loss = coefficient * _velocity_pressure_pa(velocity_m_s, density_kg_m3)
    return answer(loss, valid, "A loss coefficient can't be negative.")


def flexible_duct_factor(diameter_mm: ArrayLike, compression_percent: ArrayLike) -> FloatArray:
    """How many times more a flexible duct loses when it isn't pulled straight.

    Formula: PDCF = 1 + 0.58·K_c·e^(−0.00496·D).
    Parameters: diameter_mm D, mm, above 0; compression_percent K_c, share of the stretched length missing, %, 0 to 30.
    Returns: a ratio, 1 for a hose pulled straight.
    Validity: the tests behind it were made on 150, 200 and 250 mm. For the hoses of a car (50 to 80 mm) it is an
    extrapolation, which tends to 1 + 0.58·K_c.
    Source: ASHRAE Fundamentals ch. 21 eqs. 22 and 23; Abushakra, Walker and Sherman (2004) for the range.
    Check: by hand: 60 mm, 4 % too short: 1 + 0.58·4·e^(−0.2976).

    >>> round(float(flexible_duct_factor(60, 4)), 3)
    2.723
    """
    d, compression = floats(diameter_mm), floats(compression_percent)
    valid = _above_zero(d) & (compression >= 0) & (compression <= PERCENT_COMPRESSION_TESTED)
    factor = 1 + 0.58 * compression * np.exp(-0.00496 * np.where(valid, d, 1.0))
    return answer(factor, valid, "Flexible duct: diameter above zero, compression from 0 to 30 %.")


def _above_zero(*values: FloatArray) -> BoolArray:
    """True where every value is a finite number above zero."""
    checks: BoolArray = np.asarray(
        np.logical_and.reduce([(v > 0) & np.isfinite(v) for v in np.broadcast_arrays(*values)])
    )
    return checks
