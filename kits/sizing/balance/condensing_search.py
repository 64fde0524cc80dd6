"""Finding the condensing temperature at which a condenser rejects what arrives, all else being given."""

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np

from kits.sizing.balance.balance_input import BalanceInput
from kits.sizing.balance.cycle import CoilSide, Cycle, PlantRows, coil_side, cycle, plant_rows
from kits.sizing.gas.refrigerant import Refrigerant
from vehicles.physics.arrays import BoolArray, FloatArray, IntArray
from vehicles.physics.newton import ScalarFunction, bracket_batch, climb_batch

ABOVE_RANGE_K = 1.0
"""How far beyond the highest condensing temperature a balance is looked for."""
CLIMBS = 5
"""Steps by which a condenser is shown to be too small before its whole range is scanned."""
LIFT = 3
"""The row of `lift_k` among what is seen."""
SCAN_STEPS = 10
HOPELESS = 0.3
"""A largest surplus this far below zero does not turn positive between two steps of a scan."""
SCANS = 3
"""Each scan looks 5 times finer than the one before; the last sees a gap of about 0.2 K."""
TIGHT = 1e-10
"""Relative error of heat and flow in an answer."""
WORK_1_K = 0.006
"""Compressor work over coil heat, per kelvin between evaporating and condensing; only to begin somewhere."""

Evaluate = Callable[[FloatArray, FloatArray, IntArray], Cycle]
"""evaluate(unknown, condensing_c, rows): the unknown is fin temperature, speed or throttle."""


class Condensing(NamedTuple):
    """Where a condenser balances, and what was seen there (at the upper end, where it is too hot).

    slope_1_k     of the condenser's surplus over the coil's heat
    pumped        what the pump moves over what the coil evaporates
    ratio         pressure ratio; ratio_effect share of the volumetric efficiency that it costs
    lift_k        condensing above air inlet that the heat would need
    too_hot       no condensing temperature is high enough
    """

    condensing_c: FloatArray
    slope_1_k: FloatArray
    pumped: FloatArray
    ratio: FloatArray
    ratio_effect: FloatArray
    lift_k: FloatArray
    too_hot: BoolArray

    def take(self, rows: IntArray) -> "Condensing":
        """The given rows."""
        values: list[Any] = [value[rows] for value in self]
        return Condensing(*values)


