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

from kits.sizing.balance_input import UNSOLVED, BalanceInput, Marks, Status, mark_inputs
from kits.sizing.balance_search import APART_K, LEAST_THROTTLE, Search
from kits.sizing.cycle import Cycle, coil_side, cycle
from kits.sizing.evaporator import coil
from kits.sizing.refrigerant import Refrigerant, refrigerant
from vehicles.physics.arrays import BoolArray, FloatArray, IntArray

__all__ = ["BalanceInput", "BalanceResult", "Status", "solve_balance", "solve_point"]

EVAPORATING_RANGE_C = (-30.0, 30.0)
LEAST_CONDENSING_C = 20.0
LEAST_LIFT_K = 3.0
PRESSURE_RATIO_RANGE = (1.05, 15.0)
EFFICIENCY_RANGE = (0.05, 1.0)
LARGEST_DISCHARGE_C = 160.0
START_LIFT_K = 20.0
CLOSED = 1e-7
"""Relative error of flow and heat up to which a point counts as solved."""


@dataclass(frozen=True)
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


@dataclass
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
    """Solve every point; bad rows are marked, the others are solved."""
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
        some, some_marks = x.take(rows), Marks(rows.size)
        for name, values in _solve(gas, some, some_marks).items():
            numbers[name][rows] = values
        over_limit[rows] = numbers["discharge_c"][rows] > some.discharge_limit_c
        marks.status[rows], marks.reason[rows] = some_marks.status, some_marks.reason
    without = np.isin(marks.status, UNSOLVED)
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
    """One point, inputs by name as in BalanceInput; ValueError with the reason where it has no numbers."""
    result = solve_balance(refrigerant_name, BalanceInput(**inputs))
    if result.status.ndim:
        raise ValueError("solve_point takes one point; use solve_balance for many.")
    if str(result.status) in UNSOLVED:
        raise ValueError(str(result.reason))
    return result


def _solve(gas: Refrigerant, x: BalanceInput, marks: Marks) -> dict[str, FloatArray]:
    search = Search(gas, x)
    at = _freeze_guard(search)
    _full_flow(search, np.flatnonzero(~at.frozen), at)
    frozen = np.flatnonzero(at.frozen)
    mode = x.freeze_mode[frozen]
    _cycling(search, frozen[mode == "cycling"], at)
    _suction_regulated(search, frozen[mode == "suction-regulated"], at)
    _speed_controlled(search, frozen[mode == "speed-controlled"], at)
    numbers, state = _states(search, at)
    _mark_results(gas, x, at, numbers, state, marks)
    return numbers


def _freeze_guard(search: Search) -> _Operating:
    """Fins at the freeze limit: condensing temperature, and whether the compressor could pump more."""
    x, every = search.x, np.arange(search.count)
    condensing_c, too_hot = search.condensing(search.at_speed, x.speed_rpm, every)
    state = search.at_speed(x.speed_rpm, condensing_c, every)
    return _Operating(
        surface_c=x.freeze_surface_c.copy(),
        condensing_c=condensing_c,
        speed_rpm=x.speed_rpm.copy(),
        throttle=np.ones(search.count),
        duty=np.ones(search.count),
        frozen=~too_hot & (state.pump_kg_s >= state.flow_kg_s),
        too_hot=too_hot,
    )


def _full_flow(search: Search, rows: IntArray, at: _Operating) -> None:
    x = search.x
    lower, upper = x.freeze_surface_c[rows], x.air_in_c[rows] - APART_K
    # where the guard has no state (a condenser too small for it, lines that choke) begin in the middle
    hot = at.too_hot[rows]
    start = np.where(hot, (lower + upper) / 2, lower)
    condensing_start = np.where(hot, x.cond_air_in_c[rows] + START_LIFT_K, at.condensing_c[rows])
    pair = search.pair(search.full_flow, lower, upper, start, condensing_start, rows)
    at.surface_c[rows], at.condensing_c[rows], at.too_hot[rows] = pair


def _cycling(search: Search, rows: IntArray, at: _Operating) -> None:
    """The compressor runs part of the time; flow, states and power are means over the cycle."""
    state = search.at_speed(at.speed_rpm[rows], at.condensing_c[rows], rows)
    at.duty[rows] = state.flow_kg_s / state.pump_kg_s


def _suction_regulated(search: Search, rows: IntArray, at: _Operating) -> None:
    """A valve throttles the suction until the pump moves no more than the coil evaporates."""
    state = search.at_speed(at.speed_rpm[rows], at.condensing_c[rows], rows)
    one = np.ones(rows.size)
    guess = np.clip(state.flow_kg_s / state.pump_kg_s, 2 * LEAST_THROTTLE, 1.0)
    pair = search.pair(search.throttled, LEAST_THROTTLE * one, one, guess, at.condensing_c[rows], rows)
    at.throttle[rows], at.condensing_c[rows], at.too_hot[rows] = pair


