"""Finding the balance: condensing temperature alone, or together with one other unknown of the same row."""

from collections.abc import Callable
from typing import Any, NamedTuple

import numpy as np

from kits.sizing.balance_input import BalanceInput
from kits.sizing.cycle import CoilSide, Cycle, PlantRows, coil_side, cycle, plant_rows
from kits.sizing.refrigerant import Refrigerant
from vehicles.physics.arrays import BoolArray, FloatArray, IntArray
from vehicles.physics.newton import (
    PairFunction,
    Pairs,
    ScalarFunction,
    bracket_batch,
    climb_batch,
    pair_jacobian,
    solve_pairs,
)

ABOVE_RANGE_K = 1.0
"""How far beyond the highest condensing temperature a balance is looked for."""
FALL_K = 0.5
"""Whether the condenser's surplus still rises is judged over this step."""
CLIMBS = 5
"""Steps by which a condenser is shown to be too small before its whole range is scanned."""
LIFT = 3
"""The row of `lift_k` among what is seen."""
SCAN_STEPS = 10
HOPELESS = 0.3
"""A largest surplus this far below zero does not turn positive between two steps of a scan."""
SCANS = 3
"""Each scan looks 5 times finer than the one before; the last sees a gap of about 0.2 K."""
CLEARLY_STABLE = 0.3
"""A surplus that rises at least this share of what it would at constant heat needs no closer look."""
TIGHT, LOOSE, INNER = 1e-10, 1e-3, 1e-12
"""Relative errors of heat and flow: of an answer, where only a sign is asked, and inside another search."""
WORK_1_K = 0.006
"""Compressor work over coil heat, per kelvin between evaporating and condensing; only to begin somewhere."""
HEAT_SCALE_J_KG = 150e3
"""About the heat a kilogram of refrigerant takes up; only to scale the flow's error."""

Evaluate = Callable[[FloatArray, FloatArray, IntArray], Cycle]
"""evaluate(unknown, condensing_c, rows): the unknown is fin temperature, speed or throttle."""

Ends = tuple[FloatArray, FloatArray]
"""Lower and upper end of an unknown."""


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
            effect = -plants.v1[some] * state.pressure_ratio / state.eta_v
            lift = state.heat_w / by_kelvin[some]
            seen[:, some] = state.pump_kg_s / state.flow_kg_s, state.pressure_ratio, effect, lift
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
            condensing_c[left], too_hot[left] = self._lowest_condensing(
                lambda t, some: surplus(t, left[some]), lowest[left]
            )
        if not found.converged.all():
            condensing_c[too_hot] = self.ceiling_c
            left = np.flatnonzero(~found.converged)
            surplus(condensing_c[left], left)
        return Condensing(condensing_c, found.slope, seen[0], seen[1], seen[2], seen[LIFT], too_hot)

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

    def _lowest_condensing(
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
        (unknown, condensing_c), good = self._joint(evaluate, (lower, upper), start, condensing_start, rows)
        left, too_hot = np.flatnonzero(~good), np.zeros(rows.size, dtype=bool)
        if left.size:
            ends = (lower[left], upper[left])
            found = self._closely(evaluate, ends, unknown[left], rows[left])
            unknown[left], condensing_c[left], too_hot[left] = found
        return Pair(unknown, condensing_c, too_hot)

    def _joint(
        self, evaluate: Evaluate, ends: Ends, start: FloatArray, condensing_start: FloatArray, rows: IntArray
    ) -> tuple[FloatArray, BoolArray]:
        """Unknown and condensing temperature by one search for both, and where it found a stable state."""
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
        return found.x, good

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
            found, good = self._joint(evaluate, of(rest), unknown[rest], top, rows[rest])
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
        condensing_c, too_hot = self._lowest_condensing(surplus, lowest, rough)
        return Pair(balancing(condensing_c, np.arange(rows.size), INNER), condensing_c, too_hot)


def estimate_c(plants: PlantRows, side: CoilSide) -> FloatArray:
    """Condensing temperature if the compressor's work grew in proportion to the lift."""
    lift = side.heat_w / plants.condenser_w_k
    share = np.minimum(WORK_1_K * lift, 0.5)
    start: FloatArray = (plants.cond_air_in_c + lift - share * side.evaporating_c) / (1 - share)
    return start


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


def _along(jacobian: FloatArray) -> FloatArray:
    """Rise of the condenser's surplus with condensing temperature along balanced flow."""
    rise: FloatArray = jacobian[1, 1] - jacobian[1, 0] * jacobian[0, 1] / jacobian[0, 0]
    return rise


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
