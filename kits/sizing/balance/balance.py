"""The refrigeration balance: what a plant does at an operating point, or why it does nothing there.

Freeze guard first: with the fins at the temperature the freeze control holds, the condensing temperature
follows from the condenser alone. If the compressor could pump more than the coil then evaporates, the point
is freeze-limited and the freeze control sheds the surplus in its own way. If not, fin and condensing
temperature follow from the two balances of mass and heat at full flow.

Units are in the names. A point that cannot be judged has a status, a reason and NaN, never a number.
"""

from dataclasses import dataclass, fields
from typing import Any

import numpy as np

from kits.sizing.balance.balance_input import UNSOLVED, BalanceInput, Marks, Status, mark_inputs
from kits.sizing.balance.balance_ranges import PRESSURE_RATIO_RANGE, Found, mark_results
from kits.sizing.balance.balance_search import Search
from kits.sizing.balance.condensing_search import TIGHT, Condensing, estimate_c
from kits.sizing.balance.cycle import Cycle, coil_heat_w, coil_side, cycle
from kits.sizing.gas.refrigerant import Refrigerant, refrigerant
from kits.sizing.machine.evaporator import bypass_factor, coil
from vehicles.physics.arrays import BoolArray, FloatArray, IntArray, Refusal

__all__ = ["BalanceInput", "BalanceResult", "Status", "solve_balance", "solve_point"]

BEYOND_RATIO = 1.05
"""A suction valve is looked for up to so many times the largest pressure ratio."""
APART_K = 1e-3
"""Fins are looked for up to this far below the coil's air, where they take next to nothing."""
CHOKED = 0.02
"""A pump that moves less of what the coil evaporates tells nothing about warmer fins."""
PROBE_K = 4.0
PROBES = (0.15, 0.35, 0.6, 0.85)
"""Where fins are tried between the freeze limit and the coil's air, if the guard has no state."""
FEW = 200
"""Up to so many rows all probes are asked in one call."""
DENSITY_1_K, SUCTION_1_K, HEAD_1_K = 0.034, 0.033, 0.024
"""About the growth of suction density, suction and head pressure per kelvin; only to begin somewhere."""


@dataclass(frozen=True, kw_only=True)
class BalanceResult:
    """One row per point, in the inputs' shape; numbers are NaN where the status gives none.

    status               a value of Status; reason says why where there are no numbers, else None
    surface_c            fin temperature; air_off_c, air_off_w the air after the coil
    suction_pa           at the compressor (after the suction valve, if one throttles)
    discharge_pa         at the compressor; condensing_pa at the condenser
    duty                 share of the time that the compressor pumps (cycling), else 1
    power_w, torque_nm   mean over the cycle; speed_rpm the actual speed
    suction_loss_k       pressure lost in the suction line as saturation temperature
    suction_gain_w       heat taken up by the suction line
    over_discharge_limit a flag beside the status
    """

    status: Any
    reason: Any
    evaporating_c: FloatArray
    condensing_c: FloatArray
    surface_c: FloatArray
    flow_kg_s: FloatArray
    capacity_w: FloatArray
    sensible_w: FloatArray
    latent_w: FloatArray
    air_off_c: FloatArray
    air_off_w: FloatArray
    condensate_kg_h: FloatArray
    bypass_factor: FloatArray
    suction_pa: FloatArray
    evaporating_pa: FloatArray
    condensing_pa: FloatArray
    discharge_pa: FloatArray
    discharge_c: FloatArray
    power_w: FloatArray
    torque_nm: FloatArray
    cop: FloatArray
    heat_rejected_w: FloatArray
    duty: FloatArray
    speed_rpm: FloatArray
    suction_loss_k: FloatArray
    suction_gain_w: FloatArray
    over_discharge_limit: BoolArray


NUMBERS = [
    f.name for f in fields(BalanceResult) if f.name not in ("status", "reason", "over_discharge_limit")
]


@dataclass(kw_only=True)
class _Operating:
    """Where each row of a batch runs; filled by the freeze guard or by full flow."""

    surface_c: FloatArray
    condensing_c: FloatArray
    speed_rpm: FloatArray
    throttle: FloatArray
    duty: FloatArray
    frozen: BoolArray
    too_hot: BoolArray


