"""The air side: what the blower moves by step, where its pressure goes, and what leaves each vent."""

from collections.abc import Collection, Iterator
from dataclasses import replace

from kits.bom.mending import new_row, row
from kits.bom.resolved import Finding, explode
from kits.sizing.air.airflow import LOSSES, AirFlow, airflow_batch, calibrate
from kits.sizing.air.blower import velocity_from_flow_m_s
from kits.sizing.case.idle_blower import kits_a, most_generator_a
from kits.sizing.case.rear_blower import recorded_rear_v
from kits.sizing.case.wire_paths import circuits, fuse_before_a
from kits.sizing.electrics.idle_supply import plug_v, reading_v
from kits.sizing.verdict.mends import of_part
from kits.sizing.words.defaults import default_value, defaults
from kits.topics.air.air_at_idle import idle_airs, volts_text
from kits.topics.air.air_pictures import curves_picture, vents_picture
from kits.topics.air.air_steps import StepAir, air_by_step, clogged_cost_share, full_air
from kits.topics.context import Context
from kits.topics.figure import Figure, Input, Table, Topic, figure, given
from kits.topics.origins import of_car, of_loads, of_parts
from kits.topics.per_coil import of_each_coil, remarks_of_each_coil
from kits.topics.pieces import origin_of
from vehicles.physics.quantities import format_number, in_unit

CODE, TITLE = "air", "Air side"
MOVING = ("Battery off before a hand goes near the blower: it starts without a warning.",)
NO_VOLTAGE = "The voltage at the blower's plug is not recorded: nothing can be said about its air."
WORDS = {
    "intake": "intake",
    "filter": "filter, clean",
    "coil": "coil, wet",
    "matrix": "heater matrix",
    "ducts": "ducts",
    "vents": "vents and their jets",
}


@of_each_coil
def air(context: Context) -> Topic:
    """The topic of a fitment's air side."""
    volts, told = context.case.mounting.blower_voltage_v, tuple(_remarks(context))
    if volts is None:
        return Topic(CODE, TITLE, NO_VOLTAGE, remarks=told)
    steps = air_by_step(context.case.unit, volts)
    full = max(steps, key=lambda one: one.share)
    if not full.clean.within_curve:
        return Topic(CODE, TITLE, f"The air flow is not known. {full.clean.reason}", remarks=told)
    return Topic(
        CODE,
        TITLE,
        _answer(context, full, volts),
        figures=tuple(_figures(context, full, volts)),
        tables=(_steps_table(steps), _losses_table(full), _vents_table(context, full)),
        remarks=told,
        cautions=MOVING,
        pictures=(curves_picture(context.case.unit.air_path, steps, volts), vents_picture(context, full)),
    )


def _span(values: tuple[float, ...], unit: str) -> str:
    low, high = in_unit(unit, min(values)), in_unit(unit, max(values))
    return low if low == high else f"{low.partition(' ')[0]} to {high}"


def _answer(context: Context, full: StepAir, volts: float) -> str:
    flow = full.clean
    told = [
        f"At the highest step and {in_unit('v', volts)} the blower moves {_m3_h(flow.total_m3_h)} against "
        f"{in_unit('pa', flow.blower_static_pa)}; the vents give {_span(flow.outlet_velocity_m_s, 'm_s')}."
    ]
    if full.clogged is not None and full.clogged.within_curve:
        cost = clogged_cost_share(flow.total_m3_h, full.clogged.total_m3_h)
        told.append(f"A clogged filter takes {format_number(100 * cost, 0)} % of that.")
    if flow.calibrated:
        told.append(f"Calibrated by a trial: {context.case.mounting.air_trial_origin}.")
    else:
        told.append("Predicted: no trial of the air side calibrates it.")
    told += [
        f"With the battery at {volts_text(one.battery_v)} ({one.name}) {volts_text(one.plug_v)} arrive there and it "
        f"moves {_m3_h(one.flow.total_m3_h)}."
        for one in idle_airs(context)[:1]
        if one.plug_v < volts and one.flow.within_curve
    ]
    return " ".join(told)


def _m3_h(value: float) -> str:
    return in_unit("m3_h", value)


def _blower_at(context: Context) -> str:
    return f"part:{context.kit.plant['blower'].part}"


