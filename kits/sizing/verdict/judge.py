"""The verdict of one duty point from its held state, by the kind of the duty point."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kits.sizing.balance.balance_input import UNSOLVED, Status
from kits.sizing.case.case import Point
from kits.sizing.electrics.battery import battery_constants, idle_sentence
from kits.sizing.electrics.idle_supply import IdleSupply
from kits.sizing.mechanics.belt import air_rise_k
from kits.sizing.verdict.record import VERDICTS, Criterion
from kits.sizing.words.defaults import default_value
from vehicles.physics.pressure import gauge_bar_g

IN_RADIATOR_AIR = "nose"
ELSEWHERE = {
    "underfloor": "the condenser stands under the floor",
    "inside rear lid": "the condenser stands inside the rear lid",
}
LARGEST_MARGIN = 9.99
"""A margin is not told apart above this: ten times the load, or next to nothing to cool."""


@dataclass(frozen=True, kw_only=True)
class State:
    """What one point came to, as floats.

    idle_vent_c, idle_cabin_c, idle_high_side_pa  at idle, where the target is not held: with the cabin it comes to
    valve_share                of the expansion valve's capacity; NaN: not known
    nothing_to_cool            the cabin gives off the heat that it takes in without the kit
    """

    status: str
    reason: str
    load_w: float
    load_sensible_w: float
    capacity_w: float
    capacity_sensible_w: float
    vent_c: float
    high_side_pa: float
    over_discharge_limit: bool
    heat_rejected_w: float = float("nan")
    condenser_air_kg_s: float = float("nan")
    idle_vent_c: float = float("nan")
    idle_cabin_c: float = float("nan")
    valve_share: float = float("nan")
    nothing_to_cool: bool = False
    idle_high_side_pa: float = float("nan")
    engaged_pa: float = float("nan")
    """head to which a cycling plant would settle with the clutch engaged, at most"""
    supply: IdleSupply | None = None
    """at idle: battery and kit after the minutes that are judged"""

    @property
    def vent_judged_c(self) -> float:
        """The air at the vents that idling is judged by."""
        return self.idle_vent_c if np.isfinite(self.idle_vent_c) else self.vent_c


def judged_at_c(point: Point) -> float:
    """The cabin temperature a point is judged at: the target with what its kind allows above it."""
    target = float(point.duty.climate.target_c or 0.0)
    allowance = point.duty.of_kind.allowance
    return target + default_value(allowance) if allowance else target


def margin_share(state: State) -> float | None:
    """The smaller of the total and the sensible margin; None where the point was not solved."""
    return margin_of(state.capacity_w, state.capacity_sensible_w, state.load_w, state.load_sensible_w)


def margin_of(
    capacity_w: float, capacity_sensible_w: float, load_w: float, load_sensible_w: float
) -> float | None:
    """How much more than the load a capacity is, of the load: the smaller of total and sensible.

    Formula: min(Q/Q_load, Q_s/Q_s,load) - 1; where there is nothing to cool, 9.99.
    Parameters: capacity_w and capacity_sensible_w of the coil, load_w and load_sensible_w of the cabin, W.
    Returns: share, negative where the load is the larger; None without numbers.
    Validity: at the cabin state at which load and capacity were both worked out.
    Source: definition.
    Check: by hand: 3.6 of 3.0 kW with 2.2 of 2.0 kW sensible is a tenth.
    """
    if not np.isfinite(capacity_w) or not np.isfinite(load_w):
        return None

    def margin(capacity: float, load: float) -> float:
        return LARGEST_MARGIN if load <= 0 else min(capacity / load - 1, LARGEST_MARGIN)

    return min(margin(capacity_w, load_w), margin(capacity_sensible_w, load_sensible_w))


def battery_v(supply: IdleSupply) -> tuple[float | None, bool, str]:
    """Volts after the idle, whether they are enough, and the sentence, of one point's supply."""
    found = supply.battery
    volts, deficit = float(found.volts), float(found.deficit_a)
    text = idle_sentence(
        volts,
        deficit,
        float(found.minutes_to_flat),
        float(found.least_volts),
        battery_constants().idle_minutes,
    )
    return (volts if np.isfinite(volts) else None), bool(found.criterion_met), text


