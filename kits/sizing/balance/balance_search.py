"""Finding the balance: condensing temperature together with one other unknown of the same row."""

from typing import NamedTuple

import numpy as np

from kits.sizing.balance.condensing_search import TIGHT, CondensingSearch, Evaluate
from kits.sizing.balance.cycle import Cycle
from vehicles.physics.arrays import BoolArray, FloatArray, IntArray
from vehicles.physics.newton import (
    PairFunction,
    Pairs,
    bracket_batch,
    climb_batch,
    pair_jacobian,
    solve_pairs,
)

FALL_K = 0.5
"""Whether the condenser's surplus still rises is judged over this step."""
CLEARLY_STABLE = 0.3
"""A surplus that rises at least this share of what it would at constant heat needs no closer look."""
NEARLY = 0.5
"""An error of the flow, over its size, that a straight line still mends."""
LOOSE, INNER = 1e-3, 1e-12
"""Relative errors of heat and flow: where only a sign is asked, and inside another search."""
HEAT_SCALE_J_KG = 150e3
"""About the heat a kilogram of refrigerant takes up; only to scale the flow's error."""

Ends = tuple[FloatArray, FloatArray]
"""Lower and upper end of an unknown."""


class Pair(NamedTuple):
    """The unknown and the condensing temperature; too_hot where no condensing temperature is high enough.

    Whether a row really balances is for the caller to judge from its state.
    """

    unknown: FloatArray
    condensing_c: FloatArray
    too_hot: BoolArray


class Search(CondensingSearch):
    """Both balances of a batch of plants (flat, valid inputs)."""

    def pair(
        self,
        evaluate: Evaluate,
        lower: FloatArray,
        upper: FloatArray,
        start: FloatArray,
        condensing_start: FloatArray,
        rows: IntArray,
    ) -> Pair:
        """Both balances at once, for all rows together; what that leaves is looked at more closely.

        lower, upper, start, condensing_start  range of the unknown, and where the search begins
        """
        (unknown, condensing_c), good, too_hot = self._joint(
            evaluate, (lower, upper), start, condensing_start, rows
        )
        left = np.flatnonzero(~good & ~too_hot)
        if left.size:
            ends = (lower[left], upper[left])
            found = self._closely(evaluate, ends, unknown[left], rows[left])
            unknown[left], condensing_c[left], too_hot[left] = found
        return Pair(unknown, condensing_c, too_hot)

    def _joint(
        self, evaluate: Evaluate, ends: Ends, start: FloatArray, condensing_start: FloatArray, rows: IntArray
    ) -> tuple[FloatArray, BoolArray, BoolArray]:
        """Unknown and condensing temperature by one search for both; where a stable state, or surely none."""
        plants, side, _ = self.take(rows)
        heat_w, steepest = side.heat_w, plants.condenser_w_k / side.heat_w

        def residual(both: FloatArray, some: IntArray) -> FloatArray:
            state = evaluate(both[0], both[1], rows[some])
            flow = (state.pump_kg_s - state.flow_kg_s) * HEAT_SCALE_J_KG
            return np.stack([flow, state.rejected_w - state.heat_w]) / heat_w[some]

        low = np.stack([ends[0], plants.cond_air_in_c])
        high = np.stack([ends[1], np.full(rows.size, self.ceiling_c)])
        begin = np.clip(np.stack([start, condensing_start]), low, high)
        found = solve_pairs(residual, low, high, begin, tolerance=TIGHT)
        good = found.converged.copy()
        _drop_unstable(residual, found, low, high, steepest, good)
        return found.x, good, ~good & _surely_too_hot(found, high, steepest)

    def _closely(self, evaluate: Evaluate, ends: Ends, near: FloatArray, rows: IntArray) -> Pair:
        """Rows that the joint search left: held at the unknown's lower end, too hot, or to be bracketed.

        A row whose pump moves too much even at the unknown's lower end is held there. A row whose condenser
        lacks surplus at the highest condensing temperature, and no less a little below, is too hot.
        """
        unknown, condensing_c = near.copy(), np.full(rows.size, self.ceiling_c)
        too_hot, rest = np.zeros(rows.size, dtype=bool), np.arange(rows.size)

        def of(some: IntArray) -> Ends:
            return ends[0][some], ends[1][some]

        low = np.flatnonzero(near <= ends[0])
        if low.size:
            held = self.condensing(evaluate, of(low)[0], rows[low], TIGHT)
            condensing_c[low] = held.condensing_c
            rest = np.setdiff1d(rest, low[~held.too_hot & (held.pumped >= 1)])
        if rest.size:
            unknown[rest], too_hot[rest] = self._lacks_at_top(evaluate, of(rest), near[rest], rows[rest])
            condensing_c[rest] = self.ceiling_c
            rest = rest[~too_hot[rest]]
        if rest.size:
            top = condensing_c[rest] - FALL_K
            found, good, _ = self._joint(evaluate, of(rest), unknown[rest], top, rows[rest])
            unknown[rest[good]], condensing_c[rest[good]] = found[:, good]
            rest = rest[~good]
        if rest.size:
            unknown[rest], condensing_c[rest], too_hot[rest] = self._nested(evaluate, of(rest), rows[rest])
        return Pair(unknown, condensing_c, too_hot)

    def _lacks_at_top(
        self, evaluate: Evaluate, ends: Ends, near: FloatArray, rows: IntArray
    ) -> tuple[FloatArray, BoolArray]:
        """The balancing unknown at the highest condensing temperature; where the condenser then lacks.

        Only where it lacks no less a little below.
        """
        found = []
        for condensing_c in (self.ceiling_c - FALL_K, self.ceiling_c):
            at = np.full(rows.size, condensing_c)
            near = self._balancing(evaluate, ends, near, at, rows, LOOSE)
            found.append(_heat_surplus(evaluate(near, at, rows)))
        below, at_top = found
        return near, (at_top < 0) & (below < at_top)

    def _balancing(
        self,
        evaluate: Evaluate,
        ends: Ends,
        near: FloatArray,
        condensing_c: FloatArray,
        rows: IntArray,
        tolerance: float,
    ) -> FloatArray:
        """The unknown at which pump and coil agree at a condensing temperature.

        The unknown rises with the pump's surplus, so where even its lower (upper) end pumps too much (little)
        it is held there.
        """
        lower, upper = ends

        def surplus(unknown: FloatArray, some: IntArray) -> FloatArray:
            return _flow_surplus(evaluate(unknown, condensing_c[some], rows[some]))

        found = climb_batch(surplus, near, 1.0 / (upper - lower), lower, upper, tolerance=tolerance)
        unknown = found.x
        held = ((unknown <= lower) & (found.f > 0)) | ((unknown >= upper) & (found.f < 0))
        left = np.flatnonzero(~found.converged & ~held)
        if left.size:
            low, high = lower[left], upper[left]
            root = bracket_batch(
                lambda u, some: surplus(u, left[some]),
                low,
                high,
                x_tolerance=tolerance,
                f_tolerance=tolerance,
            )
            unknown[left] = np.where(root.converged, root.best, np.where(surplus(low, left) >= 0, low, high))
        return unknown

    def _nested(self, evaluate: Evaluate, ends: Ends, rows: IntArray) -> Pair:
        """Bracket the condensing temperature; inside, find the unknown that balances the flow.

        The outer function stays continuous, and a row whose unknown is held at an end does not close.
        """
        lower, upper = ends
        middle = (lower + upper) / 2

        def balancing(condensing_c: FloatArray, some: IntArray, tolerance: float) -> FloatArray:
            within = lower[some], upper[some]
            return self._balancing(evaluate, within, middle[some], condensing_c, rows[some], tolerance)

        def rough(condensing_c: FloatArray, some: IntArray) -> FloatArray:
            unknown = balancing(condensing_c, some, LOOSE)
            return _heat_surplus(evaluate(unknown, condensing_c, rows[some]))

        def surplus(condensing_c: FloatArray, some: IntArray) -> FloatArray:
            unknown = balancing(condensing_c, some, INNER)
            return _heat_surplus(evaluate(unknown, condensing_c, rows[some]))

        lowest = self.plants.cond_air_in_c[rows]
        condensing_c, too_hot = self.lowest_condensing(surplus, lowest, rough)
        return Pair(balancing(condensing_c, np.arange(rows.size), INNER), condensing_c, too_hot)


