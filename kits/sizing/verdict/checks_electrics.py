"""Whether car and kit suit each other electrically: voltage, charging, wires behind their fuses, high voltage."""

from kits.bom.mending import row
from kits.bom.resolved import Finding, ResolvedKit, Wire
from kits.sizing.case.case import Case
from kits.sizing.case.charging_budget import LIGHTS, WHEN, budget_of
from kits.sizing.case.wire_paths import device, fuse_before_a, is_earth
from kits.sizing.electrics.battery import amps_text, system_of_rating_v
from kits.sizing.electrics.electrics import electrics_constants, largest_current_a

TOPIC = ("electrics", "Electrics and charging")
"""Code and title of the calculation that tells more of it."""
RATINGS = ("rated_voltage_v", "supply_voltage_v", "system_voltage_v")


def electrics_checks(kit: ResolvedKit, case: Case) -> list[Finding]:
    """What of the electrics must be converted or mended first, and what comes near to that."""
    return [
        *_conversion(case),
        *_part_voltages(kit, case),
        *_charging(case),
        *_fuses(kit),
        *_high_voltage(kit, case),
    ]


def runs_on_high_voltage(case: Case) -> bool:
    """Whether the kit's compressor runs from the car's high voltage."""
    return not case.heats_only and case.plant.compressor.electric


def wires_of(kit: ResolvedKit) -> tuple[Wire, ...]:
    """The wires between two devices."""
    return tuple(w for w in kit.wires if device(w.start) != device(w.end))


def where_of(wire: Wire) -> str:
    """Where a wire is mended."""
    return f"circuit:{wire.position}/{wire.number}"


def _conversion(case: Case) -> list[Finding]:
    car, needed_v = case.car, case.unit.supply_voltage_v
    where = car.where.get("powertrain", "variant")
    reasons = []
    if car.system_voltage_v == 6:
        reasons.append("6 V")
    elif car.system_voltage_v is not None and car.system_voltage_v != needed_v:
        reasons.append(f"{car.system_voltage_v:g} V where the kit needs {needed_v:g} V")
    if car.positive_earth:
        reasons.append("positive earth")
    if car.system_voltage_v is None:
        sentence = f"The system voltage of {car.name} is missing."
        return [Finding("voltage-unknown", "warns", where, sentence)]
    if not reasons:
        return []
    told = " and ".join(reasons)
    if case.heats_only and car.system_voltage_v == needed_v:
        sentence = f"The car has {told}: a heating kit may go in, its motors and polarity to match."
        return [Finding("convert-electrics", "notes", where, sentence)]
    sentence = (
        f"The car has {told}: convert to {needed_v:g} V negative earth first; "
        "heating alone may go in as it is."
    )
    return [Finding("convert-electrics", "blocks", where, sentence)]


def _part_voltages(kit: ResolvedKit, case: Case) -> list[Finding]:
    """Each part that is rated for the supply of another kind of car; high voltage is judged elsewhere."""
    supply_v = case.unit.supply_voltage_v
    found: dict[str, Finding] = {}
    for key, held in kit.plant.items():
        number, data = held.part, held.data
        for name in RATINGS:
            if data.get(name) is None:
                continue
            rated_v = float(data[name])
            system_v = system_of_rating_v(rated_v)
            if system_v is None or system_v == supply_v:
                continue
            kind = key.partition("/")[0]
            sentence = (
                f"{kind.capitalize()} {number} is made for {system_v:g} V ({rated_v:g} V stated); the kit runs "
                f"from {supply_v:g} V."
            )
            found[number] = Finding("part-voltage", "blocks", f"part:{number}", sentence)
    return list(found.values())


def _charging(case: Case) -> list[Finding]:
    """Short at cruise by day: the charging must be converted; at night or in rain alone: to know."""
    car, budget = case.car, budget_of(case)
    where = car.where.get("powertrain", "variant")
    cruise = [s for s in budget.states if s.kind.comes_first and s.generator_a is not None]
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
        return [Finding("convert-charging", "blocks", where, sentence)]
    short = [f"{amps_text(-spare[light])} {WHEN[light]}" for light in LIGHTS if spare[light] < 0]
    if not short:
        return []
    sentence = (
        f"At {state.rpm:.0f} rpm with the kit full on the {car.generator_kind} is short of "
        f"{' and '.join(short)}."
    )
    return [Finding("charging-short", "warns", where, sentence)]


def _fuses(kit: ResolvedKit) -> list[Finding]:
    """Wires that the fuse before them does not protect, and fuses without reserve."""
    wires, found = wires_of(kit), []
    share = electrics_constants().fuse_load_share
    for wire in wires:
        name = f"Circuit {wire.position}/{wire.number}"
        fuse, largest = fuse_before_a(wires, wire), float(largest_current_a(wire.section_mm2))
        if wire.fuse_a is None and not is_earth(wire) and fuse is not None and fuse > largest:
            sentence = (
                f"{name} ({device(wire.start)} to {device(wire.end)}) has no fuse of its own and the one before it, "
                f"{fuse:g} A, doesn't protect {wire.section_mm2:g} mm²: at most {largest:g} A."
            )
            mend = row("Circuits", "fuse_a", wire.position, wire.number)
            found.append(Finding("wire-unprotected", "blocks", where_of(wire), sentence, mend))
        if (
            wire.fuse_a is not None
            and wire.current_a is not None
            and wire.fuse_a * share < wire.current_a <= wire.fuse_a
        ):
            sentence = (
                f"{name}: {wire.current_a:g} A is more than {100 * share:g} % of its fuse of {wire.fuse_a:g} A: "
                "it may blow in the heat."
            )
            mend = row("Circuits", "fuse_a", wire.position, wire.number)
            found.append(Finding("fuse-tight", "notes", where_of(wire), sentence, mend))
    return found


def _high_voltage(kit: ResolvedKit, case: Case) -> list[Finding]:
    if not runs_on_high_voltage(case):
        return []
    where = case.car.where.get("powertrain", "")
    if case.car.high_voltage_v is None:
        sentence = "The kit's compressor is electric, and the car's high voltage is missing."
        return [Finding("high-voltage-missing", "blocks", where or "variant", sentence)]
    return _rated_voltage(kit, case.car.high_voltage_v, where)


def _rated_voltage(kit: ResolvedKit, high_voltage_v: float, where: str) -> list[Finding]:
    """Whether the compressor is made for the car's high voltage."""
    compressor = kit.plant["compressor"]
    number, rated = compressor.part, compressor.data.get("supply_voltage_v")
    if rated is None:
        sentence = f"Electric compressor {number} has no supply voltage."
        return [Finding("compressor-voltage-missing", "warns", f"part:{number}", sentence)]
    if abs(high_voltage_v / float(rated) - 1) <= electrics_constants().high_voltage_band_share:
        return []
    sentence = (
        f"Compressor {number} is made for {float(rated):g} V, "
        f"the car's traction battery has {high_voltage_v:g} V."
    )
    return [Finding("compressor-voltage", "blocks", where, sentence)]
