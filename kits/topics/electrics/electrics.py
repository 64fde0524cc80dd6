"""Electrics of a fitment: losses and fuses by circuit, the charging budget, and an electric compressor's supply."""

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from kits.bom.resolved import Finding
from kits.sizing.case.charging_budget import WHEN, Budget, budget_of
from kits.sizing.case.idle_blower import (
    blowers_a,
    blowers_rated_a,
    idle_generator_a,
    kits_a,
    kits_on_a,
    supplies_read_v,
)
from kits.sizing.case.rear_blower import recorded_rear_v
from kits.sizing.electrics import electrics as e
from kits.sizing.electrics.battery import (
    ChargingCurve,
    battery_after_idle,
    battery_constants,
    least_voltage_v,
)
from kits.sizing.electrics.idle_speed import engine_speed_for_current_rpm
from kits.sizing.electrics.idle_supply import idle_supply, kit_as_read_a, kit_on_supply_a
from kits.sizing.verdict.checks_electrics import TOPIC, electrics_checks, runs_on_high_voltage, where_of
from kits.sizing.verdict.record import DutyAnswer
from kits.topics.context import Context
from kits.topics.electrics.charging import (
    battery_table,
    budget_pictures,
    budget_remarks,
    budget_table,
)
from kits.topics.electrics.wiring import (
    Harness,
    circuit_table,
    drop_figures,
    drop_remarks,
    harness_of,
    plug_remarks,
    unfed_remarks,
    wire_table,
)
from kits.topics.figure import Figure, Input, Table, Topic, figure, given
from kits.topics.origins import of_car, of_kit, of_loads

CODE, TITLE = TOPIC
KIT_AS_READ = "Kit, everything on, blowers at the volts of their plugs"
KIT_AT_REST = "Kit, everything on, on the battery's own volts"

BATTERY_OFF = "Battery off before any work on the harness; connect it last, with the fuses out."
HIGH_VOLTAGE = (
    "High voltage: qualified people only, with the traction battery locked off and proven dead; ester oil only, "
    "no hose that was used with another oil."
)


def electrics(context: Context) -> Topic:
    """What the kit asks of the car's electrics."""
    harness, budget, case = harness_of(context), budget_of(context.case), context.case
    checks = electrics_checks(context.kit, case)
    electric, electric_tables = _high_voltage(context)
    figures = [*drop_figures(harness), *_budget_figures(context, budget), *electric]
    tables = [
        *circuit_table(harness),
        *wire_table(harness),
        *budget_table(budget),
        *battery_table(case.car, budget),
        *electric_tables,
    ]
    return Topic(
        CODE,
        TITLE,
        " ".join(_answer(budget, harness, checks)),
        figures=tuple(figures),
        tables=tuple(tables),
        remarks=(*checks, *remarks(context)),
        cautions=(BATTERY_OFF, HIGH_VOLTAGE) if runs_on_high_voltage(case) else (BATTERY_OFF,),
        pictures=budget_pictures(budget),
    )


def remarks(context: Context) -> Iterator[Finding]:
    """What is to be mended or known of the electrics, beside the checks."""
    harness = harness_of(context)
    yield from budget_remarks(context, budget_of(context.case))
    yield from drop_remarks(harness)
    yield from plug_remarks(context, harness)
    yield from unfed_remarks(harness)
    yield from harness.unknown
    yield from _high_currents(context, harness)


def _budget_figures(context: Context, budget: Budget) -> list[Figure]:
    car = context.case.car
    where = car.where.get("powertrain", "")
    found = _kit_figures(context, budget)
    for state in budget.states:
        for light in ("day", "night"):
            load = budget.loads.get(light)
            taken, slowed = budget.kit_at(state, light), state.kind.idles and light in budget.idle_kit_a
            kit = (
                given("kit, its blowers slowed down with the battery", "a", taken, "calculated", "kit")
                if slowed
                else _kit_input(context, budget)
            )
            inputs = (
                given(
                    f"{car.generator_kind}, {state.name}",
                    "a",
                    state.generator_a,
                    "charging curve",
                    where,
                ),
                given(f"loads of the car {WHEN[light]}", "a", load, of_loads(context, light), where),
                kit,
            )
            spare = budget.spare_a(state, light)
            found.append(
                figure(f"To spare, {state.name}, {WHEN[light]}", "a", spare, e.spare_current_a, *inputs)
            )
    return [*found, *_speed_figures(context, budget), *_battery_figures(context, budget)]