def solve_balance(refrigerant_name: str, inputs: BalanceInput) -> BalanceResult:
    """The balance of every point; bad rows are marked, the others are solved.

    Formula: pump = coil, eta_v·V·n·ρ₁ = Q₀/(h₀ − h₃); condenser = what arrives, ε·C·(t_c − t_air) = m·(h₂ − h₃).
    Parameters: refrigerant_name, one with gas tables; inputs, plants and air, see BalanceInput.
    Returns: states, heats, power and a status for each point, see BalanceResult.
    Validity: steady running; ranges and their sentences in kits.sizing.balance.balance_ranges; superheat and subcooling
        are given, the condenser loses no pressure.
    Source: balances of mass and energy; bypass-factor coil, effectiveness-NTU condenser, fitted efficiencies.
    Check: 1,000 random plants within 0.1 % and 0.05 K of a solution point by point with CoolProp and scipy.
    """
    gas = refrigerant(refrigerant_name)
    if gas.only_saturation:
        raise ValueError(f"{refrigerant_name} is only recognised and recovered, no kit runs on it.")
    x, shape = inputs.flat()
    count = x.air_in_c.size
    marks = Marks(count)
    mark_inputs(x, gas, marks)
    numbers = {name: np.full(count, np.nan) for name in NUMBERS}
    over_limit = np.zeros(count, dtype=bool)
    rows = np.flatnonzero(marks.is_open)
    if rows.size:
        some = x if rows.size == count else x.take(rows)
        some_marks = Marks(rows.size)
        for name, values in _solve(gas, some, some_marks).items():
            numbers[name][rows] = values
        over_limit[rows] = numbers["discharge_c"][rows] > some.discharge_limit_c
        marks.put(rows, some_marks)
    without = marks.is_unsolved
    for values in numbers.values():
        values[without] = np.nan
    shaped = {name: values.reshape(shape) for name, values in numbers.items()}
    return BalanceResult(
        status=marks.status.reshape(shape),
        reason=marks.reason.reshape(shape),
        over_discharge_limit=(over_limit & ~without).reshape(shape),
        **shaped,
    )


def solve_point(refrigerant_name: str, **inputs: Any) -> BalanceResult:
    """One point, inputs by name as in BalanceInput; Refusal with the reason where it has no numbers."""
    result = solve_balance(refrigerant_name, BalanceInput(**inputs))
    if result.status.ndim:
        raise ValueError("solve_point takes one point; use solve_balance for many.")
    if str(result.status) in UNSOLVED:
        raise Refusal(str(result.reason))
    return result


def _solve(gas: Refrigerant, x: BalanceInput, marks: Marks) -> dict[str, FloatArray]:
    search = Search(gas, x)
    at, guard = _freeze_guard(search)
    full = np.flatnonzero(~at.frozen)
    if full.size:
        _full_flow(search, full, at, guard)
    for mode, control in _CONTROLS.items():
        rows = np.flatnonzero(at.frozen & (x.freeze_mode == mode))
        if rows.size:
            control(search, rows, at, guard.take(rows))
    numbers, state = _states(search, at)
    evaporating_c, discharge_c = numbers["evaporating_c"], numbers["discharge_c"]
    found = Found(evaporating_c, at.condensing_c, discharge_c, at.duty, at.frozen, at.too_hot)
    mark_results(gas, x, found, state, marks)
    return numbers


def _freeze_guard(search: Search) -> tuple[_Operating, Condensing]:
    """Fins at the freeze limit: condensing temperature, and whether the compressor could pump more."""
    x, every = search.x, np.arange(search.count)
    found = search.at_least(search.at_speed, x.speed_rpm, every)
    # condensing hotter the pump moves no more, if its efficiency falls with the ratio, and the coil needs more
    perhaps = np.flatnonzero((found.pumped >= 1) | (x.v1 > 0))
    if perhaps.size:
        exact = search.condensing(search.at_speed, x.speed_rpm[perhaps], perhaps, TIGHT)
        for whole, some in zip(found, exact, strict=True):
            whole[perhaps] = some
    at = _Operating(
        surface_c=x.freeze_surface_c.copy(),
        condensing_c=found.condensing_c,
        speed_rpm=x.speed_rpm.copy(),
        throttle=np.ones(search.count),
        duty=np.ones(search.count),
        frozen=~found.too_hot & (found.pumped >= 1),
        too_hot=found.too_hot.copy(),
    )
    return at, found


