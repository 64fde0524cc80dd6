"""What the belt drive makes of speeds, and what the engine has to bear: torque at idle, warmer air at the radiator."""

from dataclasses import dataclass, replace

from kits.bom.resolved import Finding, Severity
from kits.bom.roles import IDLE_UP
from kits.sizing.case.case import Duty, Point
from kits.sizing.machine.condenser import installed_air
from kits.sizing.mechanics import belt as b
from kits.sizing.verdict.checks_belt import idle_torque_nm
from kits.sizing.verdict.judge import IN_RADIATOR_AIR
from kits.sizing.verdict.mends import MISSING_PART, added_to, of_part, of_place
from kits.sizing.verdict.record import DutyAnswer
from kits.topics.context import Context
from kits.topics.figure import Figure, Input, Table, figure, given
from kits.topics.origins import of_car
from vehicles.physics.air import pressure_from_altitude_pa

CURVE_END = "highest of the charging curve"
SPEED_HEADS = ("engine", "engine, rpm", "compressor, rpm", "allowed, rpm", "outside")


def _speeds(context: Context) -> list[tuple[str, float]]:
    """Engine speeds that are known, the lowest first: hot idle, duty points, the end of the charging curve."""
    car = context.case.car
    found: dict[float, str] = {}
    if car.hot_idle_rpm is not None:
        found[car.hot_idle_rpm] = "hot idle"
    for duty in context.case.own_duties:
        rpm = Point(context.case, duty).engine_rpm()
        if rpm is not None:
            found.setdefault(rpm, duty.name)
    if car.charging_curve:
        found.setdefault(car.charging_curve[-1][0], CURVE_END)
    return [(found[rpm], rpm) for rpm in sorted(found)]


def _compressor_rpm(context: Context, engine_rpm: float) -> float | None:
    crank, pulley = context.case.car.crank_pulley_mm, context.case.plant.pulley_mm
    return None if crank is None or pulley is None else float(b.driven_rpm(engine_rpm, crank, pulley))


def speed_table(context: Context) -> list[Table]:
    """Compressor speed over the engine's speeds, against its limits."""
    compressor, rows = context.case.plant.compressor, []
    for name, rpm in _speeds(context):
        turns = _compressor_rpm(context, rpm)
        if turns is None:
            return []
        word = (
            "too slow"
            if turns < compressor.speed_min_rpm
            else "too fast"
            if turns > compressor.speed_max_rpm
            else ""
        )
        allowed = f"{compressor.speed_min_rpm:.0f} to {compressor.speed_max_rpm:.0f}"
        rows.append((name, f"{rpm:.0f}", f"{turns:.0f}", allowed, word))
    return [Table("Speed of the compressor", SPEED_HEADS, tuple(rows))] if rows else []


def speed_figures(context: Context, where: str) -> list[Figure]:
    """The engine speed at which the compressor reaches its limit, and the torque it takes from the crank."""
    case = context.case
    crank, pulley = case.car.crank_pulley_mm, case.plant.pulley_mm
    limit = None
    if crank is not None and pulley is not None:
        limit = float(b.driven_rpm(case.plant.compressor.speed_max_rpm, pulley, crank))
    inputs = (
        given("crank pulley", "mm", crank, of_car(context, "powertrain"), where),
        of_compressor(context, "compressor pulley", "mm", pulley),
    )
    fastest = of_compressor(context, "compressor at most", "rpm", case.plant.compressor.speed_max_rpm)
    found = [figure("Engine speed at the compressor's limit", "rpm", limit, b.driven_rpm, *inputs, fastest)]
    torque = crank_idle_nm(context)
    sized = idle_torque(context)
    found.append(
        figure("Torque taken from the crank at idle", "nm", torque, b.crank_torque_nm, sized, *inputs)
    )
    return found


def of_compressor(context: Context, label: str, unit: str, value: float | None) -> Input:
    """An input from the compressor's data, which its part mends."""
    number = context.kit.plant["compressor"].part
    return given(label, unit, value, context.kit.origins.get(f"part.{number}", ""), f"part:{number}")