def _path_inputs(context: Context, full: StepAir, volts: float) -> tuple[Input, ...]:
    """What the operating point was made from."""
    found = [
        given("voltage at the plug", "v", volts, "as recorded", "fitment"),
        given("step's share of it", "", full.share, "as recorded", _blower_at(context)),
    ]
    for kind in ("blower", "filter", "evaporator", "heater matrix"):
        held = context.kit.plant.get(kind)
        if held is not None:
            where = f"part:{held.part}"
            found.append(given(kind, "", held.part, context.kit.origins.get(f"part.{held.part}", ""), where))
    key = "intake_loss_pa" if context.case.unit.air_path.filter is None else "intake_grille_loss_pa"
    assumed = defaults()[key]
    what = f"intake at {_m3_h(default_value('intake_loss_at_m3_h'))}"
    found.append(given(what, "pa", assumed.value, f"assumed, {assumed.meaning}: {assumed.source}"))
    outlets = context.case.unit.air_path.outlets
    outlet_parts = [
        held.part for kind, held in context.kit.plant.items() if kind.split("/")[0] in ("duct", "vent")
    ]
    found.append(
        given("ducts and vents", "", f"{len(outlets)}, by their data", of_parts(context, outlet_parts), "kit")
    )
    return tuple(found)


def _figures(context: Context, full: StepAir, volts: float) -> Iterator[Figure]:
    inputs, flow = _path_inputs(context, full, volts), full.clean
    yield figure("Air at the highest step", "m3_h", flow.total_m3_h, airflow_batch, *inputs)
    yield figure("Pressure rise across the blower", "pa", flow.blower_static_pa, airflow_batch, *inputs)
    if full.clogged is not None and full.clogged.within_curve:
        yield figure(
            "Air with a clogged filter",
            "m3_h",
            full.clogged.total_m3_h,
            air_by_step,
            *_filter_inputs(context),
        )
    velocities = dict(zip(flow.outlet_codes, flow.outlet_velocity_m_s, strict=True))
    areas = {o.code: o.free_area_cm2 for o in context.case.unit.air_path.outlets}
    for word, code in (("slowest", min(velocities, key=velocities.__getitem__)),
                       ("fastest", max(velocities, key=velocities.__getitem__))):  # fmt: skip
        air_m3_h, vent = flow.outlet_m3_h[flow.outlet_codes.index(code)], context.vent_parts()[code]
        yield figure(
            f"Air speed at the {word} vent, {code}", "m_s", velocities[code], velocity_from_flow_m_s,
            given("its air", "m3_h", air_m3_h, "calculated"),
            given("its free area", "cm2", areas[code], origin_of(context, vent), f"part:{vent}"),
        )  # fmt: skip
    yield figure("Current at the highest step", "a", flow.current_a, airflow_batch, *inputs)
    yield from _idle_figures(context)
    yield from _trial_figures(context)


def _idle_figures(context: Context) -> Iterator[Figure]:
    """What is left at the plug with the engine idling, and the air it moves."""
    airs, car, whole = idle_airs(context), context.case.car, context.whole
    rear_v = recorded_rear_v(whole)
    plugs = [given("at the plug as read", "v", whole.mounting.blower_voltage_v, "as recorded", "fitment")]
    if rear_v is not None:
        plugs.append(given("at the rear plug", "v", rear_v, "as recorded, less what its circuit loses more"))
    for supply_v in {one.supply_read_v for one in airs}:
        where, battery = car.where.get("powertrain", ""), of_car(context, "powertrain")
        read = figure(
            "The car's supply as the plug was read", "v", supply_v, reading_v,
            given(f"most of the {car.generator_kind}", "a", most_generator_a(car), "charging curve", where),
            given("loads of the car by day", "a", car.base_load_a, of_loads(context, "day"), where),
            given("kit as that was read", "a", float(kits_a([whole])[0]), "calculated: electrics and charging"),
            given("battery", "ah", car.battery_ah, battery, where),
            *plugs,
        )  # fmt: skip
        yield replace(read, text=volts_text(supply_v))
    for one in airs:
        arrives = figure(
            f"At the plug, {one.name}", "v", one.plug_v, plug_v,
            given("battery then", "v", volts_text(one.battery_v), "calculated"),
            given("at the plug as read", "v", one.recorded_v, "as recorded", "fitment"),
            given("the car's supply as that was read", "v", volts_text(one.supply_read_v), "calculated"),
        )  # fmt: skip
        yield replace(arrives, text=volts_text(one.plug_v))
        if one.flow.within_curve:
            yield figure(
                f"Air, {one.name}", "m3_h", one.flow.total_m3_h, airflow_batch,
                given("voltage at the plug then", "v", volts_text(one.plug_v), "calculated"),
                given("step's share of it", "", one.share, "duty point"),
            )  # fmt: skip


