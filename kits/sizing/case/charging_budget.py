"""The charging budget of a fitment: by day, at night and in rain, at hot idle, in town and at cruise."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from kits.sizing.case.case import Car, Case, Point
from kits.sizing.case.idle_blower import kits_a, supplies
from kits.sizing.electrics.battery import ChargingCurve, amps_text, battery_after_idle
from kits.sizing.electrics.electrics import spare_current_a
from vehicles.climate.duty_kinds import CRUISE, IDLE, DutyKind

HOT_IDLE = "hot idle"
LIGHTS = ("day", "night", "rain")
WHEN = {"day": "by day", "night": "at night", "rain": "in rain"}
ROUNDING = 6
"""Decimals of an ampere to which a sum of currents is told: what is left beyond is no shortfall."""


@dataclass(frozen=True)
class EngineState:
    """The engine at a speed, with what the generator gives there; None where its curve does not say."""

    name: str
    kind: DutyKind
    rpm: float
    generator_a: float | None


@dataclass(frozen=True, kw_only=True)
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
        return self.idle_kit_a.get(light, self.kit_a) if state.kind.idles else self.kit_a


def budget_of(case: Case) -> Budget:
    """The budget; without states where the car must be converted before it says anything."""
    car, kit_a = case.car, float(kits_a([case])[0])
    if not np.isfinite(kit_a):
        sentence = "The charging budget needs a current of the kit that holds what its blowers take."
        return Budget(
            states=(), loads={}, kit_a=kit_a, idle_kit_a={}, battery_v={}, flat_min={}, sentence=sentence
        )
    if car.system_voltage_v != case.unit.supply_voltage_v:
        sentence = "The charging budget waits for the charging curve after the conversion."
        if car.system_voltage_v is None:
            sentence = "The charging budget needs the system voltage."
        return Budget(
            states=(), loads={}, kit_a=kit_a, idle_kit_a={}, battery_v={}, flat_min={}, sentence=sentence
        )
    loads = car_loads(car)
    states = _states(case)
    idle_kit_a, battery_v, flat_min = _after_idle(case, states, loads, kit_a)
    made = Budget(
        states=states,
        loads=loads,
        kit_a=kit_a,
        idle_kit_a=idle_kit_a,
        battery_v=battery_v,
        flat_min=flat_min,
        sentence="",
    )
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


def _states(case: Case) -> tuple[EngineState, ...]:
    """Hot idle and the distinct speeds at which the unit runs, in town and at cruise; a converter has one state."""
    car = case.car
    if not car.charging_curve:
        return ()
    if car.is_electric:
        return (EngineState("any speed", CRUISE, 0.0, _generator_a(car, 0.0)),)
    speeds: dict[float, tuple[str, DutyKind]] = {}
    for duty in case.own_duties:
        rpm = Point(case, duty).engine_rpm()
        if rpm is not None:
            speeds.setdefault(rpm, (HOT_IDLE if duty.of_kind.idles else duty.kind, duty.of_kind))
    if car.hot_idle_rpm is not None:
        speeds[car.hot_idle_rpm] = (HOT_IDLE, IDLE)
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
    idle = next((s for s in states if s.kind.idles or car.is_electric), None)
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
    """What is left or taken by day, at each state whose kind is told."""
    parts = []
    for state in budget.states:
        if not state.kind.charging_told:
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
