"""The charging budget of a fitment: by day, at night and in rain, at hot idle, in town and at cruise."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from kits.sizing.case.case import Car, Case, Point
from kits.sizing.case.idle_blower import IDLE, kits_a, supplies
from kits.sizing.electrics.battery import (
    CONSTANTS_VOLTAGE_V,
    ChargingCurve,
    amps_text,
    battery_after_idle,
    battery_constants,
    battery_sources,
    least_voltage_v,
)
from kits.sizing.electrics.electrics import spare_current_a
from kits.sizing.words.figure import Bar, Picture, Remark, Table
from kits.topics.context import Context
from vehicles.physics.quantities import format_number, format_value

LIGHTS = ("day", "night", "rain")
WHEN = {"day": "by day", "night": "at night", "rain": "in rain"}
BATTERY_HEADS = ("the battery counts with", "value", "source")
ROUNDING = 6
"""Decimals of an ampere to which a sum of currents is told: what is left beyond is no shortfall."""
HEADS = ("engine", "generator, A", "by day, A", "at night, A", "in rain, A")


@dataclass(frozen=True)
class EngineState:
    """The engine at a speed, with what the generator gives there; None where its curve does not say."""

    name: str
    kind: str
    rpm: float
    generator_a: float | None


@dataclass(frozen=True)
class Budget:
    """What the generator has to spare, and the battery after standing in traffic."""

    states: tuple[EngineState, ...]
    loads: Mapping[str, float]
    """of the car without the kit, by day, night, rain; empty when no list was made"""
    kit_a: float
    """everything on, the blowers at the volts recorded at their plugs"""
    idle_kit_a: Mapping[str, float]
    """after the minutes of idle, the blowers slowed down with the battery; empty where that is not known"""
    battery_v: Mapping[str, float | None]
    """after the minutes of idle; None where it would be flat"""
    flat_min: Mapping[str, float]
    """minutes until the battery is flat, infinite with a surplus"""
    sentence: str

    def spare_a(self, state: EngineState, light: str) -> float | None:
        """What is left at an engine state; None when generator or loads aren't known."""
        if state.generator_a is None or light not in self.loads:
            return None
        spare = float(spare_current_a(state.generator_a, self.loads[light], self.kit_at(state, light)))
        return round(spare, ROUNDING) + 0.0  # nought has no sign

    def kit_at(self, state: EngineState, light: str) -> float:
        """What the kit takes at an engine state."""
        return self.idle_kit_a.get(light, self.kit_a) if state.kind == IDLE else self.kit_a


def budget_of(context: Context) -> Budget:
    """The budget; without states where the car must be converted before it says anything."""
    car, kit_a = context.case.car, float(kits_a([context.case])[0])
    if not np.isfinite(kit_a):
        sentence = "The charging budget needs a current of the kit that holds what its blowers take."
        return Budget((), {}, kit_a, {}, {}, {}, sentence)
    if car.system_voltage_v != context.case.unit.supply_voltage_v:
        sentence = "The charging budget waits for the charging curve after the conversion."
        if car.system_voltage_v is None:
            sentence = "The charging budget needs the system voltage."
        return Budget((), {}, kit_a, {}, {}, {}, sentence)
    loads = car_loads(car)
    states = _states(context)
    made = Budget(states, loads, kit_a, *_after_idle(context.case, states, loads, kit_a), "")
    return replace(made, sentence=budget_sentence(made))


def car_loads(car: Car) -> dict[str, float]:
    """Sums of the car's consumers by day, at night and in rain; empty without a list."""
    if not car.loads:
        return {}
    return {
        "day": sum(load.current_a for load in car.loads if load.by_day),
        "night": sum(load.current_a for load in car.loads if load.by_night),
        "rain": sum(load.current_a for load in car.loads if load.in_rain),
    }


def _states(context: Context) -> tuple[EngineState, ...]:
    """Hot idle and the distinct speeds at which the unit runs, in town and at cruise; a converter has one state."""
    car = context.case.car
    if not car.charging_curve:
        return ()
    if car.is_electric:
        return (EngineState("any speed", "cruise", 0.0, _generator_a(car, 0.0)),)
    speeds: dict[float, tuple[str, str]] = {}
    for duty in context.case.own_duties:
        rpm = Point(context.case, duty).engine_rpm()
        if rpm is not None:
            speeds.setdefault(rpm, ("hot idle" if duty.kind == "idle" else duty.kind, duty.kind))
    if car.hot_idle_rpm is not None:
        speeds[car.hot_idle_rpm] = ("hot idle", "idle")
    return tuple(
        EngineState(f"{name} at {rpm:.0f} rpm", kind, rpm, _generator_a(car, rpm))
        for rpm, (name, kind) in sorted(speeds.items())
    )


