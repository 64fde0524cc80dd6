"""The ranges in which the balance answers, each with the sentence that says it was left."""

from typing import NamedTuple

import numpy as np

from kits.sizing.balance.balance_input import BalanceInput, Marks, Status
from kits.sizing.balance.cycle import Cycle
from kits.sizing.gas.refrigerant import Refrigerant
from vehicles.physics.arrays import BoolArray, FloatArray

EVAPORATING_RANGE_C = (-30.0, 30.0)
LEAST_CONDENSING_C = 20.0
LEAST_LIFT_K = 3.0
PRESSURE_RATIO_RANGE = (1.05, 15.0)
EFFICIENCY_RANGE = (0.05, 1.0)
LARGEST_DISCHARGE_C = 160.0
CLOSED = 1e-7
"""Relative error of flow and heat up to which a point counts as solved."""


class Found(NamedTuple):
    """What is judged of a point beside its states."""

    evaporating_c: FloatArray
    condensing_c: FloatArray
    discharge_c: FloatArray
    duty: FloatArray
    frozen: BoolArray
    too_hot: BoolArray


def mark_results(gas: Refrigerant, x: BalanceInput, found: Found, state: Cycle, marks: Marks) -> None:
    """Mark every open row: left a range, does not close, or how it runs."""
    for outside, reason in _outside(gas, found, state):
        marks.mark(outside, Status.OUT_OF_RANGE, reason)
    marks.mark(
        ~_closes(found.duty, state),
        Status.NO_SOLUTION,
        "No state was found in which pump, coil and condenser agree.",
    )
    marks.mark(state.condensing_pa >= x.high_pressure_cut_out_pa, Status.HIGH_PRESSURE)
    marks.mark(x.speed_rpm > x.speed_max_rpm, Status.OVER_SPEED)
    marks.mark(found.frozen, Status.FREEZE_LIMITED)
    marks.mark(x.electric & (x.speed_rpm >= x.speed_max_rpm), Status.SPEED_LIMITED)
    marks.mark(marks.is_open, Status.FULL)


def _outside(gas: Refrigerant, found: Found, state: Cycle) -> list[tuple[BoolArray, str]]:
    """Where the model's ranges are left, with the sentence to say."""
    evaporating, condensing = found.evaporating_c, found.condensing_c
    coldest, warmest = EVAPORATING_RANGE_C
    ratio_from, ratio_to = PRESSURE_RATIO_RANGE
    eta_from, eta_to = EFFICIENCY_RANGE
    hottest = gas.condensing_to_c
    return [
        (
            found.too_hot | ~(condensing <= hottest),
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
            ~(found.discharge_c <= LARGEST_DISCHARGE_C),
            f"The discharge gas would be hotter than {LARGEST_DISCHARGE_C:g} °C.",
        ),
        (~state.inside, "A state would leave the property tables."),
    ]


def _closes(duty: FloatArray, state: Cycle) -> BoolArray:
    """Whether flow and heat really balance; a bracket can also end at a jump or at one of its ends."""
    flow = np.abs(duty * state.pump_kg_s - state.flow_kg_s) <= CLOSED * state.flow_kg_s
    heat: BoolArray = np.abs(state.rejected_w - state.heat_w) <= CLOSED * state.heat_w
    return flow & heat
