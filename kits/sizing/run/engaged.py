"""A cycling compressor while its clutch is engaged: it then moves more than the mean that the balance tells.

The balance gives the mean over a cycle. While the compressor runs the fins hardly change, held by the coil's mass
between cut-out and cut-in, and all that it pumps has to leave through the condenser.
"""

from typing import NamedTuple

import numpy as np

from kits.sizing.balance.balance_input import BalanceInput, Status
from kits.sizing.balance.balance_search import Search
from kits.sizing.balance.both_coils import BothCoils
from kits.sizing.balance.cycle import CoilSide, Cycle, cycle
from kits.sizing.gas.refrigerant import Refrigerant, refrigerant
from kits.sizing.run.run import Held
from vehicles.physics.arrays import FloatArray, IntArray

COLDER_K = 40.0
"""So far below the fins is the evaporating temperature looked for."""
APART_K = 1e-3
DENSITY_1_K = 0.035
"""About the growth of the pump's flow per kelvin of evaporating; only to begin somewhere."""
CLOSED = 1e-6
"""Relative error of flow and heat up to which a point counts as solved."""


class Engaged(NamedTuple):
    """Pressures with the clutch engaged, at the compressor's inlet and at the condenser, Pa."""

    suction_pa: FloatArray
    condensing_pa: FloatArray


def engaged_condensing_pa(refrigerant_name: str, held: Held) -> FloatArray:
    """The pressure at the condenser of `engaged_pa`."""
    return engaged_pa(refrigerant_name, held).condensing_pa


def engaged_pa(refrigerant_name: str, held: Held) -> Engaged:
    """The pressures to which a cycling plant would settle with the clutch engaged.

    Formula: UA_ref·(t_fin - t₀) = η_v·V·n·ρ₁·(h₀ - h₃) with t_fin the mean of cut-out and cut-in; the condenser
        rejects what arrives.
    Parameters: refrigerant_name; held, points with their balance.
    Returns: Pa; NaN where the compressor does not cycle, with two coils, and where nothing balances so.
    Validity: a bound, an upper one of the head and a lower one of the suction: the condenser's mass keeps the head
        below it in a short cycle.
    Source: balances of mass and energy; common practice, no source, for the fins that hold still.
    Check: the balance of a coil with much dry air, whose fins hold still by that, gives the same.
    """
    b, found = held.balance, Engaged(*(np.full(held.cabin_c.shape, np.nan) for _ in Engaged._fields))
    if isinstance(b, BothCoils):
        return found
    cycles = (b.status == Status.FREEZE_LIMITED) & (b.duty < 1) & (held.inputs.freeze_mode == "cycling")
    rows = np.flatnonzero(cycles)
    if rows.size:
        x, _ = held.inputs.take(rows).flat()
        gas = refrigerant(refrigerant_name)
        start = _first_c(x, b.evaporating_c[rows], b.duty[rows])
        suction_pa, condensing_c = _settled(gas, x, start, b.condensing_c[rows])
        found.suction_pa[rows], found.condensing_pa[rows] = suction_pa, gas.p_sat_pa(condensing_c)
    return found


def _first_c(x: BalanceInput, mean_c: FloatArray, duty: FloatArray) -> FloatArray:
    """About where it evaporates with the clutch engaged: the mean's flow over the duty, less as it gets colder."""
    mean_k = x.freeze_surface_c - mean_c
    colder_k = np.zeros(mean_k.shape)
    for _ in range(3):
        growth = np.exp(-DENSITY_1_K * colder_k) / duty
        colder_k -= (mean_k + colder_k - mean_k * growth) / (1 + DENSITY_1_K * mean_k * growth)
    return mean_c - np.maximum(colder_k, 0.0)


def _settled(
    gas: Refrigerant, x: BalanceInput, start_c: FloatArray, mean_c: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Pressure at the compressor's inlet, and condensing temperature; NaN where nothing balances."""
    search = Search(gas, x)

    def engaged(evaporating_c: FloatArray, condensing_c: FloatArray, rows: IntArray) -> Cycle:
        """Given speed, fins at the freeze limit, evaporating at another temperature than the air's heat asks for."""
        plants, side, speed = search.take(rows)
        at = gas.for_cycle.t_axis.place(evaporating_c)
        rho, h, mu = gas.for_cycle.outlet(at, plants.superheat)
        heat_w = plants.evap_ua_ref_w_k * (x.freeze_surface_c[rows] - evaporating_c)
        pressure_pa = gas.for_cycle.p_sat_pa(at)
        out_c = evaporating_c + plants.superheat_k
        colder = CoilSide(
            heat_w=heat_w,
            evaporating_c=evaporating_c,
            evaporating_pa=pressure_pa,
            out_c=out_c,
            rho=rho,
            h=h,
            mu=mu,
            inside=side.inside,
        )
        return cycle(gas, plants, colder, condensing_c, speed)

    every = np.arange(search.count)
    fins_c = x.freeze_surface_c
    lower = np.maximum(fins_c - COLDER_K, gas.saturation_from_c + 1.0)
    lift_k = (mean_c - x.cond_air_in_c) * (fins_c - start_c) / (fins_c - search.at_freeze.evaporating_c)
    pair = search.pair(engaged, lower, fins_c - APART_K, start_c, x.cond_air_in_c + lift_k, every)
    at = engaged(pair.unknown, pair.condensing_c, every)
    is_closed = (np.abs(at.pump_kg_s - at.flow_kg_s) <= CLOSED * at.flow_kg_s) & (
        np.abs(at.rejected_w - at.heat_w) <= CLOSED * at.heat_w
    )
    is_found = is_closed & at.inside & ~pair.too_hot
    return np.where(is_found, at.suction_pa, np.nan), np.where(is_found, pair.condensing_c, np.nan)