def _full_flow(search: Search, rows: IntArray, at: _Operating, guard: Condensing) -> None:
    x = search.x
    lower, upper = x.freeze_surface_c[rows], x.air_in_c[rows] - APART_K
    share, fall_k = _warmer_fins(search, rows, guard.take(rows))
    start = np.minimum(lower + share * fall_k, upper)
    condensing_start = x.cond_air_in_c[rows] + guard.lift_k[rows] * (1 - share)
    hot = np.flatnonzero(guard.too_hot[rows] | (guard.pumped[rows] < CHOKED))
    if hot.size:
        start[hot], condensing_start[hot] = _probed(search, lower[hot], upper[hot], rows[hot])
    pair = search.pair(search.full_flow, lower, upper, start, condensing_start, rows)
    at.surface_c[rows], at.condensing_c[rows], at.too_hot[rows] = pair


def _warmer_fins(search: Search, rows: IntArray, guard: Condensing) -> tuple[FloatArray, FloatArray]:
    """Share of its heat that the coil loses until the pump keeps up, and the kelvin in which it loses all.

    A simple model to begin with: heat falls in a straight line, the pump's flow grows exponentially with it.
    """
    plants, side, _ = search.take(rows)
    freeze_c = search.x.freeze_surface_c[rows]
    warmer = coil_heat_w(plants, freeze_c + PROBE_K)
    range_k = search.x.air_in_c[rows] - freeze_c
    fall_k = np.minimum(PROBE_K * side.heat_w / np.maximum(side.heat_w - warmer, 1e-6), range_k)
    effect = np.clip(guard.ratio_effect, 0.0, 3.0)
    evaporating_k = fall_k + side.heat_w / plants.evap_ua_ref_w_k
    growth = evaporating_k * (DENSITY_1_K + effect * SUCTION_1_K) + effect * HEAD_1_K * guard.lift_k
    hotter_k = search.x.cond_air_in_c[rows] + guard.lift_k - guard.condensing_c
    lacking = -np.log(np.clip(guard.pumped, CHOKED, 1.0)) + effect * HEAD_1_K * np.maximum(hotter_k, 0.0)
    # growth·z - ln(1 - z) = lacking is convex, and begun beyond its root
    share = lacking / (growth + 1)
    for _ in range(3):
        share = np.clip(share, 0.0, 0.99)
        share = share - (growth * share - np.log1p(-share) - lacking) / (growth + 1 / (1 - share))
    return np.clip(share, 0.0, 0.99), fall_k


def _probed(
    search: Search, lower: FloatArray, upper: FloatArray, rows: IntArray
) -> tuple[FloatArray, FloatArray]:
    """Fin and condensing temperature to begin with where the guard has no state.

    With fins at the freeze limit such a plant would be far too hot, or its lines choke. Looked for between
    the first of a few warmer fin temperatures at which the pump moves enough, and the one before.
    """
    # few rows in one call, many in one for each probe: what is in between stays small
    together = len(PROBES) if rows.size < FEW else 1
    probes = [
        _at_probes(search, lower, upper, rows, PROBES[k : k + together])
        for k in range(0, len(PROBES), together)
    ]
    surfaces_c, temperatures_c, pumped = np.concatenate(probes, axis=1)
    enough, column = pumped >= 1, np.arange(rows.size)
    after = np.maximum(np.where(enough.any(axis=0), np.argmax(enough, axis=0), len(PROBES) - 1), 1)
    near, far = (after - 1, column), (after, column)
    rise = pumped[far] - pumped[near]
    share = np.clip((1 - pumped[near]) / np.where(rise > 0, rise, 1.0), 0.0, 1.0)
    first, second = (v[near] + share * (v[far] - v[near]) for v in (surfaces_c, temperatures_c))
    return first, second


def _at_probes(
    search: Search, lower: FloatArray, upper: FloatArray, rows: IntArray, shares: tuple[float, ...]
) -> FloatArray:
    """Fin temperature, condensing temperature, flow pumped over needed at some probes: (3, probes, rows)."""
    surface_c = (lower + np.array(shares)[:, None] * (upper - lower)).ravel()
    plants, _, speed = search.take(rows if len(shares) == 1 else np.tile(rows, len(shares)))
    side = coil_side(search.gas, plants, surface_c)
    condensing_c = np.minimum(estimate_c(plants, side), search.ceiling_c)
    state = cycle(search.gas, plants, side, condensing_c, speed)
    pumped = np.clip(state.pump_kg_s / state.flow_kg_s, 0.0, 2.0)
    return np.stack([surface_c, condensing_c, pumped]).reshape(3, len(shares), rows.size)