def _speed_controlled(search: Search, rows: IntArray, at: _Operating) -> None:
    """The speed falls until pump and coil agree; at the lowest speed the compressor cycles."""
    slow = search.x.speed_min_rpm[rows]
    condensing_c, too_hot = search.condensing(search.at_speed, slow, rows)
    state = search.at_speed(slow, condensing_c, rows)
    still_more = state.pump_kg_s >= state.flow_kg_s
    low = rows[still_more]
    at.speed_rpm[low], at.condensing_c[low] = slow[still_more], condensing_c[still_more]
    at.too_hot[low] = too_hot[still_more]
    _cycling(search, low, at)
    between = rows[~still_more]
    state = search.at_speed(at.speed_rpm[between], at.condensing_c[between], between)
    fast, slow = at.speed_rpm[between], slow[~still_more]
    guess = fast * state.flow_kg_s / state.pump_kg_s
    pair = search.pair(search.at_speed, slow, fast, guess, at.condensing_c[between], between)
    at.speed_rpm[between], at.condensing_c[between], at.too_hot[between] = pair


def _states(search: Search, at: _Operating) -> tuple[dict[str, FloatArray], Cycle]:
    """All reported numbers at the operating points (meaningless where nothing balances; marked later)."""
    gas, x = search.gas, search.x
    surface, condensing = at.surface_c, at.condensing_c
    side = coil_side(gas, x, search.bypass, surface)
    state = cycle(gas, x, side, condensing, at.speed_rpm)
    throttled = np.flatnonzero(at.throttle < 1)
    if throttled.size:
        state = Cycle._make(value.copy() for value in state)
        part = search.throttled(at.throttle[throttled], condensing[throttled], throttled)
        for whole, some in zip(state, part, strict=True):
            whole[throttled] = some
    air = coil(surface, x.air_kg_s, x.air_in_c, x.air_in_w, x.pressure_pa, search.bypass)
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
        "bypass_factor": search.bypass,
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


def _mark_results(
    gas: Refrigerant,
    x: BalanceInput,
    at: _Operating,
    numbers: dict[str, FloatArray],
    state: Cycle,
    marks: Marks,
) -> None:
    for outside, reason in _outside(gas, at, numbers, state):
        marks.mark(outside, Status.OUT_OF_RANGE, reason)
    marks.mark(
        ~_closes(at, state), Status.NO_SOLUTION, "No state was found in which pump, coil and condenser agree."
    )
    marks.mark(state.condensing_pa >= x.high_pressure_cut_out_pa, Status.HIGH_PRESSURE)
    marks.mark(x.speed_rpm > x.speed_max_rpm, Status.OVER_SPEED)
    marks.mark(at.frozen, Status.FREEZE_LIMITED)
    marks.mark(x.electric & (x.speed_rpm >= x.speed_max_rpm), Status.SPEED_LIMITED)
    marks.mark(marks.is_open, Status.FULL)


def _outside(
    gas: Refrigerant, at: _Operating, numbers: dict[str, FloatArray], state: Cycle
) -> list[tuple[BoolArray, str]]:
    """Where the model's ranges are left, with the sentence to say."""
    evaporating, condensing = numbers["evaporating_c"], numbers["condensing_c"]
    coldest, warmest = EVAPORATING_RANGE_C
    ratio_from, ratio_to = PRESSURE_RATIO_RANGE
    eta_from, eta_to = EFFICIENCY_RANGE
    hottest = gas.condensing_to_c
    return [
        (
            at.too_hot | ~(condensing <= hottest),
            f"Condensing would be above {hottest:g} °C: the condenser cannot reject the heat.",
        ),
        (~(evaporating >= coldest), f"Evaporating would be below {coldest:g} °C."),
        (~(evaporating <= warmest), f"Evaporating would be above {warmest:g} °C."),
        (~(condensing >= LEAST_CONDENSING_C), f"Condensing would be below {LEAST_CONDENSING_C:g} °C."),
        (
            ~(condensing - evaporating >= LEAST_LIFT_K),
            f"Condensing would be less than {LEAST_LIFT_K:g} K above evaporating.",
        ),
        (~(state.pressure_ratio <= ratio_to), f"The pressure ratio would be above {ratio_to:g}."),
        (~(state.pressure_ratio >= ratio_from), f"The pressure ratio would be below {ratio_from:g}."),
        (
            ~((state.eta_v >= eta_from) & (state.eta_v <= eta_to)),
            f"The volumetric efficiency would leave {eta_from:g} to {eta_to:g}.",
        ),
        (
            ~((state.eta_is >= eta_from) & (state.eta_is <= eta_to)),
            f"The isentropic efficiency would leave {eta_from:g} to {eta_to:g}.",
        ),
        (
            ~(numbers["discharge_c"] <= LARGEST_DISCHARGE_C),
            f"The discharge gas would be hotter than {LARGEST_DISCHARGE_C:g} °C.",
        ),
        (~state.inside, "A state would leave the property tables."),
    ]


def _closes(at: _Operating, state: Cycle) -> BoolArray:
    """Whether flow and heat really balance; a bracket can also end at a jump or at one of its ends."""
    flow = np.abs(at.duty * state.pump_kg_s - state.flow_kg_s) <= CLOSED * state.flow_kg_s
    heat: BoolArray = np.abs(state.rejected_w - state.heat_w) <= CLOSED * state.heat_w
    return flow & heat