def _kit_input(context: Context, budget: Budget) -> Input:
    """What the kit takes with everything on, as the volts at its plugs were read; else as it is stated."""
    if context.case.mounting.blower_voltage_v is None:
        return given("kit, everything on", "a", budget.kit_a, of_kit(context), "kit")
    return given(KIT_AS_READ, "a", budget.kit_a, "calculated", "kit")


def _kit_figures(context: Context, budget: Budget) -> list[Figure]:
    """The kit's current carried from the blowers' rated voltage to the volts recorded at their plugs."""
    case = context.case
    if not budget.states or case.mounting.blower_voltage_v is None:
        return []
    rear = () if case.heats_only or case.plant.rear is None else (case.plant.rear.air_path.blower,)
    blowers = (case.unit.air_path.blower, *rear)
    names = ("front blower", "rear blower") if rear else ("blower",)
    inputs = [
        given(
            "kit, everything on at rated voltage",
            "a",
            case.unit.kit_current_a,
            of_kit(context),
            "kit",
        )
    ]
    for name, blower, rated_a, amps in zip(
        names, blowers, blowers_rated_a(case), blowers_a(case), strict=False
    ):
        inputs += [
            given(
                f"{name}'s current at {blower.rated_voltage_v:g} V",
                "a",
                rated_a,
                "as its data have it",
            ),
            given(f"{name}'s current at its plug's volts", "a", amps, "calculated: by the fan laws"),
        ]
    return [figure(KIT_AS_READ, "a", budget.kit_a, kit_as_read_a, *inputs)]


def _rest_figures(context: Context, rest_v: float, kit_a: float) -> list[Figure]:
    """What the kit takes where the generator just carries everything."""
    case, blowers = context.case, _blower_inputs(context)
    if not blowers or not np.isfinite(supplies_read_v([case])[0]):
        return []
    inputs = (
        given("the battery's own volts", "v", f"{rest_v:.2f} V", "calculated: as the idle begins"),
        given(KIT_AS_READ, "a", float(kits_a([case])[0]), "calculated", "kit"),
    )
    return [figure(KIT_AT_REST, "a", kit_a, kit_on_supply_a, *inputs, *blowers)]


def _speed_figures(context: Context, budget: Budget) -> list[Figure]:
    """From which engine speed on nothing is taken from the battery: what an idle-up would have to reach.

    There the volts stand no higher than the battery's own, and the blowers take what they take on those.
    """
    case, car = context.case, context.case.car
    if car.is_electric or not car.charging_curve or not budget.states:
        return []
    rest_v = float(battery_after_idle(0.0, 0.0, 0.0, car.system_voltage_v or 0.0).own_volts)
    kit_a = float(kits_on_a([case], np.array([rest_v]))[0])
    curve, where, found = ChargingCurve(car.charging_curve), car.where.get("powertrain", ""), []
    found += _rest_figures(context, rest_v, kit_a)
    kit = given(KIT_AT_REST, "a", kit_a, "calculated", "kit") if found else _kit_input(context, budget)
    for light in (light for light in ("day", "night") if light in budget.loads):
        wanted_a = budget.loads[light] + kit_a
        speed = float(engine_speed_for_current_rpm(curve, wanted_a))
        inputs = (
            given("loads of the car", "a", budget.loads[light], of_loads(context, light), where),
            kit,
            given(
                "curve", "", f"{len(curve.rows)} rows of engine speed and current", "charging curve", where
            ),
            given("hot idle", "rpm", car.hot_idle_rpm, of_car(context, "powertrain"), where),
        )
        label = f"Nothing comes from the battery {WHEN[light]} from"
        made = figure(label, "rpm", speed, engine_speed_for_current_rpm, *inputs)
        found.append(made if math.isfinite(speed) else replace(made, text="no speed of the curve"))
    return found


def _battery_figures(context: Context, budget: Budget) -> list[Figure]:
    """The battery's volts after the idle; what they are worked out from beside these inputs stands in its table."""
    c, case = battery_constants(), context.case
    car, blowers = case.car, _blower_inputs(context)
    where, least_v = car.where.get("powertrain", ""), least_voltage_v(car.system_voltage_v or 0.0)
    found = []
    for light, volts in budget.battery_v.items():
        inputs: tuple[Input, ...] = (
            given(
                f"{car.generator_kind}{'' if car.is_electric else ' at hot idle'}",
                "a",
                idle_generator_a(car),
                "charging curve",
                where,
            ),
            given(
                f"loads of the car {WHEN[light]}",
                "a",
                budget.loads[light],
                of_loads(context, light),
                where,
            ),
            _kit_input(context, budget),
            *blowers,
            given("battery", "ah", car.battery_ah, of_car(context, "powertrain"), where),
            given("asked at least", "v", least_v, "assumed: data/battery.json"),
            given("time at idle", "min", c.idle_minutes, "assumed: data/battery.json"),
        )
        function = idle_supply if blowers else battery_after_idle
        made = figure(f"Battery after idling {WHEN[light]}", "v", volts, function, *inputs)
        found.append(made if volts is None else replace(made, text=f"{volts:.2f} V"))
    return found