def _cycling(search: Search, rows: IntArray, at: _Operating, found: Condensing) -> None:
    """The compressor runs part of the time; flow, states and power are means over the cycle."""
    at.duty[rows] = 1 / found.pumped


def _suction_regulated(search: Search, rows: IntArray, at: _Operating, guard: Condensing) -> None:
    """A valve throttles the suction until the pump moves no more than the coil evaporates.

    The pressure ratio only grows by that, so a valve that would leave its range is looked at no further.
    """
    guess = (1 / guard.pumped + guard.ratio_effect) / (1 + guard.ratio_effect)
    least = np.minimum(guard.ratio / (BEYOND_RATIO * PRESSURE_RATIO_RANGE[1]), 1.0)
    pair = search.pair(search.throttled, least, np.ones(rows.size), guess, at.condensing_c[rows], rows)
    at.throttle[rows], at.condensing_c[rows], at.too_hot[rows] = pair


def _speed_controlled(search: Search, rows: IntArray, at: _Operating, guard: Condensing) -> None:
    """The speed falls until pump and coil agree; at the lowest speed the compressor cycles."""
    slow = search.x.speed_min_rpm[rows]
    found = search.condensing(search.at_speed, slow, rows, TIGHT, guard)
    more, less = np.flatnonzero(found.pumped >= 1), np.flatnonzero(~(found.pumped >= 1))
    low, held = rows[more], found.take(more)
    at.speed_rpm[low], at.condensing_c[low], at.too_hot[low] = slow[more], held.condensing_c, held.too_hot
    _cycling(search, low, at, held)
    between = rows[less]
    fast, slow = at.speed_rpm[between], slow[less]
    guess = fast / guard.pumped[less]
    pair = search.pair(search.at_speed, slow, fast, guess, at.condensing_c[between], between)
    at.speed_rpm[between], at.condensing_c[between], at.too_hot[between] = pair


_CONTROLS = {
    "cycling": _cycling,
    "suction-regulated": _suction_regulated,
    "speed-controlled": _speed_controlled,
}


def _states(search: Search, at: _Operating) -> tuple[dict[str, FloatArray], Cycle]:
    """All reported numbers at the operating points (meaningless where nothing balances; marked later)."""
    gas, x = search.gas, search.x
    surface, condensing = at.surface_c, at.condensing_c
    side = coil_side(gas, search.plants, surface)
    state = cycle(gas, search.plants, side, condensing, at.speed_rpm)
    throttled = np.flatnonzero(at.throttle < 1)
    if throttled.size:
        state = Cycle._make(value.copy() for value in state)
        part = search.throttled(at.throttle[throttled], condensing[throttled], throttled)
        for whole, some in zip(state, part, strict=True):
            whole[throttled] = some
    bypass = bypass_factor(x.evap_ua_air_w_k, x.evap_ref_air_kg_s, x.air_kg_s, x.air_in_w)
    air = coil(surface, x.air_kg_s, x.air_in_c, x.air_in_w, x.pressure_pa, bypass)
    t_sat = gas.t_sat_c(state.discharge_pa)
    power = state.flow_kg_s * (state.h_2 - state.h_1)
    return {
        "evaporating_c": side.evaporating_c,
        "condensing_c": condensing,
        "surface_c": surface,
        "flow_kg_s": state.flow_kg_s,
        "capacity_w": air.total_w,
        "sensible_w": air.sensible_w,
        "latent_w": air.latent_w,
        "air_off_c": air.air_off_c,
        "air_off_w": air.air_off_w,
        "condensate_kg_h": x.air_kg_s * (x.air_in_w - air.air_off_w) * 3600,
        "bypass_factor": bypass,
        "suction_pa": state.suction_pa,
        "evaporating_pa": side.evaporating_pa,
        "condensing_pa": state.condensing_pa,
        "discharge_pa": state.discharge_pa,
        "discharge_c": t_sat + gas.superheat_from_enthalpy(t_sat, state.h_2),
        "power_w": power,
        "torque_nm": power / (2 * np.pi * at.speed_rpm / 60),
        "cop": air.total_w / power,
        "heat_rejected_w": state.rejected_w,
        "duty": at.duty,
        "speed_rpm": at.speed_rpm,
        "suction_loss_k": side.evaporating_c - gas.t_sat_c(state.suction_line_pa),
        "suction_gain_w": state.flow_kg_s * (state.h_1 - side.h),
    }, state
