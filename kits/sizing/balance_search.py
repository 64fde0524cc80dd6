"""Finding the balance: condensing temperature alone, or together with one other unknown of the same row."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from kits.sizing.balance_input import BalanceInput
from kits.sizing.cycle import EDGE_K, CoilSide, Cycle, coil_side, cycle
from kits.sizing.evaporator import bypass_factor
from kits.sizing.refrigerant import Refrigerant
from vehicles.physics.arrays import BoolArray, FloatArray, IntArray
from vehicles.physics.newton import ScalarFunction, SystemFunction, bracket_batch, solve_batch

APART_K = 1e-3
"""Fins are looked for up to this far below the coil's air, where they take next to nothing."""
SCAN_STEPS = 10
HOPELESS = 0.3
"""A largest surplus this far below zero does not turn positive between two steps of a scan."""
STABILITY_STEP = 1e-4
SCANS = 3
"""Each scan looks 5 times finer than the one before; the last sees a gap of about 0.3 K."""
LEAST_THROTTLE = 0.02
"""The suction-regulating valve is looked for down to this ratio; the compressor leaves its range before."""

Evaluate = Callable[[FloatArray, FloatArray, IntArray], Cycle]
"""evaluate(unknown, condensing_c, rows): the unknown is fin temperature, speed or throttle."""


class Pair(NamedTuple):
    """The unknown and the condensing temperature; too_hot where no condensing temperature is high enough.

    Whether a row really balances is for the caller to judge from its state.
    """

    unknown: FloatArray
    condensing_c: FloatArray
    too_hot: BoolArray


class Search:
    """The balance equations of a batch of plants (flat, valid inputs)."""

    def __init__(self, gas: Refrigerant, x: BalanceInput) -> None:
        self.gas, self.x = gas, x
        self.bypass = bypass_factor(x.evap_ua_air_w_k, x.evap_ref_air_kg_s, x.air_kg_s, x.air_in_w)
        self.at_freeze = coil_side(gas, x, self.bypass, x.freeze_surface_c)
        self.count = self.bypass.size
        self.condensing_from = x.cond_air_in_c
        self.condensing_to = np.full(self.count, gas.saturation_to_c - EDGE_K)
        self._rows: IntArray | None = None
        self._taken: tuple[BalanceInput, CoilSide, FloatArray] | None = None

    def _take(self, rows: IntArray) -> tuple[BalanceInput, CoilSide, FloatArray]:
        """Inputs, coil at the freeze limit and bypass factor of some rows; solvers ask often for the same."""
        if self._taken is None or self._rows is None or not np.array_equal(self._rows, rows):
            self._rows = rows
            self._taken = (self.x.take(rows), self.at_freeze.take(rows), self.bypass[rows])
        return self._taken

    def full_flow(self, surface_c: FloatArray, condensing_c: FloatArray, rows: IntArray) -> Cycle:
        """Given speed, fins at `surface_c`."""
        x, _, bypass = self._take(rows)
        return cycle(self.gas, x, coil_side(self.gas, x, bypass, surface_c), condensing_c, x.speed_rpm)

    def at_speed(self, speed_rpm: FloatArray, condensing_c: FloatArray, rows: IntArray) -> Cycle:
        """Fins at the freeze limit, another speed."""
        x, side, _ = self._take(rows)
        return cycle(self.gas, x, side, condensing_c, speed_rpm)

    def throttled(self, throttle: FloatArray, condensing_c: FloatArray, rows: IntArray) -> Cycle:
        """Fins at the freeze limit, given speed, suction valve partly closed."""
        x, side, _ = self._take(rows)
        return cycle(self.gas, x, side, condensing_c, x.speed_rpm, throttle)

    def condensing(
        self, evaluate: Evaluate, unknown: FloatArray, rows: IntArray
    ) -> tuple[FloatArray, BoolArray]:
        """Condensing temperature at which the condenser rejects what arrives, the unknown being given.

        Second: rows where no temperature is high enough; they get the tables' upper end.
        """

        def surplus(condensing_c: FloatArray, some: IntArray) -> FloatArray:
            return _heat_surplus(evaluate(unknown[some], condensing_c, rows[some]))

        return self._lowest_condensing(surplus, rows)

    def _lowest_condensing(self, surplus: ScalarFunction, rows: IntArray) -> tuple[FloatArray, BoolArray]:
        """The lowest condensing temperature without surplus heat, and where there is none.

        Near the critical point the flow and with it the heat rises steeply (narrow lines even choke): then
        the condenser keeps up only between two temperatures, and the plant runs at the lower of them. So a
        row whose upper end lacks condenser is scanned from below before it is bracketed.
        """
        lower, upper = self.condensing_from[rows].copy(), self.condensing_to[rows].copy()
        best = surplus(upper, np.arange(rows.size))
        lacking = np.flatnonzero(best < 0)
        for _ in range(SCANS):
            if not lacking.size:
                break
            lower[lacking], upper[lacking], best[lacking] = _scan(
                surplus, lower[lacking], upper[lacking], lacking
            )
            lacking = np.flatnonzero((best < 0) & (best > -HOPELESS))
        too_hot = best < 0
        root = bracket_batch(surplus, lower, upper, x_tolerance=1e-11, f_tolerance=1e-10)
        return np.where(too_hot, self.condensing_to[rows], root.x), too_hot

    def pair(
        self,
        evaluate: Evaluate,
        lower: FloatArray,
        upper: FloatArray,
        start: FloatArray,
        condensing_start: FloatArray,
        rows: IntArray,
    ) -> Pair:
        """Both balances at once: Newton for all rows, nested bracketing for those that it leaves.

        lower, upper, start, condensing_start  range of the unknown, and where Newton begins
        """
        begun = evaluate(start, condensing_start, rows)
        flow_scale, heat_scale = begun.flow_kg_s, begun.heat_w

        def residual(both: FloatArray, some: IntArray) -> FloatArray:
            state = evaluate(both[:, 0], both[:, 1], rows[some])
            return np.stack(
                [
                    (state.pump_kg_s - state.flow_kg_s) / flow_scale[some],
                    (state.rejected_w - state.heat_w) / heat_scale[some],
                ],
                axis=1,
            )

        low = np.stack([lower, self.condensing_from[rows]], axis=1)
        high = np.stack([upper, self.condensing_to[rows]], axis=1)
        begin = np.clip(np.stack([start, condensing_start], axis=1), low, high)
        newton = solve_batch(residual, low, high, begin, tolerance=1e-10, max_iterations=25)
        unknown, condensing_c = newton.x[:, 0].copy(), newton.x[:, 1].copy()
        good = newton.converged.copy()
        solved = np.flatnonzero(good)
        good[solved] = _is_stable(residual, newton.x[solved], newton.residual[solved], high[solved], solved)
        left, too_hot = np.flatnonzero(~good), np.zeros(rows.size, dtype=bool)
        if left.size:
            nested = self._nested(evaluate, lower[left], upper[left], rows[left])
            unknown[left], condensing_c[left], too_hot[left] = nested
        return Pair(unknown, condensing_c, too_hot)

    def _nested(self, evaluate: Evaluate, lower: FloatArray, upper: FloatArray, rows: IntArray) -> Pair:
        """Bracket the condensing temperature; inside, bracket the unknown that balances the flow.

        The unknown rises with the pump's surplus, so where even its lower (upper) end pumps too much (little)
        it is held there: the outer function stays continuous, and a row that ends so does not close.
        """

        def balancing(condensing_c: FloatArray, some: IntArray) -> FloatArray:
            def surplus(unknown: FloatArray, few: IntArray) -> FloatArray:
                return _flow_surplus(evaluate(unknown, condensing_c[few], rows[some[few]]))

            low, high = lower[some], upper[some]
            root = bracket_batch(surplus, low, high, x_tolerance=1e-13, f_tolerance=1e-13)
            every = np.arange(some.size)
            held = np.where(surplus(low, every) >= 0, low, high)
            return np.where(root.converged, root.x, held)

        def surplus_heat(condensing_c: FloatArray, some: IntArray) -> FloatArray:
            return _heat_surplus(evaluate(balancing(condensing_c, some), condensing_c, rows[some]))

        condensing_c, too_hot = self._lowest_condensing(surplus_heat, rows)
        return Pair(balancing(condensing_c, np.arange(rows.size)), condensing_c, too_hot)


