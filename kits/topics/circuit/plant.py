"""The refrigerating plant: what holds its capacity, how well its parts' fits meet their points, valve and guards."""

from collections.abc import Iterator

from kits.bom.resolved import Finding
from kits.sizing.electrics.electrics import high_voltage_current_a
from kits.sizing.machine.plant_figures import cooling_per_power, rms, shaft_torque_nm
from kits.sizing.verdict.record import LIMIT_WORDS, DutyAnswer
from kits.sizing.words.defaults import default_value
from kits.topics.circuit.plant_coils import coils_piece
from kits.topics.circuit.plant_freeze import freeze_piece
from kits.topics.circuit.plant_guards import guards_piece, guards_remarks
from kits.topics.circuit.plant_valve import valve_piece, valve_remarks
from kits.topics.context import Context
from kits.topics.electrics.electrics import HIGH_VOLTAGE
from kits.topics.figure import Figure, Input, Table, Topic, figure, given
from kits.topics.per_coil import piece_of_coils, remarks_of_coils
from kits.topics.pieces import governing, origin_of, percent, solved, told
from vehicles.physics.pressure import absolute_pa
from vehicles.physics.quantities import in_unit

CODE, TITLE = "plant", "Refrigerating plant"
CAUTIONS = (
    "Refrigerant is under pressure and freezes skin; work on the circuit is for people who hold the licence the law "
    "asks for.",
    "Seconds of a cycle and the valve's share are estimates.",
)
WITHIN = 0.02
"""A fit serves so little beyond its rated points as well."""
HEADS = (
    "duty point", "what holds it", "capacity, W", "low side, bar g", "high side, bar g", "gas leaves at, °C",
    "flow, g/s", "power, W", "speed, rpm", "torque, N·m", "COP", "suction loss, K",
)  # fmt: skip


def plant(context: Context) -> Topic | None:
    """The topic of a fitment's plant; None where no duty point was solved."""
    main = governing(context.record)
    if main is None:
        return None
    coils = [(coil, governing(coil.record) or main) for coil in context.of_coils()]
    # the colder fins end the compressor's run
    freeze = freeze_piece(*min(coils, key=lambda coil: coil[1].surface_c or 0.0))
    valve = piece_of_coils([(coil, valve_piece(coil, at)) for coil, at in coils])
    pieces = (coils_piece(context, main), freeze, valve, guards_piece(context, main))
    electric = context.case.plant.compressor.electric
    return Topic(
        CODE,
        TITLE,
        " ".join(s for s in (_answer(main), *(p.sentence for p in pieces)) if s),
        figures=(*_figures(context, main), *_fits(context), *(f for p in pieces for f in p.figures)),
        tables=(_table(context), _stated(context), *(t for p in pieces for t in p.tables)),
        remarks=tuple(remarks(context)),
        cautions=(*CAUTIONS, HIGH_VOLTAGE) if electric else CAUTIONS,
    )


def remarks(context: Context) -> Iterator[Finding]:
    """What is to be mended or known of the plant; nothing where no duty point was solved."""
    if governing(context.record) is None:
        return
    yield from _fit_remarks(context)
    yield from _range_remarks(context)
    yield from remarks_of_coils([(coil, valve_remarks(coil)) for coil in context.of_coils()])
    yield from guards_remarks(context)


def _answer(a: DutyAnswer) -> str:
    held = (
        f"{LIMIT_WORDS[a.limit]} holds the capacity"
        if a.limit in LIMIT_WORDS
        else "nothing in the plant holds it"
    )
    capacity, power = (in_unit("kw", (w or 0.0) / 1000) for w in (a.capacity_w, a.power_w))
    return (
        f"At “{a.name}” {held}: {capacity} for {power} at the compressor's shaft (COP {a.cop or 0:.1f}), low side "
        f"{a.low_side_bar_g:.1f}, high side {a.high_side_bar_g:.1f} bar g."
    )


def _table(context: Context) -> Table:
    volts = context.case.car.high_voltage_v
    electric = context.case.plant.compressor.electric and volts is not None
    rows = []
    for a in solved(context.record):
        texts: tuple[str, ...] = (
            a.name, LIMIT_WORDS.get(a.limit, "–"), f"{a.capacity_w:,.0f}", f"{a.low_side_bar_g:.1f}",
            f"{a.high_side_bar_g:.1f}", f"{a.discharge_c:.0f}", f"{a.flow_g_s:.1f}", f"{a.power_w:,.0f}",
            f"{a.compressor_rpm:,.0f}", f"{a.torque_nm:.1f}", f"{a.cop:.1f}", f"{a.suction_loss_k:.1f}",
        )  # fmt: skip
        if electric:
            texts = (*texts, f"{float(high_voltage_current_a(a.power_w or 0.0, volts or 0.0)):.1f}")
        rows.append(texts)
    heads = (*HEADS, f"current at {volts:.0f} V, A") if electric else HEADS
    return Table("Plant at the duty points (means over a cycle)", heads, tuple(rows))


def _stated(context: Context) -> Table:
    """What the kit states and the sizing takes as given."""
    plant, settings = context.case.plant, context.kit.settings
    rows = (
        ("refrigerant", plant.refrigerant),
        ("superheat behind the coil", in_unit("k", plant.superheat_k)),
        ("subcooling behind the condenser", in_unit("k", plant.subcooling_k)),
        ("freeze control", plant.freeze_mode),
        ("fins, cut-out", in_unit("c", settings["freeze_cut_out_c"])),
        ("fins, cut-in", in_unit("c", settings["freeze_cut_in_c"])),
        ("discharge gas at most", in_unit("c", plant.discharge_limit_c)),
    )
    return Table("As the kit states", ("setting", "value"), rows)


