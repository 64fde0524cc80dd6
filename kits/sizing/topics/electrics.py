"""Electrics of a fitment: losses and fuses by circuit, the charging budget, and an electric compressor's supply."""

from dataclasses import replace

import numpy as np

from kits.bom.resolved import Wire
from kits.sizing import electrics as e
from kits.sizing.battery import battery_after_idle, battery_constants
from kits.sizing.topics.charging import WHEN, Budget, budget_of, budget_remarks, budget_table
from kits.sizing.topics.context import Context
from kits.sizing.topics.figure import Figure, Input, Remark, Table, Topic, figure, given
from kits.sizing.wire_paths import Circuit, circuits, device, fuse_before_a, is_earth, is_high_voltage

WIRE_HEADS = (
    "circuit", "from", "to", "mm²", "m", "A", "fuse before it, A", "largest fuse, A", "lasting fuse, A",
    "loss, V", "least, mm²",
)  # fmt: skip
CIRCUIT_HEADS = ("consumer", "A", "way", "m there and back", "loss, V", "loss, %", "allowed, %")
BATTERY_OFF = "Battery off before any work on the harness; connect it last, with the fuses out."
HIGH_VOLTAGE = (
    "High voltage: qualified people only, with the traction battery locked off and proven dead; ester oil only, "
    "no hose that was used with another oil."
)


def electrics(context: Context) -> Topic:
    """What the kit asks of the car's electrics."""
    wires = [w for w in context.kit.wires if device(w.start) != device(w.end)]
    losses, unknown = _losses(wires)
    paths = [c for c in circuits(wires) if all((w.position, w.number) in losses for w in c.wires)]
    volts = context.case.plant.supply_voltage_v
    budget = budget_of(context)
    electric, electric_tables, electric_remarks = _high_voltage(context, wires)
    figures = [*_drop_figures(paths, losses, volts), *_budget_figures(context, budget), *electric]
    tables = [
        *_circuit_table(paths, losses, volts),
        *_wire_table(context, wires, losses),
        *budget_table(budget),
        *electric_tables,
    ]
    remarks = [
        *_conversion(context),
        *budget_remarks(context, budget),
        *_drop_remarks(paths, losses, volts),
        *_unfed_remarks(paths),
        *_fuse_remarks(wires),
        *unknown,
        *electric_remarks,
    ]
    cautions = (BATTERY_OFF, HIGH_VOLTAGE) if context.case.plant.compressor.electric else (BATTERY_OFF,)
    return Topic(
        "electrics",
        "Electrics and charging",
        " ".join(_answer(context, budget, paths, losses, remarks)),
        tuple(figures),
        tuple(tables),
        tuple(remarks),
        cautions,
    )


Key = tuple[int, int]


def _key(wire: Wire) -> Key:
    return wire.position, wire.number


def _where(wire: Wire) -> str:
    return f"circuit:{wire.position}/{wire.number}"


def _losses(wires: list[Wire]) -> tuple[dict[Key, float], list[Remark]]:
    """Loss of each wire in V, and a remark for each whose loss can't be worked out."""
    whole = [w for w in wires if w.length_mm is not None and w.current_a is not None]
    remarks = []
    for wire in wires:
        lacks = [n for n, v in (("length", wire.length_mm), ("current", wire.current_a)) if v is None]
        if lacks:
            sentence = f"Circuit {wire.position}/{wire.number} has no {' and no '.join(lacks)}: its loss isn't known."
            remarks.append(Remark("wire-loss-unknown", "warns", _where(wire), sentence))
    if not whole:
        return {}, remarks
    current, section, length = np.array(
        [(w.current_a, w.section_mm2, (w.length_mm or 0) / 1000) for w in whole], dtype=float
    ).T
    drops = np.atleast_1d(e.voltage_drop_v(current, section, length))
    for wire, drop in zip(whole, drops, strict=True):
        if not np.isfinite(drop):
            name = f"Circuit {wire.position}/{wire.number}"
            sentence = f"{name}: {wire.section_mm2:g} mm² is no wire for {wire.current_a:g} A."
            remarks.append(Remark("wire-loss-unknown", "warns", _where(wire), sentence))
    return {_key(w): float(d) for w, d in zip(whole, drops, strict=True) if np.isfinite(d)}, remarks