def _generator_a(car: Car, rpm: float) -> float | None:
    try:
        return float(ChargingCurve(car.charging_curve).current_a(rpm))
    except ValueError:
        return None


def _after_idle(
    case: Case, states: tuple[EngineState, ...], loads: Mapping[str, float], kit_a: float
) -> tuple[dict[str, float], dict[str, float | None], dict[str, float]]:
    """By light, after the minutes of idle: what the kit takes, the battery's volts, the minutes until it is flat.

    Where the volts at the blower were not recorded, the kit's current counts as it is stated.
    """
    car = case.car
    idle = next((s for s in states if s.kind == IDLE or car.is_electric), None)
    if idle is None or idle.generator_a is None or not loads or car.battery_ah is None:
        return {}, {}, {}
    base = np.array([loads[light] for light in LIGHTS])
    if case.mounting.blower_voltage_v is None:
        taken = np.full(len(LIGHTS), kit_a)
        battery = battery_after_idle(
            idle.generator_a, base, taken, car.system_voltage_v or 0.0, capacity_ah=car.battery_ah
        )
    else:
        found = supplies([case] * len(LIGHTS), np.full(len(LIGHTS), kit_a), base)
        if not np.isfinite(found.kit_a).all():
            return {}, {}, {}
        taken, battery = found.kit_a, found.battery
    volts = {
        light: float(v) if np.isfinite(v) else None for light, v in zip(LIGHTS, battery.volts, strict=True)
    }
    kit = {light: float(a) for light, a in zip(LIGHTS, taken, strict=True)}
    return kit, volts, {light: float(m) for light, m in zip(LIGHTS, battery.minutes_to_flat, strict=True)}


def budget_sentence(budget: Budget) -> str:
    """What is left or taken by day, at each state but in town."""
    parts = []
    for state in budget.states:
        if state.kind == "town":
            continue
        spare = budget.spare_a(state, "day")
        if spare is not None:
            parts.append(f"{state.name} {_spare_words(spare)}")
    if not parts:
        return "The charging budget is not known."
    return f"By day, with the kit full on: {'; '.join(parts)}."


def _spare_words(spare_a: float) -> str:
    if spare_a == 0:
        return "just carries everything"
    told = amps_text(abs(spare_a))
    return f"leaves {told}" if spare_a > 0 else f"takes {told} from the battery"


def _signed(spare_a: float) -> str:
    """Whole amperes with their sign; nought has none."""
    text = format_number(spare_a, 0)
    return f"+{text}" if spare_a > 0 and text != "0" else text


def battery_table(car: Car, budget: Budget) -> list[Table]:
    """What the volts after the idle are worked out from beside the figures' inputs, for this car's battery."""
    if not budget.battery_v or car.system_voltage_v is None or car.battery_ah is None:
        return []
    c, sources, cells = battery_constants(), battery_sources(), car.system_voltage_v / CONSTANTS_VOLTAGE_V
    ohm = c.internal_resistance_ohm * cells * c.capacity_ah / car.battery_ah
    by_cells = "" if cells == 1 else f" · {car.system_voltage_v:g}/{CONSTANTS_VOLTAGE_V:g}"
    made_of = f"{c.internal_resistance_ohm:g} Ω{by_cells} · {c.capacity_ah:g}/{car.battery_ah:g}"
    rows = (
        ("open circuit, empty", _volts(c.empty_voltage_v * cells), sources["empty_voltage_v"]),
        ("open circuit, full", _volts(c.full_voltage_v * cells), sources["full_voltage_v"]),
        ("charge as the idle begins", f"{c.start_state_of_charge:g}", sources["start_state_of_charge"]),
        ("resistance", f"{made_of} = {ohm:.4f} Ω", sources["internal_resistance_ohm"]),
        ("regulated voltage", _volts(c.regulated_voltage_v * cells), sources["regulated_voltage_v"]),
    )
    caption = (
        "The battery at idle: open-circuit volts go evenly with the charge, less resistance times current"
    )
    return [Table(caption, BATTERY_HEADS, rows)]


def _volts(volts: float) -> str:
    return f"{volts:.2f} V"