def _figures(context: Context, a: DutyAnswer) -> list[Figure]:
    compressor, car = context.case.plant.compressor, context.case.car
    number = context.kit.plant["compressor"].part
    power = given("power at the shaft, mean", "w", a.power_w, "sized")
    speed = given("speed of the compressor", "rpm", a.compressor_rpm, "sized")
    capacity = given("capacity", "w", a.capacity_w, "sized")
    torque = float(shaft_torque_nm(a.power_w or 0.0, a.compressor_rpm or 0.0))
    cop = float(cooling_per_power(a.capacity_w or 0.0, a.power_w or 0.0))
    found = [
        figure(f"Torque at the compressor's shaft, {a.name}", "nm", torque, shaft_torque_nm, power, speed),
        told(f"Cooling for power, {a.name}", f"{cop:.2f}", cooling_per_power, capacity, power),
    ]
    if compressor.electric and car.high_voltage_v is not None:
        amps = float(high_voltage_current_a(a.power_w or 0.0, car.high_voltage_v))
        allowed = given(
            "speeds allowed", "", f"{compressor.speed_min_rpm:,.0f} to {compressor.speed_max_rpm:,.0f} rpm",
            origin_of(context, number), f"part:{number}",
        )  # fmt: skip
        volts = given(
            "pack's voltage", "v", car.high_voltage_v, "powertrain", car.where.get("powertrain", "")
        )
        label = f"Current of the electric compressor, {a.name}"
        found.append(figure(label, "a", amps, high_voltage_current_a, power, volts, allowed))
    return found


def _fits(context: Context) -> list[Figure]:
    """How far each fitted part lies from its rated points."""
    p = context.case.plant
    texts = [
        ("compressor", "volumetric efficiency of the compressor", f"{p.compressor.volumetric.rms_error:.3f}"),
        ("compressor", "isentropic efficiency of the compressor", f"{p.compressor.isentropic.rms_error:.3f}"),
        ("condenser", "heat of the condenser", f"{100 * p.condenser.rms_error_share:.1f} %"),
    ]
    held = [(what, text, context.kit.plant[kind]) for kind, what, text in texts]
    held[2:2] = [
        (
            "heat of the cooling coil" + (f", {coil.place}" if coil.zone else ""),
            f"{100 * coil.case.plant.evaporator.rms_error_share:.1f} %",
            coil.kit.plant["evaporator"],
        )
        for coil in context.of_coils()
    ]
    found = []
    for what, text, one in held:
        origin = origin_of(context, one.part)
        rated = given("rated points", "", f"{len(one.points)}", origin, f"part:{one.part}")
        ranges = _ranges(context) if what.endswith("of the compressor") else ()
        found.append(told(f"Error of the fit: {what}", text, rms, rated, *ranges))
    return found


def _ranges(context: Context) -> tuple[Input, ...]:
    """What the compressor's rated points reach over."""
    model, number = context.case.plant.compressor.volumetric, context.kit.plant["compressor"].part
    (least, most), (slow, fast) = model.pressure_ratio_range, model.speed_range_rpm
    texts = (
        ("pressure ratios of the rated points", f"{least:.1f} to {most:.1f}"),
        ("speeds of the rated points", f"{slow:,.0f} to {fast:,.0f} rpm"),
    )
    return tuple(
        given(label, "", text, origin_of(context, number), f"part:{number}") for label, text in texts
    )


def _range_remarks(context: Context) -> list[Finding]:
    """Where the compressor works beyond its rated points, so that its fit is continued; once for a fitment."""
    model, number = context.case.plant.compressor.volumetric, context.kit.plant["compressor"].part
    (least, most), (slow, fast) = model.pressure_ratio_range, model.speed_range_rpm
    beyond = []
    for a in solved(context.record):
        ratio = absolute_pa(a.discharge_bar_g or 0.0) / absolute_pa(a.low_side_bar_g or 0.0)
        at = []
        if not least * (1 - WITHIN) <= ratio <= most * (1 + WITHIN):
            at.append(f"a pressure ratio of {ratio:.1f}")
        if not slow * (1 - WITHIN) <= (a.compressor_rpm or slow) <= fast * (1 + WITHIN):
            at.append(f"{a.compressor_rpm:,.0f} rpm")
        if at:
            beyond.append(f"“{a.name}” at {' and '.join(at)}")
    if not beyond:
        return []
    text = (
        f"Compressor {number} is rated at pressure ratios of {least:.1f} to {most:.1f} and {slow:,.0f} to {fast:,.0f} "
        f"rpm; beyond that its efficiency is continued from there: {', '.join(beyond)}."
    )
    return [Finding("fit-beyond", "notes", f"part:{number}", text)]


def _fit_remarks(context: Context) -> list[Finding]:
    allowed = default_value("capacity_uncertainty_share")
    fitted = [
        ("evaporator", c.case.plant.evaporator.rms_error_share, c.kit.plant) for c in context.of_coils()
    ]
    fitted.append(("condenser", context.case.plant.condenser.rms_error_share, context.kit.plant))
    found = []
    for kind, error, parts in fitted:
        if error > allowed:
            number = parts[kind].part
            text = (
                f"The rated points of {kind} {number} lie {percent(error)} from any one {kind}: they contradict each "
                "other. Compare them with the data sheet."
            )
            found.append(Finding("fit-poor", "warns", f"part:{number}", text))
    return found
