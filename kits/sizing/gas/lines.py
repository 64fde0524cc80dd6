"""Refrigerant lines: pressure lost in smooth hose, what that costs in temperature, and what a zone holds."""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from kits.sizing.air.ducts import LAMINAR_UP_TO_REYNOLDS, TURBULENT_FROM_REYNOLDS
from kits.sizing.gas.refrigerant import Refrigerant
from vehicles.physics.arrays import FloatArray, answer, floats, scalar_or_array

LEAST_REYNOLDS = 1e-6
"""Without flow there is no Reynolds number, and no loss either."""


class Line(NamedTuple):
    """A line as the pressure loss needs it; one row each."""

    per_area_1_m2: FloatArray
    bore_m: FloatArray
    length_in_bores: FloatArray
    loss_factor: FloatArray


def line(length_m: FloatArray, bore_m: FloatArray, k_sum: FloatArray) -> Line:
    """What of a round line's measures the pressure loss needs; the bore above 0."""
    return Line(4.0 / (np.pi * bore_m * bore_m), bore_m, length_m / bore_m, k_sum)


def line_loss_pa(flow_kg_s: FloatArray, of: Line, rho: FloatArray, mu: FloatArray) -> FloatArray:
    """As `line_pressure_drop_pa`, for valid inputs only: the balance asks it very often."""
    flux = flow_kg_s * of.per_area_1_m2
    f = _smooth_friction_factor(np.maximum(flux * of.bore_m / mu, LEAST_REYNOLDS))
    loss: FloatArray = (f * of.length_in_bores + of.loss_factor) * (flux * flux) / (2.0 * rho)
    return loss


def _smooth_friction_factor(reynolds: FloatArray) -> FloatArray:
    """`ducts.friction_factor` for a smooth wall and a Reynolds number above 0, without checks.

    Colebrook by two Newton steps on 1/√f, which from Haaland leave less than 1e-9.
    """
    turbulent_re = np.maximum(reynolds, LAMINAR_UP_TO_REYNOLDS)
    x = 1.8 * np.log10(turbulent_re / 6.9)
    slope = 2.51 / turbulent_re
    for _ in range(2):
        x -= (x + 2.0 * np.log10(slope * x)) / (1.0 + 2.0 / math.log(10.0) / x)
    span = TURBULENT_FROM_REYNOLDS - LAMINAR_UP_TO_REYNOLDS
    way = np.minimum((turbulent_re - LAMINAR_UP_TO_REYNOLDS) / span, 1.0)
    step = way * way * (3.0 - 2.0 * way)
    f: FloatArray = (1.0 - step) * (64.0 / reynolds) + step / (x * x)
    return f


def line_pressure_drop_pa(
    flow_kg_s: ArrayLike,
    length_m: ArrayLike,
    bore_m: ArrayLike,
    k_sum: ArrayLike,
    rho_kg_m3: ArrayLike,
    mu_pa_s: ArrayLike,
) -> FloatArray:
    """Pressure lost in a smooth round line, (f·L/D + K)·(m/A)²/(2·rho), Pa.

    flow_kg_s   mass flow, not negative
    length_m    length, not negative
    bore_m      inner diameter, above 0
    k_sum       sum of the loss coefficients of ends and fittings, not negative
    rho_kg_m3   density, mu_pa_s viscosity at one state for the whole line

    Validity: single phase, loss small against the pressure. Source: Darcy-Weisbach, Colebrook.
    """
    m, length, bore, k = (floats(v) for v in (flow_kg_s, length_m, bore_m, k_sum))
    rho, mu = floats(rho_kg_m3), floats(mu_pa_s)
    valid = (m >= 0) & (length >= 0) & (bore > 0) & (k >= 0) & (rho > 0) & (mu > 0)
    of = line(np.where(valid, length, 0.0), np.where(valid, bore, 1.0), k)
    drop = line_loss_pa(np.where(valid, m, 0.0), of, np.where(valid, rho, 1.0), np.where(valid, mu, 1.0))
    return answer(
        drop,
        valid,
        "A line needs a bore, density and viscosity above zero, and flow, length and loss not negative.",
    )


def saturation_loss_k(gas: Refrigerant, evaporating_c: ArrayLike, drop_pa: ArrayLike) -> FloatArray:
    """A pressure drop after the evaporator as a fall of saturation temperature, K."""
    t = floats(evaporating_c)
    return scalar_or_array(t - gas.t_sat_c(gas.p_sat_pa(t) - floats(drop_pa)))


def mean_void_fraction(rho_l: ArrayLike, rho_v: ArrayLike, quality_from: ArrayLike = 0.0) -> FloatArray:
    """Zivi's void fraction, mean over quality rising evenly from `quality_from` to 1 (closed form).

    At one quality x the vapour takes x/(x + (1-x)·s) of the cross-section, with s = (rho_v/rho_l)^(2/3);
    ∫ x/(x + (1-x)·s) dx = x/(1-s) - s/(1-s)²·ln(s + (1-s)·x).
    Source: S. M. Zivi, J. Heat Transfer 86 (1964) 247.
    """
    x0, ratio = floats(quality_from), floats(rho_v) / floats(rho_l)
    valid = (x0 >= 0) & (x0 < 1) & (ratio > 0) & (ratio < 1)
    s = np.where(valid, ratio, 0.5) ** (2 / 3)
    start = np.where(valid, x0, 0.0)
    integral = (1 - start) / (1 - s) + s / (1 - s) ** 2 * np.log(s + (1 - s) * start)
    return answer(
        integral / (1 - start), valid, "The mean void fraction needs quality below 1 and vapour below liquid."
    )


def mean_two_phase_density(rho_l: ArrayLike, rho_v: ArrayLike, quality_from: ArrayLike = 0.0) -> FloatArray:
    """Mean density of a zone that evaporates from `quality_from` to 1 (or condenses the other way), kg/m³."""
    void = mean_void_fraction(rho_l, rho_v, quality_from)
    return scalar_or_array(void * floats(rho_v) + (1 - void) * floats(rho_l))
