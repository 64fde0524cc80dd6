"""Effectiveness of heat exchangers from the number of transfer units and the ratio of the streams.

Source of all relations: W. M. Kays and A. L. London, Compact Heat Exchangers; Incropera et al., Fundamentals
of Heat and Mass Transfer, Table 11.3.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike

from vehicles.physics.arrays import FloatArray, answer, floats
from vehicles.physics.newton import bracket_batch

SERIES_TERMS = 60
"""Terms of the series for unmixed crossflow; 60 reach rounding up to NTU 10."""
LARGEST_NTU = 10.0
NEARLY_ZERO = 1e-9


def _counterflow(ntu: FloatArray, cr: FloatArray) -> FloatArray:
    gap = np.where(1 - cr < NEARLY_ZERO, 1.0, 1 - cr)
    decay = np.exp(-ntu * gap)
    balanced = 1 - cr < NEARLY_ZERO
    result: FloatArray = np.where(
        balanced, ntu / (1 + ntu), (1 - decay) / np.where(balanced, 1.0, 1 - cr * decay)
    )
    return result


def _parallel(ntu: FloatArray, cr: FloatArray) -> FloatArray:
    return (1 - np.exp(-ntu * (1 + cr))) / (1 + cr)


def _boiler(ntu: FloatArray, cr: FloatArray) -> FloatArray:
    return 1 - np.exp(-ntu) + 0 * cr


def _one_shell_pass(ntu: FloatArray, cr: FloatArray) -> FloatArray:
    root = np.sqrt(1 + cr**2)
    decay = np.exp(-ntu * root)
    result: FloatArray = 2 * (1 - decay) / ((1 + cr) * (1 - decay) + root * (1 + decay))
    return result


def _crossflow_approximate(ntu: FloatArray, cr: FloatArray) -> FloatArray:
    safe = np.maximum(cr, NEARLY_ZERO)
    result: FloatArray = -np.expm1(ntu**0.22 / safe * np.expm1(-safe * ntu**0.78))
    return result


def _crossflow_mixed_cmax(ntu: FloatArray, cr: FloatArray) -> FloatArray:
    safe = np.maximum(cr, NEARLY_ZERO)
    result: FloatArray = -np.expm1(safe * np.expm1(-ntu)) / safe
    return result


def _crossflow_mixed_cmin(ntu: FloatArray, cr: FloatArray) -> FloatArray:
    safe = np.maximum(cr, NEARLY_ZERO)
    return -np.expm1(np.expm1(-safe * ntu) / safe)


def _crossflow(ntu: FloatArray, cr: FloatArray) -> FloatArray:
    """Both unmixed, exact: 1/(Cr·N)·Σ [1 - e^-N Σ N^m/m!]·[1 - e^-CrN Σ (CrN)^m/m!] (Mason 1954)."""
    a, b = ntu, np.maximum(cr, NEARLY_ZERO) * ntu
    a_term, b_term = np.exp(-a), np.exp(-b)
    a_sum, b_sum = a_term, b_term
    total = np.zeros(np.broadcast(a, b).shape)
    for n in range(1, SERIES_TERMS + 1):
        total = total + (1 - a_sum) * (1 - b_sum)
        a_term, b_term = a_term * a / n, b_term * b / n
        a_sum, b_sum = a_sum + a_term, b_sum + b_term
    return total / np.where(b > 0, b, 1.0)


RELATIONS: dict[str, Callable[[FloatArray, FloatArray], FloatArray]] = {
    "counterflow": _counterflow,
    "parallel": _parallel,
    "crossflow": _crossflow,
    "crossflow approximate": _crossflow_approximate,
    "crossflow, mixed Cmin": _crossflow_mixed_cmin,
    "crossflow, mixed Cmax": _crossflow_mixed_cmax,
    "one shell pass": _one_shell_pass,
    "boiler": _boiler,
}


def effectiveness_from_ntu(ntu: ArrayLike, cr: ArrayLike, flow: str) -> FloatArray:
    """Share of the largest possible heat that an exchanger moves.

    Formula: ε = f(NTU, Cr) by the kind of flow; of a boiler 1 − e^−NTU
    Parameters: ntu, conductance over the smaller heat capacity flow, UA/C_min; cr, smaller over larger of these
        flows; flow, a key of RELATIONS; "crossflow" has both streams unmixed and is exact, "boiler" is Cr = 0
    Returns: a share
    Validity: NTU 0 to 10, Cr 0 to 1
    Source: the textbook relations of the effectiveness-NTU method
    Check: by hand: 1 − e⁻¹

    >>> round(float(effectiveness_from_ntu(1, 0, "boiler")), 4)
    0.6321
    """
    relation = _relation(flow)
    n, ratio = floats(ntu), floats(cr)
    valid = (n >= 0) & (n <= LARGEST_NTU) & (ratio >= 0) & (ratio <= 1)
    found = relation(np.where(valid, n, 1.0), np.where(valid, ratio, 0.5))
    return answer(found, valid, "Effectiveness is given for NTU from 0 to 10 and a flow ratio from 0 to 1.")


def ntu_from_effectiveness(effectiveness: ArrayLike, cr: ArrayLike, flow: str) -> FloatArray:
    """The NTU that gives an effectiveness, UA/C_min: the inverse of `effectiveness_from_ntu`.

    Formula: the root of f(NTU, Cr) = ε
    Parameters: effectiveness ε, a share; cr and flow as `effectiveness_from_ntu`
    Returns: NTU, UA/C_min
    Validity: an NTU of 0 to 10 that gives it; some kinds of flow never come to 1
    Source: as `effectiveness_from_ntu`
    Check: by hand: −ln(1 − 0.5)

    >>> round(float(ntu_from_effectiveness(0.5, 0, "boiler")), 4)
    0.6931
    """
    relation = _relation(flow)
    eps, ratio = np.broadcast_arrays(floats(effectiveness), floats(cr))
    valid = (eps >= 0) & (eps < 1) & (ratio >= 0) & (ratio <= 1)
    goal, safe_ratio = np.where(valid, eps, 0.1).ravel(), np.where(valid, ratio, 0.5).ravel()
    root = bracket_batch(
        lambda x, rows: relation(x, safe_ratio[rows]) - goal[rows], np.zeros(goal.size), LARGEST_NTU
    )
    converged = root.converged.reshape(eps.shape)
    found = np.where(converged, root.x.reshape(eps.shape), 0.0)
    return answer(
        found, valid & converged, "No NTU up to 10 gives this effectiveness with this kind of flow."
    )


def _relation(flow: str) -> Callable[[FloatArray, FloatArray], FloatArray]:
    if flow not in RELATIONS:
        raise ValueError(f"The flow {flow!r} is not known; known are {', '.join(RELATIONS)}.")
    return RELATIONS[flow]