def criteria(point: Point, state: State) -> list[Criterion]:
    """The criteria of the duty point's kind, each with what came out."""
    found = [*supply(point), *_guards(point, state)]
    if point.duty.of_kind.is_held:
        found.append(_margin(point, state))
    if point.duty.of_kind.idles:
        found.extend(_idle(point, state))
    return found


def _margin(point: Point, state: State) -> Criterion:
    margin = margin_share(state)
    goal = judged_at_c(point)
    if state.nothing_to_cool:
        text = f"Nothing to cool: at {goal:.0f} °C the cabin gives off the heat that it takes in without the kit."
        return Criterion("margin", text, True)
    if margin is None:
        return Criterion("margin", f"The balance at {goal:.0f} °C was not solved: {state.reason}", False)
    reserve = point.case.reserve_share
    sentence = (
        f"At {goal:.0f} °C in the cabin the kit gives {_what_decides(state, margin)}: "
        f"{margin_told(margin, reserve)}"
    )
    return Criterion("margin", sentence, margin >= 0, 0 <= margin < reserve)


def margin_told(margin: float, reserve_share: float) -> str:
    """A margin and the reserve that is asked, as the end of a sentence."""
    found = f"{100 * abs(margin):.0f} % {'more' if margin >= 0 else 'less'} than needed"
    if margin >= 2:
        found = f"{1 + margin:.0f} times what is needed"
    if margin == LARGEST_MARGIN:
        found = "ten times what is needed, or more"
    return f"{found}; {100 * reserve_share:.0f} % reserve is asked."


def _what_decides(state: State, margin: float) -> str:
    """The pair of figures whose margin is the smaller one: total, or the dry part alone."""
    total = margin_of(state.capacity_w, state.capacity_w, state.load_w, state.load_w)
    if total is not None and margin < total:
        return (
            f"{state.capacity_sensible_w / 1000:.1f} kW of dry cooling, without the water that condenses, against a "
            f"dry load of {state.load_sensible_w / 1000:.1f} kW"
        )
    return f"{state.capacity_w / 1000:.1f} kW against a load of {state.load_w / 1000:.1f} kW"


def _guards(point: Point, state: State) -> list[Criterion]:
    found = []
    if state.status == Status.HIGH_PRESSURE:
        bar = gauge_bar_g(state.high_side_pa)
        cut = gauge_bar_g(point.case.plant.high_cut_out_pa)
        text = (
            f"The head pressure would reach {bar:.1f} bar g: the switch opens at {cut:.1f} and the kit stops."
        )
        found.append(Criterion("high-pressure", text, False))
    elif found_head := _engaged(point, state):
        found.append(found_head)
    if state.status == Status.OVER_SPEED:
        text = f"The compressor would turn at {point.compressor_rpm() or 0:.0f} rpm, above its limit."
        found.append(Criterion("over-speed", text, False))
    if state.over_discharge_limit:
        limit = point.case.plant.discharge_limit_c
        found.append(Criterion("discharge", f"The gas leaves the compressor above {limit:.0f} °C.", False))
    if state.valve_share > default_value("valve_most_share"):
        text = (
            f"The expansion valve would have to pass {100 * state.valve_share:.0f} % of what it can: the coil starves, "
            "and the capacity told is not reached. Take a bigger valve."
        )
        found.append(Criterion("valve", text, False))
    if state.status in UNSOLVED and point.duty.of_kind.idles and not state.nothing_to_cool:
        found.append(Criterion("balance", f"The balance was not solved: {state.reason}", False))
    return found