def _filter_inputs(context: Context) -> tuple[Input, ...]:
    held = context.kit.plant.get("filter")
    clogged = context.case.unit.air_path.clogged_filter
    if held is None or clogged is None:
        return ()
    origin, where = context.kit.origins.get(f"part.{held.part}", ""), f"part:{held.part}"
    return (
        given("filter's clogged drop", "pa", clogged.rated_pa, origin, where),
        given("at", "m3_h", clogged.rated_m3_h, origin, where),
    )


def _trial_figures(context: Context) -> Iterator[Figure]:
    mounting, found = context.case.mounting, context.case.unit.air_path.calibration
    trial = mounting.air_trial
    if trial is None or found is None:
        return
    inputs = (
        given("measured flow", "m3_h", trial.airflow_m3_h, mounting.air_trial_origin, "fitment"),
        given("measured pressure rise", "pa", trial.blower_static_pa, mounting.air_trial_origin, "fitment"),
        given("at the motor", "v", trial.voltage_v, mounting.air_trial_origin, "fitment"),
    )
    for label, value in (("losses", found.system_factor), ("blower's pressure", found.blower_factor)):
        text = f"× {value:.2f}"
        yield Figure(f"Trial over prediction: {label}", text, f"{calibrate.__module__}:calibrate", inputs)


def _steps_table(steps: tuple[StepAir, ...]) -> Table:
    rows = tuple(
        (
            f"{one.step}",
            f"{100 * one.share:.0f} %",
            format_number(one.clean.total_m3_h, 0) if one.clean.within_curve else "outside the curve",
            _velocities(one.clean),
            format_number(one.clean.blower_static_pa, 0) if one.clean.within_curve else "–",
            format_number(one.clean.current_a, 1) if one.clean.within_curve else "–",
            "–" if one.measured_a is None else format_number(one.measured_a, 1),
            _flow_if_known(one),
            "–" if one.clogged is None else _velocities(one.clogged),
        )
        for one in steps
    )
    heads = (
        "step",
        "share of the voltage",
        "air, m³/h",
        "vents, m/s",
        "blower, Pa",
        "current, A",
        "current on the bench, A",
        "filter clogged: air, m³/h",
        "filter clogged: vents, m/s",
    )
    return Table("The blower by step", heads, rows)


def _velocities(flow: AirFlow) -> str:
    if not flow.within_curve:
        return "–"
    speeds = flow.outlet_velocity_m_s
    low, high = (format_number(v, 1) for v in (min(speeds), max(speeds)))
    return low if low == high else f"{low} to {high}"


def _flow_if_known(one: StepAir) -> str:
    if one.clogged is None:
        return "–"
    return format_number(one.clogged.total_m3_h, 0) if one.clogged.within_curve else "outside the curve"


def _losses_table(full: StepAir) -> Table:
    flow = full.clean
    rows = [
        (
            WORDS[name],
            format_number(flow.loss_pa[name], 0),
            f"{100 * flow.loss_pa[name] / flow.blower_static_pa:.0f}",
        )
        for name in LOSSES
        if flow.loss_pa[name] > 0
    ]
    rows.append(("together, the blower's rise", format_number(flow.blower_static_pa, 0), "100"))
    return Table("Where the pressure goes at the highest step", ("element", "Pa", "share, %"), tuple(rows))


def _vents_table(context: Context, full: StepAir) -> Table:
    flow, parts = full.clean, context.vent_parts()
    clogged = full.clogged if full.clogged is not None and full.clogged.within_curve else None
    outlets = context.case.unit.air_path.outlets
    rows = tuple(
        (
            outlet.code,
            parts[outlet.code],
            format_number(outlet.free_area_cm2, 1),
            format_number(flow.outlet_m3_h[i], 0),
            format_number(flow.outlet_velocity_m_s[i], 1),
            "–" if clogged is None else format_number(clogged.outlet_velocity_m_s[i], 1),
        )
        for i, outlet in enumerate(outlets)
    )
    heads = ("vent", "part", "free area, cm²", "air, m³/h", "air speed, m/s", "filter clogged, m/s")
    return Table("Each vent at the highest step", heads, rows)