def _loss_v(path: Circuit, losses: dict[Key, float]) -> float:
    return sum(losses[_key(w)] for w in path.wires)


def _worst(paths: list[Circuit], losses: dict[Key, float]) -> Circuit | None:
    return max(paths, key=lambda p: _loss_v(p, losses), default=None)


def _circuit_table(paths: list[Circuit], losses: dict[Key, float], volts: float) -> list[Table]:
    rows = []
    for path in sorted(paths, key=lambda p: -_loss_v(p, losses)):
        loss = _loss_v(path, losses)
        way = " – ".join([device(path.feeds[0].start), *(device(w.end) for w in path.wires)])
        length = sum(w.length_mm or 0 for w in path.wires) / 1000
        allowed = 100 * e.electrics_constants().allowed_drop_share
        rows.append(
            (path.consumer, f"{path.current_a:g}", way, f"{length:.2f}", f"{loss:.2f}",
             f"{100 * loss / volts:.1f}", f"{allowed:g}")
        )  # fmt: skip
    return (
        [Table("Loss by circuit, everything on and the wires warm", CIRCUIT_HEADS, tuple(rows))]
        if rows
        else []
    )


def _wire_table(context: Context, wires: list[Wire], losses: dict[Key, float]) -> list[Table]:
    least, lasting = _least(context, wires)
    rows = []
    for i, wire in enumerate(wires):
        fuse = fuse_before_a(wires, wire)
        rows.append(
            (
                f"{wire.position}/{wire.number}", device(wire.start), device(wire.end), f"{wire.section_mm2:g}",
                _text(None if wire.length_mm is None else wire.length_mm / 1000), _text(wire.current_a),
                "none" if fuse is None else f"{fuse:g}", _text(float(e.largest_current_a(wire.section_mm2))),
                _text(lasting[i]), _text(losses.get(_key(wire)), 3), _text(least[i]),
            )
        )  # fmt: skip
    return [Table("Wires", WIRE_HEADS, tuple(rows))] if rows else []


def _text(value: float | None, decimals: int | None = None) -> str:
    if value is None or not np.isfinite(value):
        return "not known" if value is None else "none"
    return f"{value:g}" if decimals is None else f"{value:.{decimals}f}"


def _least(context: Context, wires: list[Wire]) -> tuple[list[float | None], list[float | None]]:
    """By wire: the least section that bears its current and alone loses no more than a circuit may, and its fuse.

    NaN where no standard one does it, None where an input is missing.
    """
    share = e.electrics_constants().allowed_drop_share
    rows = [(w.current_a, w.length_mm, _volts(context, w), w.section_mm2) for w in wires]
    amps, mm, volts, section = np.array(rows, dtype=float).reshape(-1, 4).T
    least, fuse = e.smallest_section_mm2(amps, mm / 1000, share * volts), e.protecting_fuse_a(amps, section)
    known = np.isfinite(amps) & np.isfinite(mm) & np.isfinite(volts)
    return (
        [float(s) if k else None for s, k in zip(least, known, strict=True)],
        [float(f) if np.isfinite(a) else None for f, a in zip(fuse, amps, strict=True)],
    )


def _volts(context: Context, wire: Wire) -> float | None:
    return context.case.car.high_voltage_v if is_high_voltage(wire) else context.case.plant.supply_voltage_v


def _drop_figures(paths: list[Circuit], losses: dict[Key, float], volts: float) -> list[Figure]:
    worst = _worst(paths, losses)
    if worst is None:
        return []
    c = e.electrics_constants()
    inputs = [
        given(
            f"{w.position}/{w.number} {device(w.start)} to {device(w.end)}",
            "wire",
            f"{w.section_mm2:g} mm², {(w.length_mm or 0) / 1000:.2f} m, {w.current_a:g} A",
            "circuit of the kit",
            _where(w),
        )
        for w in worst.wires
    ]
    inputs.append(given("around the bundle", "around_c", c.surroundings_c, "assumed: data/electrics.json"))
    loss = _loss_v(worst, losses)
    made = figure(f"Largest loss, circuit of the {worst.consumer}", "loss_v", loss, e.voltage_drop_v, *inputs)
    return [replace(made, text=f"{loss:.2f} V of {volts:g} V")]


