"""Ducts in parallel between one plenum and the open: how a flow splits, and what a source drives through.

Every branch is a round duct with its fittings and an opening at its end. The arrays are (points, branches);
a point with fewer branches than the widest is padded with closed ones (`is_open` False).
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from kits.sizing.air.ducts import circle_area_m2, friction_factor
from vehicles.physics.arrays import BoolArray, FloatArray, IntArray, floats
from vehicles.physics.newton import bracket_batch

Source = Callable[[FloatArray, IntArray], FloatArray]
"""source(total_m3_s, rows) -> Pa left for the branches at that total flow, falling with flow; (m,) each."""

AGREEMENT = 1e-10
"""Largest relative change of a branch's resistance in the last round."""
MOST_ROUNDS = 200
WEIGHTS_OF_NEW = (0.75, 0.35)
"""Damping in ln R, by turns. A turbulent branch would converge undamped; in the transition from laminar flow,
where friction rises with flow up to its third power, undamped rounds swing between two answers."""
SMALLEST_REYNOLDS = 1e-6
"""Keeps 64/Re finite in a branch at rest; its loss is nothing either way."""


@dataclass(frozen=True, kw_only=True)
class Branches:
    """Branches of n points, arrays of shape (n, m); density and viscosity of the fluid (n, 1)."""

    length_m: FloatArray
    diameter_m: FloatArray
    roughness_m: FloatArray
    friction_multiple: FloatArray
    """1 for a rigid duct, the compression factor for a flexible one."""
    duct_k: FloatArray
    """Fittings, on the velocity in the duct."""
    end_area_m2: FloatArray
    end_k: FloatArray
    """Everything lost at the end, the jet's own velocity pressure with it, on the velocity there."""
    is_open: BoolArray
    density_kg_m3: FloatArray
    viscosity_pa_s: FloatArray

    def rows(self, rows: IntArray) -> "Branches":
        """Some of the points."""
        return replace(self, **{name: getattr(self, name)[rows] for name in self.__dataclass_fields__})

    def parts(self, flow_m3_s: FloatArray) -> tuple[FloatArray, FloatArray]:
        """R in Δp = R·q², Pa/(m³/s)², of the duct with its fittings and of its end, at this flow.

        R = ρ/2·(f·L/D·multiple + K_duct)/A² and ρ/2·K_end/A_end²
        """
        area = circle_area_m2(self.diameter_m)
        re = self.density_kg_m3 * np.abs(flow_m3_s) / area * self.diameter_m / self.viscosity_pa_s
        f = friction_factor(np.maximum(re, SMALLEST_REYNOLDS), self.roughness_m / self.diameter_m)
        duct = (f * self.length_m / self.diameter_m * self.friction_multiple + self.duct_k) / area**2
        return self.density_kg_m3 / 2 * duct, self.density_kg_m3 / 2 * self.end_k / self.end_area_m2**2

    def resistance(self, flow_m3_s: FloatArray) -> FloatArray:
        """R of duct and end together at this flow; infinite where closed."""
        duct, end = self.parts(flow_m3_s)
        return np.where(self.is_open, duct + end, np.inf)


@dataclass(frozen=True)
class ParallelFlow:
    """Flows of n points; NaN where not converged. Beyond or before its limits the source is not asked."""

    flow_m3_s: FloatArray
    total_m3_s: FloatArray
    plenum_pa: FloatArray
    converged: BoolArray
    is_above_upper: BoolArray
    """The source could drive more than the upper limit: the flows given are those at the limit."""
    is_below_lower: BoolArray

    def rows(self, rows: IntArray) -> "ParallelFlow":
        """Some of the points."""
        return replace(self, **{name: getattr(self, name)[rows] for name in self.__dataclass_fields__})

    @classmethod
    def together(cls, parts: Sequence["ParallelFlow"], branches: int) -> "ParallelFlow":
        """The points of several as those of one with so many branches; nothing flows in those added as closed."""
        columns = {
            name: np.concatenate([getattr(part, name) for part in parts])
            for name in cls.__dataclass_fields__
            if name != "flow_m3_s"
        }
        flow = np.zeros((columns["total_m3_s"].size, branches))
        at = 0
        for part in parts:
            n, m = part.flow_m3_s.shape
            flow[at : at + n, :m] = part.flow_m3_s[:, :branches]
            at += n
        return cls(flow_m3_s=flow, **columns)