def idle_torque(context: Context) -> Input:
    """The compressor's torque at idle as an input."""
    return given("torque at the compressor, idle", "nm", idle_torque_nm(context.record), "sized")


def crank_idle_nm(context: Context) -> float | None:
    """Torque that the compressor takes from the crankshaft at idle; None without one of its inputs."""
    torque = idle_torque_nm(context.record)
    crank, pulley = context.case.car.crank_pulley_mm, context.case.plant.pulley_mm
    if torque is None or crank is None or pulley is None:
        return None
    return float(b.crank_torque_nm(torque, crank, pulley))


def speed_remarks(context: Context, where: str) -> list[Finding]:
    """Speeds outside the compressor's limits, and what is missing for them."""
    case, compressor, found = context.case, context.case.plant.compressor, []
    pulley = of_part(context.kit, "Compressors", "pulley_mm", context.kit.plant["compressor"].part)
    if case.car.crank_pulley_mm is None or case.plant.pulley_mm is None:
        sentence = "The compressor's speed isn't known: a pulley diameter is missing."
        crank = of_place(where, "Powertrains", "crank_pulley_mm")
        return [
            Finding("pulley-missing", "warns", where, sentence, crank if case.plant.pulley_mm else pulley)
        ]
    for name, rpm in _speeds(context):
        turns = _compressor_rpm(context, rpm) or 0.0
        if turns > compressor.speed_max_rpm:
            sentence = (
                f"At {rpm:.0f} rpm ({name}) the compressor would turn at {turns:.0f} rpm, above its "
                f"{compressor.speed_max_rpm:.0f}: a bigger pulley on it, or a cut-out by speed."
            )
            # how fast the engine is ever turned is not recorded; the curve's end only says how fast the generator was
            severity: Severity = "notes" if name == CURVE_END else "warns"
            found.append(Finding("compressor-fast", severity, where, sentence, pulley))
        if turns < compressor.speed_min_rpm:
            sentence = (
                f"At {rpm:.0f} rpm ({name}) the compressor turns at {turns:.0f} rpm, below its "
                f"{compressor.speed_min_rpm:.0f}."
            )
            found.append(Finding("compressor-slow", "warns", where, sentence, pulley))
    return found


def idle_remarks(context: Context, where: str) -> list[Finding]:
    """Whether the engine idles well with the compressor on."""
    torque, c = crank_idle_nm(context), b.belt_constants()
    if torque is None or torque <= c.idle_torque_nm:
        return []
    helper = next((item for item in context.kit.items if item.role == IDLE_UP), None)
    told = f"The compressor takes {torque:.0f} N·m from the crank at idle"
    if helper is not None:
        sentence = f"{told}; the kit raises the idle with {helper.part} {helper.name}."
        return [Finding("idle-torque", "notes", f"position:{helper.position}", sentence)]
    sentence = (
        f"{told}, more than {c.idle_torque_nm:g} N·m (from memory), and the kit has no idle-up: a petrol engine idles "
        "badly with it, raise its idle; a governed diesel holds its speed."
    )
    return [Finding("idle-torque", "warns", "kit", sentence, MISSING_PART)]


@dataclass(frozen=True)
class CoolantMargin:
    """What is left of the coolant's limit in a state, were all of the radiator's air to come from the condenser."""

    state: str
    coolant_c: float
    limit_c: float
    heat_w: float
    rise_k: float
    duty: str

    @property
    def left_k(self) -> float:
        """Left below the limit; negative above it."""
        return self.limit_c - self.coolant_c - self.rise_k