def _drop_remarks(paths: list[Circuit], losses: dict[Key, float], volts: float) -> list[Remark]:
    found = []
    allowed = e.electrics_constants().allowed_drop_share * volts
    for path in paths:
        loss = _loss_v(path, losses)
        if loss <= allowed:
            continue
        weakest = max(path.wires, key=lambda w: losses[_key(w)])
        rest = loss - losses[_key(weakest)]
        cure = _thicker(weakest, allowed - rest)
        sentence = (
            f"The circuit of the {path.consumer} loses {loss:.2f} V of {volts:g} V, more than {allowed:.2f} V; most "
            f"of it in circuit {weakest.position}/{weakest.number} of {weakest.section_mm2:g} mm²: {cure}."
        )
        found.append(Remark("circuit-loss", "warns", _where(weakest), sentence))
    return found


def _unfed_remarks(paths: list[Circuit]) -> list[Remark]:
    """A way that begins at a device with an earth of its own doesn't begin at a source."""
    consumers = {path.consumer for path in paths} | {device(path.earth.start) for path in paths}
    unfed = sorted({device(p.feeds[0].start) for p in paths} & consumers)
    return [
        Remark(
            "circuit-unfed", "warns", _where(next(p.feeds[0] for p in paths if device(p.feeds[0].start) == name)),
            f"Nothing in this car's harness feeds the {name}: its circuits are followed from there only.",
        )
        for name in unfed
    ]  # fmt: skip


def _thicker(wire: Wire, allowed_v: float) -> str:
    """What would cure a circuit by its weakest wire alone."""
    try:
        section = e.smallest_section_mm2(wire.current_a or 0.0, (wire.length_mm or 0) / 1000, allowed_v)
    except ValueError:
        return "no thicker wire there is enough, the others lose too much as well"
    return f"{float(section):g} mm² there would do"


def _fuse_remarks(wires: list[Wire]) -> list[Remark]:
    found = []
    share = e.electrics_constants().fuse_load_share
    for wire in wires:
        name = f"Circuit {wire.position}/{wire.number}"
        fuse, largest = fuse_before_a(wires, wire), float(e.largest_current_a(wire.section_mm2))
        if wire.fuse_a is None and not is_earth(wire.end) and fuse is not None and fuse > largest:
            sentence = (
                f"{name} ({device(wire.start)} to {device(wire.end)}) has no fuse of its own and the one before it, "
                f"{fuse:g} A, doesn't protect {wire.section_mm2:g} mm²: at most {largest:g} A."
            )
            found.append(Remark("wire-unprotected", "warns", _where(wire), sentence))
        if (
            wire.fuse_a is not None
            and wire.current_a is not None
            and wire.fuse_a * share < wire.current_a <= wire.fuse_a
        ):
            sentence = (
                f"{name}: {wire.current_a:g} A is more than {100 * share:g} % of its fuse of {wire.fuse_a:g} A: "
                "it may blow in the heat."
            )
            found.append(Remark("fuse-tight", "notes", _where(wire), sentence))
    return found


def _conversion(context: Context) -> list[Remark]:
    car, plant = context.case.car, context.case.plant
    where = car.where.get("powertrain", "variant")
    cools = "compressor" in context.kit.plant
    reasons = []
    if car.system_voltage_v == 6:
        reasons.append("6 V")
    elif car.system_voltage_v is not None and car.system_voltage_v != plant.supply_voltage_v:
        reasons.append(f"{car.system_voltage_v:g} V where the kit needs {plant.supply_voltage_v:g} V")
    if car.positive_earth:
        reasons.append("positive earth")
    if car.system_voltage_v is None:
        sentence = f"The system voltage of {car.name} is missing."
        return [Remark("voltage-unknown", "warns", where, sentence)]
    if not reasons:
        return []
    told = " and ".join(reasons)
    if not cools:
        sentence = f"The car has {told}: a heating kit may go in, its motors and polarity to match."
        return [Remark("convert-electrics", "notes", where, sentence)]
    sentence = (
        f"The car has {told}: convert to {plant.supply_voltage_v:g} V negative earth first; "
        "heating alone may go in as it is."
    )
    return [Remark("convert-electrics", "blocks", where, sentence)]


