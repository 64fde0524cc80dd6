"""Finding the balance: condensing temperature alone, or together with one other unknown of the same row."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from kits.sizing.balance_input import BalanceInput
from kits.sizing.cycle import EDGE_K, CoilSide, Cycle, coil_side, cycle
from kits.sizing.evaporator import bypass_factor
from kits.sizing.refrigerant import Refrigerant
from vehicles.physics.arrays import BoolArray, FloatArray, IntArray
from vehicles.physics.newton import bracket_batch, solve_batch

APART_K = 1e-3
"""Fin temperatures are looked for up to this far below the coil's air; there the coil takes next to nothing."""
SCAN_STEPS = 16
LEAST_THROTTLE = 0.02
"""The suction-regulating valve is looked for down to this pressure ratio; long before, ratios leave their range."""

Evaluate = Callable[[FloatArray, FloatArray, IntArray], Cycle]
"""evaluate(unknown, condensing_c, rows): the unknown is fin temperature, speed or throttle."""


class Pair(NamedTuple):
    """The unknown and the condensing temperature.

    found     both balances close
    too_hot   the condenser could not reject the heat even at the tables' upper end; held there
    """

    unknown: FloatArray
    condensing_c: FloatArray
    found: BoolArray
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
        """Inputs, coil at the freeze limit and bypass factor of some rows; the solvers ask often for the same."""
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

        Second: rows where even the tables' upper end is too cold; they get that end.
        """

        def surplus(condensing_c: FloatArray, some: IntArray) -> FloatArray:
            state = evaluate(unknown[some], condensing_c, rows[some])
            balance: FloatArray = (state.rejected_w - state.heat_w) / state.heat_w
            return balance

        lower, upper = self._first_crossing(surplus, self.condensing_from[rows], self.condensing_to[rows])
        root = bracket_batch(surplus, lower, upper, x_tolerance=1e-11, f_tolerance=1e-12)
        too_hot = ~root.converged & (surplus(upper, np.arange(rows.size)) < 0)
        return np.where(too_hot, upper, root.x), too_hot

    @staticmethod
    def _first_crossing(
        surplus: Callable[[FloatArray, IntArray], FloatArray], lower: FloatArray, upper: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """Narrow the brackets of rows whose upper end lacks a surplus to the first crossing from below.

        Near the critical point the flow and with it the heat rises steeply (narrow lines even choke): then the
        condenser has a surplus only between two temperatures, and the plant runs at the lower of them.
        """
        low, high = lower.copy(), upper.copy()
        lacking = np.flatnonzero(surplus(upper, np.arange(upper.size)) < 0)
        before = lower[lacking]
        for share in np.linspace(0, 1, SCAN_STEPS + 1)[1:-1]:
            if not lacking.size:
                break
            here = lower[lacking] + share * (upper[lacking] - lower[lacking])
            crossed = surplus(here, lacking) > 0
            low[lacking[crossed]], high[lacking[crossed]] = before[crossed], here[crossed]
            lacking, before = lacking[~crossed], here[~crossed]
        return low, high

    def pair(
        self,
        evaluate: Evaluate,
        lower: FloatArray,
        upper: FloatArray,
        start: FloatArray,
        condensing_start: FloatArray,
        rows: IntArray,
    ) -> Pair:
        """Newton for all rows, nested bracketing for those that it leaves."""
        flow_scale = evaluate(start, condensing_start, rows).flow_kg_s
        heat_scale = self.at_freeze.heat_w[rows]

        def residual(both: FloatArray, some: IntArray) -> FloatArray:
            state = evaluate(both[:, 0], both[:, 1], rows[some])
            return np.stack(
                [
                    (state.pump_kg_s - state.flow_kg_s) / flow_scale[some],
                    (state.rejected_w - state.heat_w) / heat_scale[some],
                ],
                axis=1,
            )

        box = [
            np.stack([lower, self.condensing_from[rows]], 1),
            np.stack([upper, self.condensing_to[rows]], 1),
        ]
        begin = np.clip(np.stack([start, condensing_start], axis=1), *box)
        newton = solve_batch(residual, *box, begin, tolerance=1e-10, max_iterations=25)
        unknown, condensing_c = newton.x[:, 0].copy(), newton.x[:, 1].copy()
        found, too_hot = newton.converged.copy(), np.zeros(rows.size, dtype=bool)
        left = np.flatnonzero(~found)
        if left.size:
            nested = self._nested(evaluate, lower[left], upper[left], rows[left])
            unknown[left], condensing_c[left], found[left], too_hot[left] = nested
        return Pair(unknown, condensing_c, found, too_hot)

    def _nested(self, evaluate: Evaluate, lower: FloatArray, upper: FloatArray, rows: IntArray) -> Pair:
        """Bracket the unknown; inside, bracket the condensing temperature."""

        def surplus(unknown: FloatArray, some: IntArray) -> FloatArray:
            condensing_c, _ = self.condensing(evaluate, unknown, rows[some])
            state = evaluate(unknown, condensing_c, rows[some])
            pump = np.maximum(state.pump_kg_s, 0.0)
            balance: FloatArray = (pump - state.flow_kg_s) / (pump + state.flow_kg_s)
            return balance

        root = bracket_batch(surplus, lower, upper, x_tolerance=1e-12, f_tolerance=1e-11)
        known = np.flatnonzero(root.converged)
        condensing_c, too_hot = np.full(rows.size, np.nan), np.zeros(rows.size, dtype=bool)
        condensing_c[known], too_hot[known] = self.condensing(evaluate, root.x[known], rows[known])
        return Pair(root.x, condensing_c, root.converged & ~too_hot, too_hot)