def _drop_unstable(
    residual: PairFunction,
    found: Pairs,
    low: FloatArray,
    high: FloatArray,
    steepest: FloatArray,
    good: BoolArray,
) -> None:
    """Clear `good` where, with the flow kept balanced, more condensing temperature brings no surplus.

    Only with a surplus does a disturbed plant come back; it is the lower one where two states balance. The
    solver's Jacobian is exact enough where the surplus rises clearly.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        rise = _along(found.jacobian)
        doubtful = np.flatnonzero(good & ~(rise > CLEARLY_STABLE * steepest))
        if doubtful.size:
            exact = pair_jacobian(
                residual,
                found.x[:, doubtful],
                found.residual[:, doubtful],
                low[:, doubtful],
                high[:, doubtful],
                doubtful,
            )
            good[doubtful] = _along(exact) > 0


def _surely_too_hot(found: Pairs, high: FloatArray, steepest: FloatArray) -> BoolArray:
    """Where the search ended too hot beyond doubt.

    It stands at the highest condensing temperature, a degree above the range of answers, and the condenser lacks
    although its surplus rises clearly. The flow's error is mended in a straight line; what that leaves is about
    its square.
    """
    flow, heat = found.residual
    with np.errstate(divide="ignore", invalid="ignore"):
        lacks = heat - found.jacobian[1, 0] * flow / found.jacobian[0, 0] < -(flow**2)
        rises = _along(found.jacobian) > CLEARLY_STABLE * steepest
    sure: BoolArray = (found.x[1] >= high[1]) & (np.abs(flow) < NEARLY) & lacks & rises
    return sure


def _along(jacobian: FloatArray) -> FloatArray:
    """Rise of the condenser's surplus with condensing temperature along balanced flow."""
    rise: FloatArray = jacobian[1, 1] - jacobian[1, 0] * jacobian[0, 1] / jacobian[0, 0]
    return rise


def _heat_surplus(state: Cycle) -> FloatArray:
    """What the condenser could reject beyond what arrives, from -1 to 1."""
    surplus: FloatArray = (state.rejected_w - state.heat_w) / (state.rejected_w + state.heat_w)
    return surplus


def _flow_surplus(state: Cycle) -> FloatArray:
    """What the pump could move beyond what the coil evaporates, from -1 to 1."""
    pump = np.maximum(state.pump_kg_s, 0.0)
    surplus: FloatArray = (pump - state.flow_kg_s) / (pump + state.flow_kg_s)
    return surplus