def _remarks(context: Context) -> Iterator[Finding]:
    volts = context.case.mounting.blower_voltage_v
    if volts is None:
        mend = row("Fitments", "blower_voltage_v", context.kit.variant)
        yield Finding("blower-voltage-missing", "notes", "fitment", NO_VOLTAGE, mend)
        return
    full = full_air(context.case.unit, volts)
    if not full.clean.within_curve:
        yield Finding("blower-outside-curve", "warns", _blower_at(context), full.clean.reason)
        return
    yield from _vent_remarks(context, full)
    yield from _filter_remarks(context, full)
    yield from _current_remarks(context, full)
    yield from _trial_remarks(context)
    if not context.case.unit.blower_steps:
        number = context.kit.plant["blower"].part
        sentence = f"Part {number} (blower) has no steps: only the full voltage is worked out."
        revision = next((r.item.revision for r in explode(context.kit) if r.item.part == number), "")
        mend = new_row("Blower steps", "voltage_share", part_number=number, part_revision=revision, step=1)
        yield Finding("blower-no-steps", "notes", _blower_at(context), sentence, mend)


remarks = remarks_of_each_coil(_remarks)


def _vent_remarks(context: Context, full: StepAir) -> Iterator[Finding]:
    least, most = default_value("vent_velocity_least_m_s"), default_value("vent_velocity_most_m_s")
    velocities = full.clean.outlet_velocity_m_s
    by_vent = dict(zip(full.clean.outlet_codes, velocities, strict=True))
    slow = {code: v for code, v in by_vent.items() if v < least}
    fast = {code: v for code, v in by_vent.items() if v > most}
    if slow:
        sentence = (
            f"{_vents(slow)} at {_span(tuple(slow.values()), 'm_s')} at the highest step, under {least:g} m/s: "
            "the air does not reach a face."
        )
        yield Finding("vent-slow", "notes", "kit", sentence)
    if fast:
        sentence = (
            f"{_vents(fast)} at {_span(tuple(fast.values()), 'm_s')} at the highest step, over {most:g} m/s: "
            "it whistles and dries the eyes."
        )
        yield Finding("vent-fast", "notes", "kit", sentence)


def _vents(codes: Collection[str]) -> str:
    return f"Vent {', '.join(codes)} blows" if len(codes) == 1 else f"Vents {', '.join(codes)} blow"


def _filter_remarks(context: Context, full: StepAir) -> Iterator[Finding]:
    held, path = context.kit.plant.get("filter"), context.case.unit.air_path
    if held is None:
        return
    where = f"part:{held.part}"
    if path.filter is None:
        sentence = f"Part {held.part} (filter) has no clean drop with its flow: a usual filter is counted."
        mend = of_part(context.kit, "Filters", "clean_drop_pa", held.part)
        yield Finding("filter-drop-missing", "notes", where, sentence, mend)
    if full.clogged is None:
        return
    if not full.clogged.within_curve:
        yield Finding(
            "filter-clogged-outside", "notes", where, f"With a clogged filter: {full.clogged.reason}"
        )
        return
    cost = clogged_cost_share(full.clean.total_m3_h, full.clogged.total_m3_h)
    if cost > default_value("clogged_flow_share"):
        sentence = (
            f"A clogged filter ({held.part}) costs {format_number(100 * cost, 0)} % of the air at the highest step: "
            "wash or change it each season."
        )
        yield Finding("filter-clogged", "notes", where, sentence)


def _current_remarks(context: Context, full: StepAir) -> Iterator[Finding]:
    """The blower's current against the fuse before its wire."""
    for circuit in circuits(context.kit.wires):
        if circuit.leads_to != context.blower:
            continue
        fuse_a = fuse_before_a(context.kit.wires, circuit.feeds[-1])
        if fuse_a is not None and full.clean.current_a > fuse_a:
            feed = circuit.feeds[-1]
            sentence = (
                f"The blower draws {in_unit('a', full.clean.current_a)} at the highest step, its fuse holds "
                f"{in_unit('a', fuse_a)}: it blows."
            )
            mend = row("Circuits", "fuse_a", feed.position, feed.number)
            yield Finding(
                "blower-over-fuse", "warns", f"circuit:{feed.position}/{feed.number}", sentence, mend
            )


def _trial_remarks(context: Context) -> Iterator[Finding]:
    trial, path = context.case.mounting.air_trial, context.case.unit.air_path
    if trial is None:
        return
    if path.calibration is None:
        try:
            calibrate(path, trial)
        except ValueError as error:
            sentence = f"The trial of the air side can't be used: {error} The prediction stands."
            yield Finding("air-trial-unusable", "warns", "fitment", sentence)
        return
    apart = abs(path.calibration.blower_factor - 1)
    if apart > default_value("air_trial_apart_share"):
        sentence = (
            f"The trial's blower pressure is {format_number(100 * apart, 0)} % "
            f"{'over' if path.calibration.blower_factor > 1 else 'under'} the blower's curve: check voltage, curve "
            "and reading."
        )
        yield Finding("air-trial-apart", "warns", "fitment", sentence)