def coolant_margins(context: Context) -> list[CoolantMargin]:
    """The margin at idle and at cruise, each at its duty point with the hottest air; where data allows.

    None where the condenser stands out of the radiator's air: it adds nothing to the coolant.
    """
    car = context.case.car
    if context.case.mounting.condenser_place not in (IN_RADIATOR_AIR, ""):
        return []
    duties = {d.code: d for d in context.case.duties}
    found = []
    for state in ("idle", "cruise"):
        coolant, limit = car.coolant_c.get(state), car.coolant_limit_c
        answers = [a for a in context.record.duties if a.of_kind.engine_side == state]
        rises = [(r, a) for a in answers if (r := _rise_k(context, duties[a.code], a)) is not None]
        if coolant is not None and limit is not None and rises:
            rise, worst = max(rises, key=lambda pair: pair[0])
            heat = (worst.capacity_w or 0.0) + (worst.power_w or 0.0)
            found.append(CoolantMargin(state, coolant, limit, heat, rise, worst.name))
    return found


def _condenser(context: Context) -> str:
    """Where the condenser stands, as far as that is known."""
    if context.case.mounting.condenser_place == IN_RADIATOR_AIR:
        return "with the condenser in front of the radiator"
    return "if the condenser stands in front of the radiator"


def coolant_figures(context: Context, where: str) -> list[Figure]:
    """The margins with what they were made from."""
    found = []
    for m in coolant_margins(context):
        inputs = (
            given(f"coolant at {m.state} without the kit", "c", m.coolant_c, "powertrain", where),
            given("limit", "c", m.limit_c, of_car(context, "powertrain"), where),
            given(f"heat of the condenser, {m.duty}", "w", m.heat_w, "sized"),
            given("rise of the air, at most that of the coolant", "k", m.rise_k, "calculated"),
        )
        label = f"Coolant below its limit at {m.state}, {_condenser(context)}"
        made = figure(label, "k", m.left_k, b.air_rise_k, *inputs)
        text = f"{m.left_k:.0f} K at least" if m.left_k >= 0 else f"may be {-m.left_k:.0f} K over"
        found.append(replace(made, text=text))
    return found


def coolant_remarks(context: Context, where: str) -> list[Finding]:
    """Where the condenser's warm air may lift the coolant over its limit, and what is missing to say so."""
    car = context.case.car
    found = [
        Finding(
            "coolant-margin", "notes", where,
            f"The coolant may come {-m.left_k:.0f} K over its limit of {m.limit_c:.0f} °C at {m.state}, "
            f"{_condenser(context)}: measure it with the kit running.",
            of_place(where, "Coolant", "coolant_c", m.state),
        )
        for m in coolant_margins(context)
        if m.left_k < 0
    ]  # fmt: skip
    lacks = [
        t
        for t, v in (("limit", car.coolant_limit_c), ("temperature at idle", car.coolant_c.get("idle")))
        if v is None
    ]
    if lacks:
        sentence = f"{car.name}: the coolant's {' and '.join(lacks)} is missing; its margin isn't known."
        mend = (
            of_place(where, "Powertrains", "coolant_limit_c")
            if car.coolant_limit_c is None
            else added_to(where, "Coolant", "coolant_c", engine_state="idle")
        )
        found.append(Finding("coolant-unknown", "notes", where, sentence, mend))
    return found


def _rise_k(context: Context, duty: Duty, answer: DutyAnswer) -> float | None:
    plant, mounting, climate = context.case.plant, context.case.mounting, duty.climate
    if (
        mounting.fan_installed_share is None
        or mounting.ram_share is None
        or answer.condenser_air_c is None
        or answer.capacity_w is None
        or answer.power_w is None
    ):
        return None
    air = installed_air(
        fan_free_m3_h=plant.fan_free_m3_h,
        installed_share=mounting.fan_installed_share,
        road_speed_km_h=climate.road_speed_km_h or 0.0,
        ram_share=mounting.ram_share,
        face_area_m2=plant.condenser_face_m2,
        air_in_c=answer.condenser_air_c,
        pressure_pa=pressure_from_altitude_pa(climate.altitude_m or 0.0),
    )
    if not float(air.kg_s) > 0:
        return None
    return float(b.air_rise_k(answer.capacity_w + answer.power_w, float(air.kg_s)))
