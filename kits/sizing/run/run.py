"""All points of a batch at once: load and capacity at the cabin's own humidity, and what the cabin holds.

Temperature is held at a given value, humidity floats: the cabin's humidity ratio is the one at which the coil
takes out exactly the water that people and crossing air bring in.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from kits.sizing.balance.balance import BalanceResult
from kits.sizing.balance.balance_input import BalanceInput
from kits.sizing.balance.both_coils import at_surface, mixed, solve_plant, take
from kits.sizing.balance.two_coils import SecondCoil
from kits.sizing.run.batch import Batch
from vehicles.heatload.load import HeatLoad, coil_inlet, heat_load, moisture_in_kg_s
from vehicles.physics.air import EVAPORATION_AT_0_C, saturation_humidity_ratio
from vehicles.physics.arrays import BoolArray, FloatArray, IntArray
from vehicles.physics.newton import bracket_batch, climb_batch, reach_batch, solve_pairs

DRIEST = 1e-4
"""Humidity ratio below which no cabin is looked for, kg/kg."""
WATER_KG_S = 1e-8
"""Water left unbalanced that is accepted, kg/s: 0.03 W of latent heat."""
FIRST_HUMIDITY = 0.6
FIRST_CABIN_C = 32.0
"""Where a cabin's humidity (share of saturation) and temperature are looked for first."""
DRIER_HUMIDITY = 0.25
"""Where it is looked for next: drier air may have an answer where wetter air leaves the refrigerant's range."""
CONTACT = 0.6
"""About the share of more water in the cabin that the coil takes out; only to begin somewhere."""
HOLDS_TOLERANCE_W = 0.5
HEAT_SCALE_W = 1000.0
HOLDS_TOLERANCE = 2e-5
"""Of HEAT_SCALE_W: what is left of sensible and latent heat where both balance together."""
SAME_SURFACE_K = 1e-9
WARMEST_C = 70.0
"""Temperature up to which the balance of a cabin is looked for; the refrigerant's own range may end before."""


@dataclass(frozen=True, kw_only=True)
class Held:
    """The state at a held cabin temperature: humidity, load and capacity there.

    air_in_c, air_in_w  into the coil; of two coils the mix of both
    inputs, rear        what the balance was asked
    """

    cabin_c: FloatArray
    cabin_w: FloatArray
    load: HeatLoad
    balance: BalanceResult
    air_in_c: FloatArray
    air_in_w: FloatArray
    inputs: BalanceInput
    rear: SecondCoil | None


Removal = Callable[[IntArray, FloatArray, FloatArray], tuple[FloatArray, FloatArray]]
"""(rows, cabin °C, cabin kg/kg) -> water kg/s and sensible heat W that the coil takes out"""


def _inlet(
    batch: Batch, rows: IntArray, cabin_c: FloatArray, cabin_w: FloatArray
) -> tuple[BalanceInput, SecondCoil | None]:
    """The plants with the air into each coil: a rear one takes the cabin's own."""
    prepared, plants = batch.rows(rows)
    air_in_c, air_in_w = coil_inlet(prepared, cabin_c, cabin_w)
    rear = take(batch.rear, rows)
    if rear is not None:
        rear = replace(rear, air_in_c=cabin_c, air_in_w=cabin_w)
    return replace(plants, air_in_c=air_in_c, air_in_w=air_in_w), rear


def _by_balance(batch: Batch) -> Removal:
    """What the whole balance takes out."""

    def removed(rows: IntArray, cabin_c: FloatArray, cabin_w: FloatArray) -> tuple[FloatArray, FloatArray]:
        inputs, rear = _inlet(batch, rows, cabin_c, cabin_w)
        result = solve_plant(batch.refrigerant, inputs, rear)
        return result.condensate_kg_h / 3600, result.sensible_w

    return removed


def _by_freeze_control(batch: Batch) -> Removal:
    """What the coil takes out with its fins where the freeze control holds them."""

    def removed(rows: IntArray, cabin_c: FloatArray, cabin_w: FloatArray) -> tuple[FloatArray, FloatArray]:
        inputs, rear = _inlet(batch, rows, cabin_c, cabin_w)
        return at_surface(inputs.freeze_surface_c, inputs, rear)

    return removed