def _is_stable(
    residual: SystemFunction, x: FloatArray, f: FloatArray, high: FloatArray, rows: IntArray
) -> BoolArray:
    """Whether, with the flow kept balanced, a higher condensing temperature gives a surplus of condenser.

    Only then does a disturbed plant come back; it is the lower one where two states balance.
    """
    step = np.where(x + STABILITY_STEP > high, -STABILITY_STEP, STABILITY_STEP)
    columns = []
    for k in range(2):
        aside = x.copy()
        aside[:, k] += step[:, k]
        columns.append((residual(aside, rows) - f) / step[:, [k]])
    by_unknown, by_condensing = columns
    along = by_condensing[:, 1] - by_unknown[:, 1] * by_condensing[:, 0] / by_unknown[:, 0]
    stable: BoolArray = along > 0
    return stable


def _scan(
    surplus: ScalarFunction, lower: FloatArray, upper: FloatArray, rows: IntArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """The first of SCAN_STEPS steps over which the surplus turns positive, and the largest surplus seen.

    Where it never does: the steps on both sides of the largest surplus, to be scanned more finely.
    """
    shares = np.linspace(0, 1, SCAN_STEPS + 1)
    places = lower + shares[:, None] * (upper - lower)
    found = surplus(places.ravel(), np.tile(rows, SCAN_STEPS + 1)).reshape(places.shape)
    best = np.argmax(np.nan_to_num(found, nan=-2.0), axis=0)
    crossed = (found > 0).any(axis=0)
    first = np.argmax(found > 0, axis=0)
    start = np.maximum(np.where(crossed, first, best) - 1, 0)
    stop = np.where(crossed, first, np.minimum(best + 1, SCAN_STEPS))
    column = np.arange(rows.size)
    return places[start, column], places[stop, column], found[best, column]


def _heat_surplus(state: Cycle) -> FloatArray:
    """What the condenser could reject beyond what arrives, from -1 to 1."""
    surplus: FloatArray = (state.rejected_w - state.heat_w) / (state.rejected_w + state.heat_w)
    return surplus


def _flow_surplus(state: Cycle) -> FloatArray:
    """What the pump could move beyond what the coil evaporates, from -1 to 1."""
    pump = np.maximum(state.pump_kg_s, 0.0)
    surplus: FloatArray = (pump - state.flow_kg_s) / (pump + state.flow_kg_s)
    return surplus
