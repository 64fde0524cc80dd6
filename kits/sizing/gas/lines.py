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
    """What of a round line's measures the pressure loss needs.

    Formula: 1/A = 4/(π·D²); length in bores L/D.
    Parameters: length_m L, m; bore_m D, inner diameter, m, above 0; k_sum, sum of the loss coefficients of ends and
    fittings; arrays.
    Returns: 1/A in 1/m², the bore in m, L/D and the loss coefficients.
    Validity: not checked here: for the balance, whose lines are checked before.
    Source: geometry.
    Check: by hand: 2 m of 10 mm are 200 bores.

    >>> float(line(np.array(2.0), np.array(0.01), np.array(0.0)).length_in_bores)
    200.0
    """
    return Line(4.0 / (np.pi * bore_m * bore_m), bore_m, length_m / bore_m, k_sum)


def line_loss_pa(flow_kg_s: FloatArray, of: Line, rho: FloatArray, mu: FloatArray) -> FloatArray:
    """Pressure lost in a smooth round line, for valid inputs only: the balance asks it very often.

    Formula: (f·L/D + K)·(m/A)²/(2·ρ); f of laminar flow, or Colebrook's for a smooth wall.
    Parameters: flow_kg_s m, kg/s, not negative; of, the line; rho ρ, kg/m³, and mu, Pa·s, of one state for the whole
    line; arrays.
    Returns: Pa.
    Validity: as line_pressure_drop_pa; nothing is checked.
    Source: Darcy-Weisbach, Colebrook.
    Check: by hand: at 1 kg/s per m² and Re = 1000, 100 bores lose 6.4 times half of 1 Pa.

    >>> bore = np.array(0.01)
    >>> round(float(line_loss_pa(np.pi / 4 * bore**2, line(np.array(1.0), bore, np.array(0.0)), 1.0, 1e-5)), 6)
    3.2
    """
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
    """Pressure lost in a smooth round line.

    Formula: (f·L/D + K)·(m/A)²/(2·ρ); f of laminar flow, or Colebrook's for a smooth wall.
    Parameters: flow_kg_s m, mass flow, kg/s, not negative; length_m L, m, not negative; bore_m D, inner diameter, m,
    above 0; k_sum K, sum of the loss coefficients of ends and fittings, not negative; rho_kg_m3 ρ, density, kg/m³, and
    mu_pa_s, viscosity, Pa·s, at one state for the whole line, above 0.
    Returns: Pa.
    Validity: one phase, loss small against the pressure.
    Source: Darcy-Weisbach, Colebrook.
    Check: by hand: two ends of K = 1 on 12.7 mm with 0.03 kg/s of 16 kg/m³: (0.03/126.7e-6)²/16 = 3,505 Pa.

    >>> round(float(line_pressure_drop_pa(0.03, 0, 0.0127, 2, 16, 1.1e-5)))
    3505
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
    """A pressure drop after the evaporator as a fall of saturation temperature.

    Formula: Δt = t₀ − t_sat(p_sat(t₀) − Δp).
    Parameters: gas; evaporating_c t₀, °C, within the tables; drop_pa Δp, Pa.
    Returns: K.
    Validity: what is left must lie within the tables; else refused.
    Source: saturation of the refrigerant, CoolProp by our tables.
    Check: by hand: R-134a at 0 °C changes by about 10.3 kPa/K on the way, so that 20 kPa cost 1.94 K; no drop costs
    nothing.

    >>> from kits.sizing.gas.refrigerant import refrigerant
    >>> round(float(saturation_loss_k(refrigerant("R-134a"), 0.0, 20e3)), 2)
    1.94
    """
    t = floats(evaporating_c)
    return scalar_or_array(t - gas.t_sat_c(gas.p_sat_pa(t) - floats(drop_pa)))


def mean_void_fraction(rho_l: ArrayLike, rho_v: ArrayLike, quality_from: ArrayLike = 0.0) -> FloatArray:
    """Share of a tube's cross-section that vapour takes, mean over a zone whose quality rises evenly to 1.

    Formula: at quality x Zivi's x/(x + (1−x)·s), s = (ρ_v/ρ_l)^(2/3); its integral x/(1−s) − s/(1−s)²·ln(s + (1−s)·x)
    from quality_from to 1, over 1 − quality_from.
    Parameters: rho_l and rho_v, densities of liquid and vapour, kg/m³, vapour below liquid; quality_from, 0 to below 1.
    Returns: a share.
    Validity: annular flow, quality even along the tube.
    Source: S. M. Zivi, J. Heat Transfer 86 (1964) 247.
    Check: by hand: 1000 and 125 kg/m³ make s = ¼ and 4/3 − 4/9·ln 4; against the library fluids, integrated.

    >>> round(float(mean_void_fraction(1000, 125)), 4)
    0.7172
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
    """Mean density of a zone that evaporates to the end, or condenses the other way.

    Formula: ρ = α·ρ_v + (1 − α)·ρ_l, α the mean void fraction.
    Parameters: rho_l and rho_v, densities of liquid and vapour, kg/m³; quality_from, where the zone begins, 0 to below
    1.
    Returns: kg/m³.
    Validity: as mean_void_fraction.
    Source: mass balance; Zivi's void fraction.
    Check: by hand: 0.7172 of 125 and the rest of 1000 kg/m³.

    >>> round(float(mean_two_phase_density(1000, 125)), 1)
    372.4
    """
    void = mean_void_fraction(rho_l, rho_v, quality_from)
    return scalar_or_array(void * floats(rho_v) + (1 - void) * floats(rho_l))