def _humidity(
    batch: Batch, rows: IntArray, cabin_c: FloatArray, removal: Removal, near_w: FloatArray | None = None
) -> FloatArray:
    """Humidity ratio where the water balances; saturated where even that is too little; NaN if unsolved.

    near_w  where to look first

    Climbs from there, which takes few balances; what that leaves is bracketed.
    """
    saturated = saturation_humidity_ratio(cabin_c, batch.prepared.pressure_pa[rows])

    def removed_more_kg_s(cabin_w: FloatArray, part: IntArray) -> FloatArray:
        removed, _ = removal(rows[part], cabin_c[part], cabin_w)
        brought = moisture_in_kg_s(batch.prepared.take(rows[part]), cabin_c[part], cabin_w)
        difference: FloatArray = removed - brought
        return difference

    def climb(left: IntArray, start: FloatArray) -> IntArray:
        """Solve some rows; those that stay."""
        most = saturated[left]
        found = climb_batch(
            lambda w, some: removed_more_kg_s(w, left[some]),
            start,
            CONTACT * batch.air_kg_s[rows[left]],
            DRIEST,
            most,
            tolerance=WATER_KG_S,
        )
        # more water than the coil can take even from the wettest air: the cabin is saturated
        done = found.converged | ((found.x >= most) & (found.f < 0))
        humidity[left[done]] = found.x[done]
        return left[~done]

    humidity, start = np.full(rows.size, np.nan), FIRST_HUMIDITY * saturated
    if near_w is not None:
        start = np.where(np.isfinite(near_w), near_w, start)
    left = climb(np.arange(rows.size), start)
    if left.size:
        left = climb(left, DRIER_HUMIDITY * saturated[left])
    if left.size:
        humidity[left] = _humidity_bracketed(batch, rows[left], cabin_c[left], removal)
    return humidity


def _humidity_bracketed(batch: Batch, rows: IntArray, cabin_c: FloatArray, removal: Removal) -> FloatArray:
    """As `_humidity`, by bracketing between the driest and saturated air."""

    def surplus_kg_s(cabin_w: FloatArray, part: IntArray) -> FloatArray:
        removed, _ = removal(rows[part], cabin_c[part], cabin_w)
        brought = moisture_in_kg_s(batch.prepared.take(rows[part]), cabin_c[part], cabin_w)
        difference: FloatArray = brought - removed
        return difference

    saturated = saturation_humidity_ratio(cabin_c, batch.prepared.pressure_pa[rows])
    driest = np.full(len(rows), DRIEST)
    low, high = reach_batch(surplus_kg_s, driest, saturated, FIRST_HUMIDITY * saturated, near_sign=1.0)
    found = bracket_batch(surplus_kg_s, low, high, x_tolerance=1e-9, f_tolerance=WATER_KG_S)
    left = np.flatnonzero(~found.converged)
    humidity = np.where(found.converged, found.x, np.nan)
    if left.size:
        # More water than the coil can take even from the wettest air: the cabin is saturated. Where the
        # refrigerant's range ends before, the balance at saturation says so itself.
        humidity[left] = np.where(surplus_kg_s(low[left], left) > 0, saturated[left], np.nan)
    return humidity


def hold(batch: Batch, cabin_c: FloatArray, rows: IntArray | None = None) -> Held:
    """Load and capacity with the cabin held at a temperature, at the humidity where the water balances.

    Where the freeze control holds the fins, the air side alone decides the humidity; that is tried first and
    kept where the balance then confirms it. The other points are bracketed with the whole balance; so are all with
    a rear coil, of which only the colder fins are held.
    """
    chosen = np.arange(len(batch.points)) if rows is None else rows
    cabin_w = _humidity(batch, chosen, cabin_c, _by_freeze_control(batch))
    inputs, rear = _inlet(batch, chosen, cabin_c, cabin_w)
    result = solve_plant(batch.refrigerant, inputs, rear)
    other = np.flatnonzero(~_is_confirmed(batch, result.surface_c, inputs.freeze_surface_c))
    if other.size:
        cabin_w[other] = _humidity(batch, chosen[other], cabin_c[other], _by_balance(batch), cabin_w[other])
        inputs, rear = _inlet(batch, chosen, cabin_c, cabin_w)
        result = solve_plant(batch.refrigerant, inputs, rear)
    return _held(
        batch=batch, rows=chosen, cabin_c=cabin_c, cabin_w=cabin_w, inputs=inputs, rear=rear, result=result
    )


def hold_at(batch: Batch, cabin_c: FloatArray, cabin_w: FloatArray) -> Held:
    """As hold, with the humidity ratio of the cabin given: what brought and removed water does not matter."""
    rows = np.arange(len(batch.points))
    inputs, rear = _inlet(batch, rows, cabin_c, cabin_w)
    return _held(
        batch=batch,
        rows=rows,
        cabin_c=cabin_c,
        cabin_w=cabin_w,
        inputs=inputs,
        rear=rear,
        result=solve_plant(batch.refrigerant, inputs, rear),
    )