def _budget_figures(context: Context, budget: Budget) -> list[Figure]:
    car, plant = context.case.car, context.case.plant
    where = car.where.get("powertrain", "")
    found = []
    for state in budget.states:
        for light in ("day", "night"):
            load = budget.loads.get(light)
            inputs = (
                given(
                    f"{car.generator_kind}, {state.name}",
                    "current_a",
                    state.generator_a,
                    "charging curve",
                    where,
                ),
                given(
                    f"loads of the car {WHEN[light]}", "current_a", load, "list of electrical loads", where
                ),
                given("kit, everything on", "current_a", plant.kit_current_a, "setting of the kit", "kit"),
            )
            spare = budget.spare_a(state, light)
            found.append(
                figure(f"To spare, {state.name}, {WHEN[light]}", "spare_a", spare, e.spare_current_a, *inputs)
            )
    return [*found, *_battery_figures(context, budget)]


def _battery_figures(context: Context, budget: Budget) -> list[Figure]:
    c, car = battery_constants(), context.case.car
    where = car.where.get("powertrain", "")
    found = []
    for light, volts in budget.battery_v.items():
        inputs: tuple[Input, ...] = (
            given("battery", "capacity_ah", car.battery_ah, "" if car.battery_ah else "assumed", where),
            given("asked at least", "least_v", c.least_voltage_v, "assumed: data/battery.json"),
            given("time at idle", "time_min", c.idle_minutes, "assumed: data/battery.json"),
        )
        made = figure(f"Battery after idling {WHEN[light]}", "battery_v", volts, battery_after_idle, *inputs)
        found.append(made if volts is None else replace(made, text=f"{volts:.2f} V"))
    return found


def _high_voltage(context: Context, wires: list[Wire]) -> tuple[list[Figure], list[Table], list[Remark]]:
    car = context.case.car
    if not context.case.plant.compressor.electric:
        return [], [], []
    where = car.where.get("powertrain", "")
    if car.high_voltage_v is None:
        sentence = "The kit's compressor is electric, and the car's high voltage is missing."
        return [], [], [Remark("high-voltage-missing", "blocks", where or "variant", sentence)]
    known = [(d, d.power_w) for d in context.record.duties if d.power_w is not None]
    if not known:
        return [], [], []
    power = np.array([p for _, p in known])
    amps = np.atleast_1d(e.high_voltage_current_a(power, car.high_voltage_v))
    table = Table(
        "Electric compressor",
        ("duty point", "at its shaft, W", "from the battery, W", "high voltage, A"),
        tuple(
            (d.name, f"{p:.0f}", f"{a * car.high_voltage_v:.0f}", f"{a:.1f}")
            for (d, p), a in zip(known, amps, strict=True)
        ),
    )
    most = int(np.argmax(amps))
    inputs = (
        given(f"power at the shaft, {known[most][0].name}", "power_w", known[most][1], "sized"),
        given("high voltage", "voltage_v", car.high_voltage_v, "powertrain", where),
        given("effectiveness of motor and inverter", "share", e.electrics_constants().drive_effectiveness,
              "assumed: data/electrics.json"),
    )  # fmt: skip
    largest = float(amps[most])
    made = figure(
        "Largest current from the high voltage", "current_a", largest, e.high_voltage_current_a, *inputs
    )
    remarks = []
    for wire in wires:
        if is_high_voltage(wire) and wire.current_a is not None and wire.current_a < largest:
            sentence = (
                f"Circuit {wire.position}/{wire.number} states {wire.current_a:g} A; the compressor would take "
                f"{largest:.1f} A at {known[most][0].name}."
            )
            remarks.append(Remark("high-voltage-current", "warns", _where(wire), sentence))
    return [made], [table], remarks


def _answer(
    context: Context, budget: Budget, paths: list[Circuit], losses: dict[Key, float], remarks: list[Remark]
) -> list[str]:
    told = []
    if any(r.code == "convert-electrics" and r.severity == "blocks" for r in remarks):
        told.append("Convert the car's electrics first.")
    told.append(budget.sentence)
    worst = _worst(paths, losses)
    if worst is None:
        told.append("No circuit could be followed from the battery to a consumer and back.")
    else:
        told.append(
            f"The circuit of the {worst.consumer} loses most: {_loss_v(worst, losses):.2f} V of "
            f"{context.case.plant.supply_voltage_v:g} V."
        )
    return told