def budget_table(budget: Budget) -> list[Table]:
    """To spare by state and light; negative comes from the battery."""
    rows = []
    for state in budget.states:
        spare = [budget.spare_a(state, light) for light in LIGHTS]
        given_a = "not known" if state.generator_a is None else f"{state.generator_a:.0f}"
        rows.append(
            (
                state.name,
                given_a,
                *("not known" if s is None else _signed(s) for s in spare),
            )
        )
    if not rows:
        return []
    caption = "Charging: what is left with car and kit on (minus: from the battery)"
    return [Table(caption, HEADS, tuple(rows))]


def budget_pictures(budget: Budget) -> tuple[Picture, ...]:
    """What the generator gives at each engine state beside what car and kit take; none where either is unknown."""
    given_a = [(f"generator, {s.name}", s.generator_a) for s in budget.states if s.generator_a is not None]
    if not given_a or not budget.loads:
        return ()
    taken = [(f"car and kit take {WHEN[light]}", budget.loads[light] + budget.kit_a) for light in LIGHTS]
    at_idle = [
        (f"car and kit take {WHEN[light]} after the idle", budget.loads[light] + kit_a)
        for light, kit_a in budget.idle_kit_a.items()
        if any(state.kind == IDLE for state in budget.states)
    ]
    told = (*given_a, *at_idle, *taken)
    bars = tuple(Bar(label, round(amps, 1), format_value("_a", amps)) for label, amps in told)
    words = "; ".join(f"{bar.label}: {bar.text}" for bar in bars) + "."
    return (
        Picture("charging", "What the generator gives, and what is taken", words, "current, A", bars=bars),
    )


def budget_remarks(context: Context, budget: Budget) -> list[Remark]:
    """What the budget asks for."""
    car = context.case.car
    where = car.where.get("powertrain", "variant")
    if car.system_voltage_v != context.case.unit.supply_voltage_v:
        return []
    found = []
    if not car.charging_curve:
        found.append(
            Remark("charging-unknown", "warns", where, f"{car.name}: the charging curve is missing.")
        )
    if not car.loads:
        sentence = f"{car.name}: the list of electrical loads is missing."
        found.append(Remark("loads-unknown", "warns", where, sentence))
    if "generator" in context.kit.plant:
        sentence = (
            f"The kit brings generator {context.kit.plant['generator'][0]}; the budget is that of the car's "
            "own curve until one was taken with it."
        )
        found.append(Remark("generator-of-kit", "notes", "kit", sentence))
    for state in budget.states:
        if state.generator_a is None:
            sentence = f"{car.name}: the charging curve doesn't reach {state.rpm:.0f} rpm."
            found.append(Remark("charging-unknown", "warns", where, sentence))
    return [*found, *_short_remarks(car, budget, where), *_battery_remarks(car, budget, where)]


def _short_remarks(car: Car, budget: Budget, where: str) -> list[Remark]:
    """Short at cruise by day: the charging must be converted; at night or in rain alone: to know."""
    cruise = [s for s in budget.states if s.kind == "cruise" and s.generator_a is not None]
    if not cruise or not budget.loads:
        return []
    state = max(cruise, key=lambda s: s.generator_a or 0.0)
    spare = {light: budget.spare_a(state, light) or 0.0 for light in LIGHTS}
    if spare["day"] < 0:
        sentence = (
            f"Even at {state.rpm:.0f} rpm the {car.generator_kind} gives {state.generator_a:.0f} A where car and kit "
            f"take {budget.loads['day'] + budget.kit_a:.0f} A by day: convert the charging first."
            if not car.is_electric
            else f"The converter gives {state.generator_a:.0f} A where car and kit take more by day."
        )
        return [Remark("convert-charging", "blocks", where, sentence)]
    short = [f"{amps_text(-spare[light])} {WHEN[light]}" for light in LIGHTS if spare[light] < 0]
    if not short:
        return []
    sentence = (
        f"At {state.rpm:.0f} rpm with the kit full on the {car.generator_kind} is short of "
        f"{' and '.join(short)}."
    )
    return [Remark("charging-short", "warns", where, sentence)]


def _battery_remarks(car: Car, budget: Budget, where: str) -> list[Remark]:
    least_v = least_voltage_v(car.system_voltage_v or 0.0)
    low = {light: volts for light, volts in budget.battery_v.items() if volts is None or volts < least_v}
    if not low:
        return []
    told = ", ".join(
        f"{WHEN[light]} {f'flat after {budget.flat_min[light]:.0f} min' if v is None else f'{v:.2f} V'}"
        for light, v in low.items()
    )
    sentence = (
        f"After {battery_constants().idle_minutes:.0f} min at idle with the kit full on the battery holds less than "
        f"{least_v:g} V: {told}."
    )
    return [Remark("battery-idle", "warns", where, sentence)]