def _blower_inputs(context: Context) -> tuple[Input, ...]:
    """What of the blowers goes into the supply at idle; nothing where the volts at their plugs are not recorded."""
    case = context.case
    plugs = (case.mounting.blower_voltage_v, recorded_rear_v(case))
    names = ("blower",) if plugs[1] is None else ("front blower", "rear blower")
    told = ("as recorded", "as recorded, less what its circuit loses more")
    calculated = "calculated: its own at the rated voltage, by the fan laws"
    found: list[Input] = []
    for name, volts, amps, origin in zip(names, plugs, blowers_a(case), told, strict=False):
        if volts is not None and amps is not None:
            found += [
                given(f"{name}'s plug as read", "v", volts, origin, "fitment"),
                given(f"{name}'s current there", "a", amps, calculated),
            ]
    if found:
        read_v = f"{float(supplies_read_v([case])[0]):.2f} V"
        found.insert(0, given("the car's supply as the plug was read", "v", read_v, "calculated: air side"))
    return tuple(found)


def _most_current(context: Context) -> tuple[DutyAnswer, float] | None:
    """The duty point at which the compressor takes most of the high voltage, and the current there, A."""
    volts = context.case.car.high_voltage_v
    known = [d for d in context.record.duties if d.power_w is not None]
    if not runs_on_high_voltage(context.case) or volts is None or not known:
        return None
    amps = np.atleast_1d(e.high_voltage_current_a([d.power_w or 0.0 for d in known], volts))
    most = int(np.argmax(amps))
    return known[most], float(amps[most])


def _high_voltage(context: Context) -> tuple[list[Figure], list[Table]]:
    car, most = context.case.car, _most_current(context)
    volts = car.high_voltage_v
    if most is None or volts is None:
        return [], []
    known = [(d, d.power_w) for d in context.record.duties if d.power_w is not None]
    amps = np.atleast_1d(e.high_voltage_current_a(np.array([p for _, p in known]), volts))
    table = Table(
        "Electric compressor",
        ("duty point", "at its shaft, W", "from the battery, W", "high voltage, A"),
        tuple(
            (d.name, f"{p:.0f}", f"{a * volts:.0f}", f"{a:.1f}")
            for (d, p), a in zip(known, amps, strict=True)
        ),
    )
    duty, largest = most
    where = car.where.get("powertrain", "")
    inputs = (
        given(f"power at the shaft, {duty.name}", "w", duty.power_w, "sized"),
        given("high voltage", "v", volts, of_car(context, "powertrain"), where),
        given("effectiveness of motor and inverter", "", e.electrics_constants().drive_effectiveness,
              "assumed: data/electrics.json"),
    )  # fmt: skip
    made = figure("Largest current from the high voltage", "a", largest, e.high_voltage_current_a, *inputs)
    return [made], [table]


def _high_currents(context: Context, harness: Harness) -> Iterator[Finding]:
    """Wires of the high voltage that state less than the compressor takes."""
    most = _most_current(context)
    if most is None:
        return
    duty, largest = most
    for wire in harness.wires:
        if wire.high_voltage and wire.current_a is not None and wire.current_a < largest:
            sentence = (
                f"Circuit {wire.position}/{wire.number} states {wire.current_a:g} A; the compressor would take "
                f"{largest:.1f} A at {duty.name}."
            )
            yield Finding("high-voltage-current", "warns", where_of(wire), sentence)


def _answer(budget: Budget, harness: Harness, checks: list[Finding]) -> list[str]:
    told = []
    if any(r.code == "convert-electrics" and r.severity == "blocks" for r in checks):
        told.append("Convert the car's electrics first.")
    told.append(budget.sentence)
    worst = harness.worst()
    if worst is None:
        told.append("No circuit could be followed from the battery to a consumer and back.")
    else:
        loss = harness.loss_v(worst)
        told.append(
            f"The circuit of the {worst.consumer} loses most: {loss:.2f} V of {harness.supply_v:g} V."
        )
    return told
