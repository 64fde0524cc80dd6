"""The charging budget of a fitment as tables and bars, and what it asks for."""

from kits.bom.resolved import Finding
from kits.sizing.case.case import Car
from kits.sizing.case.charging_budget import LIGHTS, WHEN, Budget
from kits.sizing.electrics.battery import (
    CONSTANTS_VOLTAGE_V,
    battery_constants,
    battery_sources,
    least_voltage_v,
)
from kits.topics.context import Context
from kits.topics.figure import Bar, Picture, Table
from vehicles.physics.quantities import format_number, in_unit

BATTERY_HEADS = ("the battery counts with", "value", "source")
HEADS = ("engine", "generator, A", "by day, A", "at night, A", "in rain, A")


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
        if any(state.kind.idles for state in budget.states)
    ]
    told = (*given_a, *at_idle, *taken)
    bars = tuple(Bar(label, round(amps, 1), in_unit("a", amps)) for label, amps in told)
    words = "; ".join(f"{bar.label}: {bar.text}" for bar in bars) + "."
    return (
        Picture("charging", "What the generator gives, and what is taken", words, "current, A", bars=bars),
    )


def budget_remarks(context: Context, budget: Budget) -> list[Finding]:
    """What the budget asks for."""
    car = context.case.car
    where = car.where.get("powertrain", "variant")
    if car.system_voltage_v != context.case.unit.supply_voltage_v:
        return []
    found = []
    if not car.charging_curve:
        found.append(
            Finding("charging-unknown", "warns", where, f"{car.name}: the charging curve is missing.")
        )
    if not car.loads:
        sentence = f"{car.name}: the list of electrical loads is missing."
        found.append(Finding("loads-unknown", "warns", where, sentence))
    if "generator" in context.kit.plant:
        sentence = (
            f"The kit brings generator {context.kit.plant['generator'].part}; the budget is that of the car's "
            "own curve until one was taken with it."
        )
        found.append(Finding("generator-of-kit", "notes", "kit", sentence))
    for state in budget.states:
        if state.generator_a is None:
            sentence = f"{car.name}: the charging curve doesn't reach {state.rpm:.0f} rpm."
            found.append(Finding("charging-unknown", "warns", where, sentence))
    return [*found, *_battery_remarks(car, budget, where)]


def _battery_remarks(car: Car, budget: Budget, where: str) -> list[Finding]:
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
    return [Finding("battery-idle", "warns", where, sentence)]