def parallel_flow(
    source: Source, lower_m3_s: ArrayLike, upper_m3_s: ArrayLike, branches: Branches
) -> ParallelFlow:
    """Find the total flow at which a source gives just what parallel ducts lose, and how it splits.

    Formula: every branch loses Δp = R·q², R of friction, fittings and end; all lose the same, so that q = Q·R^−½/Σ R^−½
    and the plenum has Q²/(Σ R^−½)². In each round the total is one bracketed root with R held, then R follows the new
    flows, until no R changes.
    Parameters: source, pressure left for the branches by total flow, Pa, falling with it; lower_m3_s and upper_m3_s,
    limits of the total, m³/s, one for each point, not negative; branches, at least one open in each point.
    Returns: flows in m³/s, plenum pressure in Pa, whether it converged, and whether the balance lies beyond a limit,
    where the flows are those at the limit.
    Validity: one plenum without losses of its own, one density.
    Source: Darcy-Weisbach with Colebrook; equal loss of parallel branches (any textbook of hydraulics).
    Check: by hand: ends of 20 and 40 cm² with K = 1 and air of 1.2 kg/m³ take 0.02 and 0.04 m³/s at 60 Pa.

    >>> def row(*values):
    ...     return np.array([values], dtype=float)
    >>> two = Branches(length_m=row(0, 0), diameter_m=row(0.05, 0.05), roughness_m=row(0, 0),
    ...     friction_multiple=row(1, 1), duct_k=row(0, 0), end_area_m2=row(0.002, 0.004), end_k=row(1, 1),
    ...     is_open=row(1, 1) > 0, density_kg_m3=row(1.2), viscosity_pa_s=row(1.8e-5))
    >>> found = parallel_flow(lambda total, rows: 120 - 1000 * total, [0.0], [0.1], two)
    >>> [round(float(flow), 6) for flow in found.flow_m3_s[0]], round(float(found.plenum_pa[0]), 3)
    ([0.02, 0.04], 60.0)
    """
    n = branches.length_m.shape[0]
    lower, upper = (np.array(np.broadcast_to(floats(v), (n,))) for v in (lower_m3_s, upper_m3_s))
    start = (lower + upper)[:, None] / 2 / np.maximum(branches.is_open.sum(axis=1), 1)[:, None]
    resistance = branches.resistance(np.broadcast_to(start, branches.length_m.shape))
    flow, total = np.zeros(branches.length_m.shape), np.zeros(n)
    converged, is_open = np.zeros(n, dtype=bool), np.ones(n, dtype=bool)
    above, below = np.zeros(n, dtype=bool), np.zeros(n, dtype=bool)
    for turn in range(MOST_ROUNDS):
        rows = np.flatnonzero(is_open)
        if not rows.size:
            break
        conductance = resistance[rows] ** -0.5
        summed = conductance.sum(axis=1)
        total[rows], below[rows], above[rows] = _total(source, rows, lower[rows], upper[rows], summed)
        flow[rows] = total[rows, None] * conductance / summed[:, None]
        renewed = branches.rows(rows).resistance(flow[rows])
        with np.errstate(invalid="ignore"):  # a closed branch compares infinity with infinity
            change = np.abs(renewed / resistance[rows] - 1)
        change = np.where(branches.is_open[rows], change, 0.0).max(axis=1)
        converged[rows] = change <= AGREEMENT
        is_open[rows] = change > AGREEMENT  # a NaN closes the row, not converged
        weight = WEIGHTS_OF_NEW[turn % len(WEIGHTS_OF_NEW)]
        resistance[rows] = resistance[rows] ** (1 - weight) * renewed**weight
    with np.errstate(invalid="ignore"):
        plenum = total**2 / (resistance**-0.5).sum(axis=1) ** 2
    return ParallelFlow(
        np.where(converged[:, None], flow, np.nan),
        np.where(converged, total, np.nan),
        np.where(converged, plenum, np.nan),
        converged,
        converged & above,
        converged & below,
    )


def split(total_m3_s: ArrayLike, branches: Branches) -> ParallelFlow:
    """How a known total flow splits over parallel ducts: every branch of a point loses the same.

    Formula: q = Q·R^−½/Σ R^−½, R of each branch at its own flow.
    Parameters: total_m3_s Q, m³/s, one for each point; branches, at least one open in each point.
    Returns: flows in m³/s and the plenum's pressure in Pa.
    Validity: as parallel_flow.
    Source: equal loss of parallel branches (any textbook of hydraulics).
    Check: by hand: of two ends with the same K, one twice as large as the other, it takes twice the flow.

    >>> def row(*values):
    ...     return np.array([values], dtype=float)
    >>> two = Branches(length_m=row(0, 0), diameter_m=row(0.05, 0.05), roughness_m=row(0, 0),
    ...     friction_multiple=row(1, 1), duct_k=row(0, 0), end_area_m2=row(0.002, 0.004), end_k=row(1, 1),
    ...     is_open=row(1, 1) > 0, density_kg_m3=row(1.2), viscosity_pa_s=row(1.8e-5))
    >>> [round(float(flow), 6) for flow in split([0.03], two).flow_m3_s[0]]
    [0.01, 0.02]
    """
    total = floats(total_m3_s)
    return parallel_flow(lambda q, rows: np.zeros_like(q), total, total, branches)


def _total(
    source: Source, rows: IntArray, lower: FloatArray, upper: FloatArray, summed: FloatArray
) -> tuple[FloatArray, BoolArray, BoolArray]:
    """Total flow at constant resistances, held at a limit (and said so) where the balance lies outside."""

    def surplus(q: FloatArray, within: IntArray) -> FloatArray:
        return source(q, rows[within]) - (q / summed[within]) ** 2

    every = np.arange(rows.size)
    below, above = surplus(lower, every) < 0, surplus(upper, every) > 0
    # a flow of 1e-3 m³/s is small here: solve in thousandths so that the tolerance is relative to it
    root = bracket_batch(lambda x, w: surplus(x / 1000, w), lower * 1000, upper * 1000, x_tolerance=1e-13)
    total = np.where(below, lower, np.where(above, upper, root.x / 1000))
    return total, below, above