class CondensingSearch:
    """The balance equations of a batch of plants (flat, valid inputs)."""

    def __init__(self, gas: Refrigerant, x: BalanceInput) -> None:
        self.gas, self.x = gas, x
        self.plants = plant_rows(gas, x)
        self.at_freeze = coil_side(gas, self.plants, x.freeze_surface_c)
        self.count = x.air_in_c.size
        self.ceiling_c = gas.condensing_to_c + ABOVE_RANGE_K
        self._rows: IntArray | None = None
        self._taken: tuple[PlantRows, CoilSide, FloatArray] = (self.plants, self.at_freeze, x.speed_rpm)

    def take(self, rows: IntArray) -> tuple[PlantRows, CoilSide, FloatArray]:
        """Plants, coil at the freeze limit and speed of some rows; solvers ask often for the same."""
        if self._rows is None or not np.array_equal(self._rows, rows):
            self._rows = rows
            if rows.size == self.count:
                self._taken = (self.plants, self.at_freeze, self.x.speed_rpm)
            else:
                self._taken = (self.plants.take(rows), self.at_freeze.take(rows), self.x.speed_rpm[rows])
        return self._taken

    def full_flow(self, surface_c: FloatArray, condensing_c: FloatArray, rows: IntArray) -> Cycle:
        """Given speed, fins at `surface_c`."""
        plants, _, speed = self.take(rows)
        return cycle(self.gas, plants, coil_side(self.gas, plants, surface_c), condensing_c, speed)

    def at_speed(self, speed_rpm: FloatArray, condensing_c: FloatArray, rows: IntArray) -> Cycle:
        """Fins at the freeze limit, another speed."""
        plants, side, _ = self.take(rows)
        return cycle(self.gas, plants, side, condensing_c, speed_rpm)

    def throttled(self, throttle: FloatArray, condensing_c: FloatArray, rows: IntArray) -> Cycle:
        """Fins at the freeze limit, given speed, suction valve partly closed."""
        plants, side, speed = self.take(rows)
        return cycle(self.gas, plants, side, condensing_c, speed, throttle)

    def at_least(self, evaluate: Evaluate, unknown: FloatArray, rows: IntArray) -> Condensing:
        """What is seen at a condensing temperature that is surely not above the balance's, in one pass.

        The condenser has to reject the coil's heat at least. too_hot is only sure where it is told.
        """
        plants, side, _ = self.take(rows)
        needed_c = plants.cond_air_in_c + side.heat_w / plants.condenser_w_k
        condensing_c = np.minimum(needed_c, self.ceiling_c)
        seen = _seen(evaluate(unknown, condensing_c, rows), plants.v1, plants.condenser_w_k)
        too_hot = plants.cond_air_in_c + seen[LIFT] > self.ceiling_c
        return Condensing(condensing_c, plants.condenser_w_k / side.heat_w, *seen, too_hot)

    def condensing(
        self,
        evaluate: Evaluate,
        unknown: FloatArray,
        rows: IntArray,
        tolerance: float,
        near: Condensing | None = None,
    ) -> Condensing:
        """Condensing temperature at which the condenser rejects what arrives, the unknown being given.

        near  a looser answer to the same question, to begin at

        The condenser's surplus rises from the air's temperature on; it may fall again where the flow rises
        steeply (near the critical point, or where narrow lines choke), and the plant runs at the lowest root.
        The search climbs to it from an estimate; a row that does not rise all the way is scanned from below.
        """
        plants, side, _ = self.take(rows)
        heat_w, by_kelvin, lowest = side.heat_w, plants.condenser_w_k, plants.cond_air_in_c
        seen = np.empty((4, rows.size))

        def surplus(condensing_c: FloatArray, some: IntArray) -> FloatArray:
            state = evaluate(unknown[some], condensing_c, rows[some])
            seen[:, some] = _seen(state, plants.v1[some], by_kelvin[some])
            difference: FloatArray = (state.rejected_w - state.heat_w) / heat_w[some]
            return difference

        if near is None:
            start, slope = estimate_c(plants, side), by_kelvin / heat_w
        else:
            start, slope = near.condensing_c, near.slope_1_k
        found = climb_batch(surplus, start, slope, lowest, self.ceiling_c, tolerance=tolerance)
        condensing_c, too_hot = found.x, np.zeros(rows.size, dtype=bool)
        left = np.flatnonzero(~found.converged)
        if left.size:
            too_hot[left] = self._never_enough(surplus, seen, lowest, (heat_w / by_kelvin)[left], left)
            left = left[~too_hot[left]]
        if left.size:
            condensing_c[left], too_hot[left] = self.lowest_condensing(
                lambda t, some: surplus(t, left[some]), lowest[left]
            )
        if not found.converged.all():
            condensing_c[too_hot] = self.ceiling_c
            left = np.flatnonzero(~found.converged)
            surplus(condensing_c[left], left)
        pumped, ratio, effect, lift = seen
        return Condensing(
            condensing_c=condensing_c,
            slope_1_k=found.slope,
            pumped=pumped,
            ratio=ratio,
            ratio_effect=effect,
            lift_k=lift,
            too_hot=too_hot,
        )

    def _never_enough(
        self,
        surplus: ScalarFunction,
        seen: FloatArray,
        lowest: FloatArray,
        lift_k: FloatArray,
        rows: IntArray,
    ) -> BoolArray:
        """Rows that surely are too hot.

        The heat to reject only grows with condensing temperature. So it is at least the coil's, which needs
        some temperature; it is at least the heat at that one, which needs a higher one, and so on.
        """
        needed_c = lowest[rows] + lift_k
        for _ in range(CLIMBS):
            is_open = np.flatnonzero(needed_c <= self.ceiling_c)
            if not is_open.size:
                break
            surplus(needed_c[is_open], rows[is_open])
            needed_c[is_open] = (lowest + seen[LIFT])[rows[is_open]]
        never: BoolArray = needed_c > self.ceiling_c
        return never

    def lowest_condensing(
        self, surplus: ScalarFunction, lowest: FloatArray, rough: ScalarFunction | None = None
    ) -> tuple[FloatArray, BoolArray]:
        """The lowest condensing temperature without surplus heat by scanning, and where there is none.

        rough  a cheaper surplus to scan with
        """
        scanned = rough or surplus
        lower, upper = lowest.copy(), np.full(lowest.size, self.ceiling_c)
        best = scanned(upper, np.arange(lowest.size))
        lacking = np.flatnonzero(~(best >= 0))
        for _ in range(SCANS):
            if not lacking.size:
                break
            lower[lacking], upper[lacking], best[lacking] = _scan(
                scanned, lower[lacking], upper[lacking], lacking
            )
            lacking = np.flatnonzero((best < 0) & (best > -HOPELESS))
        too_hot = ~(best >= 0)
        condensing_c = np.full(lowest.size, self.ceiling_c)
        found = np.flatnonzero(~too_hot)
        if found.size:
            root = bracket_batch(
                lambda t, some: surplus(t, found[some]),
                lower[found],
                upper[found],
                x_tolerance=1e-11,
                f_tolerance=TIGHT,
            )
            condensing_c[found] = root.best
        return condensing_c, too_hot


def _seen(
    state: Cycle, v1: FloatArray, by_kelvin: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Pumped, ratio, its effect and the lift of a state, as in `Condensing`."""
    effect = -v1 * state.pressure_ratio / state.eta_v
    lift = state.heat_w / by_kelvin
    return state.pump_kg_s / state.flow_kg_s, state.pressure_ratio, effect, lift


def estimate_c(plants: PlantRows, side: CoilSide) -> FloatArray:
    """Condensing temperature if the compressor's work grew in proportion to the lift."""
    lift = side.heat_w / plants.condenser_w_k
    share = np.minimum(WORK_1_K * lift, 0.5)
    start: FloatArray = (plants.cond_air_in_c + lift - share * side.evaporating_c) / (1 - share)
    return start


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