def _held(
    *,
    batch: Batch,
    rows: IntArray,
    cabin_c: FloatArray,
    cabin_w: FloatArray,
    inputs: BalanceInput,
    rear: SecondCoil | None,
    result: BalanceResult,
) -> Held:
    load = heat_load(batch.prepared.take(rows), cabin_c, cabin_w)
    air_in_c, air_in_w = inputs.air_in_c, inputs.air_in_w
    if rear is not None:
        airs = (
            np.stack([getattr(x, name) for x in (inputs, rear)])
            for name in ("air_kg_s", "air_in_c", "air_in_w")
        )
        air_in_c, air_in_w = mixed(*airs)
    return Held(
        cabin_c=cabin_c,
        cabin_w=cabin_w,
        load=load,
        balance=result,
        air_in_c=air_in_c,
        air_in_w=air_in_w,
        inputs=inputs,
        rear=rear,
    )


def _is_confirmed(batch: Batch, surface_c: FloatArray, freeze_surface_c: FloatArray) -> BoolArray:
    """Whether all fins are where the freeze control holds them; of two coils only the colder ones ever are."""
    held: BoolArray = np.abs(surface_c - freeze_surface_c) < SAME_SURFACE_K
    return held & (batch.rear is None)


def balance_temperature(batch: Batch, rows: IntArray) -> FloatArray:
    """Cabin temperature where the coil's sensible heat equals the sensible load; NaN where none is found."""
    cabin_c = _temperature(batch, rows, _by_freeze_control(batch))
    known = np.flatnonzero(np.isfinite(cabin_c))
    is_confirmed = np.zeros(len(rows), dtype=bool)
    if known.size and batch.rear is None:
        held = hold(batch, cabin_c[known], rows[known])
        is_confirmed[known] = _is_confirmed(batch, held.balance.surface_c, held.inputs.freeze_surface_c)
    other = np.flatnonzero(~is_confirmed)
    if other.size:
        cabin_c[other] = _temperature_and_humidity(batch, rows[other], cabin_c[other])
    return cabin_c


def _temperature_and_humidity(batch: Batch, rows: IntArray, near_c: FloatArray) -> FloatArray:
    """Cabin temperature where water and sensible heat balance together; what that leaves is bracketed."""
    removal = _by_balance(batch)

    def residual(both: FloatArray, part: IntArray) -> FloatArray:
        share, cabin_c = both
        now = rows[part]
        saturated = saturation_humidity_ratio(cabin_c, batch.prepared.pressure_pa[now])
        cabin_w = DRIEST + share * (saturated - DRIEST)
        water_kg_s, sensible_w = removal(now, cabin_c, cabin_w)
        prepared = batch.prepared.take(now)
        brought = moisture_in_kg_s(prepared, cabin_c, cabin_w)
        load = heat_load(prepared, cabin_c, cabin_w)
        latent_w = (water_kg_s - brought) * EVAPORATION_AT_0_C
        left_w: FloatArray = np.stack([latent_w, sensible_w - load.total_sensible_w])
        return left_w / HEAT_SCALE_W

    coldest, one = _coldest_c(batch, rows), np.ones(rows.size)
    first_c = np.clip(np.where(np.isfinite(near_c), near_c, FIRST_CABIN_C), coldest, WARMEST_C)
    lower, upper = np.stack([0 * one, coldest]), np.stack([one, WARMEST_C * one])

    def joint(left: IntArray, share: float) -> IntArray:
        """Solve some rows; those that stay."""
        found = solve_pairs(
            lambda both, some: residual(both, left[some]),
            lower[:, left],
            upper[:, left],
            np.stack([share * one, first_c])[:, left],
            tolerance=HOLDS_TOLERANCE,
        )
        cabin_c[left[found.converged]] = found.x[1, found.converged]
        return left[~found.converged]

    cabin_c = np.full(rows.size, np.nan)
    left = joint(np.arange(rows.size), FIRST_HUMIDITY)
    if left.size:
        left = joint(left, DRIER_HUMIDITY)
    if left.size:
        cabin_c[left] = _temperature(batch, rows[left], removal)
    return cabin_c


def _coldest_c(batch: Batch, rows: IntArray) -> FloatArray:
    """The cabin can't become colder than the fins; a little above them the coil gives nothing yet."""
    return np.array([batch.points[i].case.plant.freeze_surface_c + 1.0 for i in rows])


def _temperature(batch: Batch, rows: IntArray, removal: Removal) -> FloatArray:
    def surplus_w(cabin_c: FloatArray, part: IntArray) -> FloatArray:
        now = rows[part]
        cabin_w = _humidity(batch, now, cabin_c, removal)
        _, sensible_w = removal(now, cabin_c, cabin_w)
        load = heat_load(batch.prepared.take(now), cabin_c, cabin_w)
        difference: FloatArray = sensible_w - load.total_sensible_w
        return difference

    low, high = reach_batch(surplus_w, _coldest_c(batch, rows), WARMEST_C, FIRST_CABIN_C, near_sign=-1.0)
    found = bracket_batch(surplus_w, low, high, x_tolerance=1e-5, f_tolerance=HOLDS_TOLERANCE_W)
    return np.where(found.converged, found.x, np.nan)