def _engaged(point: Point, state: State) -> Criterion | None:
    """The head while the clutch is engaged; an upper bound proves no failure, but it asks to be measured."""
    cut_pa = point.case.plant.high_cut_out_pa
    if not state.engaged_pa >= cut_pa:
        return None
    most, mean, cut = (gauge_bar_g(pa) for pa in (state.engaged_pa, state.high_side_pa, cut_pa))
    text = (
        f"While the clutch is engaged the head pressure would settle at up to {most:.1f} bar g, on the mean at "
        f"{mean:.1f}; the switch opens at {cut:.1f}. Measure it with the kit running."
    )
    return Criterion("head-engaged", text, True, in_reserve=True)


def supply(point: Point) -> list[Criterion]:
    """The criterion of the car's supply where the kit can't be run from it; of a heater the earth does not matter."""
    case = point.case
    car, needed_v = case.car, case.unit.supply_voltage_v
    if car.system_voltage_v is not None and car.system_voltage_v != needed_v:
        text = f"The car has {car.system_voltage_v:g} V and the kit needs {needed_v:g} V: convert the charging first."
        return [Criterion("supply", text, False)]
    if car.positive_earth and not case.heats_only:
        return [Criterion("supply", "The car has positive earth: convert to negative earth first.", False)]
    return []


def _idle(point: Point, state: State) -> list[Criterion]:
    found = []
    plant, car = point.case.plant, point.case.car
    if np.isfinite(state.high_side_pa):
        reserve = default_value("head_reserve_bar")
        bar = gauge_bar_g(float(np.fmax(state.high_side_pa, state.idle_high_side_pa)))
        cut = gauge_bar_g(plant.high_cut_out_pa)
        text = (
            f"Head pressure {bar:.1f} bar g; the cut-out at {cut:.1f} asks for {reserve:g} bar of distance."
        )
        found.append(Criterion("head", text, bar <= cut - reserve))
        limit = default_value("idle_vent_limit_c")
        vent_c = state.vent_judged_c
        cabin = ""
        if np.isfinite(state.idle_vent_c):
            cabin = f" with the cabin at {state.idle_cabin_c:.0f} °C, to which it comes"
        text = f"Air at the vents {vent_c:.0f} °C{cabin}; at most {limit:.0f} °C after 15 min at idle."
        found.append(Criterion("vent", text, vent_c <= limit))
    if state.supply is None:
        raise ValueError("An idle point is judged with its supply.")
    _, enough, text = battery_v(state.supply)
    found.append(Criterion("battery", text, enough))
    if not car.is_electric and car.coolant_limit_c is not None:
        found.append(_coolant(point, state, car.coolant_c["idle"], car.coolant_limit_c))
    return found


def _coolant(point: Point, state: State, coolant_c: float, limit_c: float) -> Criterion:
    """The coolant as recorded; with the condenser in the radiator's air also the most that its heat can add."""
    told = f"Coolant {coolant_c:.0f} °C at hot idle as recorded"
    limit = f"limit {limit_c:.0f} °C."
    place = point.case.mounting.condenser_place
    if place != IN_RADIATOR_AIR or not state.condenser_air_kg_s > 0 or not np.isfinite(state.heat_rejected_w):
        where = ELSEWHERE.get(place, "before a condenser stands in its air")
        return Criterion("coolant", f"{told}, {where}; {limit}", coolant_c <= limit_c)
    most_c = coolant_c + float(air_rise_k(state.heat_rejected_w, state.condenser_air_kg_s))
    text = f"{told}; the condenser before the radiator may lift it to {most_c:.0f} °C at most; {limit}"
    if coolant_c <= limit_c < most_c:
        # an upper bound proves no failure
        return Criterion("coolant", f"{text} Measure it with the kit running.", True, in_reserve=True)
    return Criterion("coolant", text, coolant_c <= limit_c)


def word(found: Sequence[Criterion]) -> str:
    """strong enough, marginal or not enough."""
    if any(not c.is_met for c in found):
        return VERDICTS[2]
    return VERDICTS[1] if any(c.in_reserve for c in found) else VERDICTS[0]
