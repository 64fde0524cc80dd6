"""What a point lacks, each by its path and the place to mend it; and the answer of a point that lacks something."""

from collections.abc import Iterable

from kits.sizing.case.case import Car, Duty, Point
from kits.sizing.case.idle_blower import blowers_a, blowers_rated_a, kits_a
from kits.sizing.case.rear_blower import step_gap
from kits.sizing.electrics.battery import KNOWN_VOLTAGES_V, ChargingCurve, known_voltages
from kits.sizing.electrics.idle_supply import READ_SHARE
from kits.sizing.verdict.record import VERDICTS, DutyAnswer
from kits.sizing.words.gap import Gap
from vehicles.heatload.inputs import Missing
from vehicles.physics.quantities import format_value, in_unit
from vehicles.physics.ranges import range_of

BESIDE_POWERTRAIN = {"engine": "powertrain"}
"""Owners of the heat load's inputs that stand with another row of the car."""
MOUNTING_WORDS = {
    "ram_share": "share of road speed at the condenser",
    "fan_installed_share": "installed share of the fan's air",
    "air_on_rise_idle_k": "condenser air-on rise at idle",
    "air_on_rise_cruise_k": "condenser air-on rise at cruise",
    "suction_gain_k": "temperature rise in the suction hose",
    "blower_voltage_v": "voltage at the blower motor",
}
Wanted = tuple[bool, str, str, str]
"""Whether it is missing, its owner, its name, what it is in words."""


def missing_for(point: Point) -> tuple[Gap, ...]:
    """Required inputs of the car and the mounting that are not there; empty when the point can be sized."""
    car, mounting, duty = point.case.car, point.case.mounting, point.duty
    wanted: list[Wanted] = []
    if not point.case.plant.compressor.electric:
        if duty.engine_state == "idle":
            wanted.append((car.hot_idle_rpm is None, "powertrain", "hot_idle_rpm", "hot idle speed"))
        if duty.engine_state == "cruise":
            text = "engine speed by road speed"
            wanted.append((car.engine_rpm_per_km_h is None, "powertrain", "engine_rpm_per_km_h", text))
        text = "diameter of the pulley that drives the compressor"
        wanted.append((car.crank_pulley_mm is None, "powertrain", "crank_pulley_mm", text))
        wanted.append(
            (point.case.plant.pulley_mm is None, "kit", "compressor pulley_mm", "compressor pulley diameter")
        )
    wanted.append((car.system_voltage_v is None, "powertrain", "system_voltage_v", "system voltage"))
    wanted.append((car.duct_gain_w_k is None, "cabin", "duct_gain_w_k", "heat gain of the ducts"))
    wanted.append((car.matrix_leak_w is None, "cabin", "matrix_leak_w", "heat of the shut heater"))
    for name, text in MOUNTING_WORDS.items():
        wanted.append((getattr(mounting, name) is None, "fitment", name, text))
    if duty.of_kind.idles:
        wanted.append((not car.charging_curve, "powertrain", "charging_curve", "charging curve"))
        wanted.append((car.base_load_a is None, "powertrain", "electrical_loads", "list of electrical loads"))
        wanted.append((car.battery_ah is None, "powertrain", "battery_ah", "battery capacity"))
        if not car.is_electric:
            wanted.append(
                ("idle" not in car.coolant_c, "powertrain", "coolant_c", "coolant temperature at hot idle")
            )
            wanted.append((car.coolant_limit_c is None, "powertrain", "coolant_limit_c", "coolant limit"))
    gaps = [*_gaps(car, wanted), *_impossible(point), *_supply_gaps(car, of_idle=duty.of_kind.idles)]
    if duty.of_kind.idles:
        gaps.extend(_kit_current_gaps(point))
    no_step = step_gap(point)
    return tuple(gaps if no_step is None else [*gaps, no_step])


def _impossible(point: Point) -> list[Gap]:
    """What is there of mounting and kit and can't be: a slip of the pen, which no form lets in any more."""
    name = point.case.car.name
    values = [
        *((f"fitment.{n}", "fitment", "Fitment", n, getattr(point.case.mounting, n)) for n in MOUNTING_WORDS),
        *(
            (f"kit.{n}", "kit", "Kit", n, getattr(point.case.plant, n))
            for n in ("superheat_k", "subcooling_k")
        ),
    ]
    found = []
    for path, where, model, field, value in values:
        span = range_of(model, field)
        if span is not None and value is not None and not span.holds(value):
            least, most = (format_value(field, limit) for limit in (span.least, span.most))
            words = MOUNTING_WORDS.get(field) or field.rpartition("_")[0].replace("_", " ")
            told = (
                f"{name}: the {words} is {format_value(field, value)}; it must lie within {least} to {most}."
            )
            found.append(Gap(path, where, told))
    return found


def _supply_gaps(car: Car, *, of_idle: bool) -> list[Gap]:
    """What is there of the car's supply and can't be used: another voltage, a charging curve that ends before idle."""
    where, found = car.where.get("powertrain", "powertrain"), []
    if car.system_voltage_v is not None and car.system_voltage_v not in KNOWN_VOLTAGES_V:
        sentence = (
            f"{car.name}: the system voltage is {car.system_voltage_v:g} V; known are {known_voltages()} V."
        )
        found.append(Gap("powertrain.system_voltage_v", where, sentence))
    if of_idle and car.charging_curve and (car.is_electric or car.hot_idle_rpm is not None):
        try:
            ChargingCurve(car.charging_curve).current_a(car.hot_idle_rpm or 0.0)
        except ValueError as refusal:
            idle = "" if car.is_electric else f" Hot idle is at {car.hot_idle_rpm:g} rpm."
            found.append(Gap("powertrain.charging_curve", where, f"{car.name}: {refusal}{idle}"))
    return found


def _kit_current_gaps(point: Point) -> list[Gap]:
    """A kit can't take less than its blowers: with such a current nothing is known of the battery at idle."""
    case, known = point.case, [a for a in blowers_a(point.case) if a is not None]
    if sum(known) <= float(kits_a([case])[0]) * (1 + READ_SHARE):
        return []
    told = (in_unit("a", a) for a in (case.unit.kit_current_a, sum(blowers_rated_a(case))))
    sentence = "The kit's current with everything on is {}; at their rated voltage the blowers alone take {}.".format(
        *told
    )
    return [Gap("kit.kit_current_a", "kit", sentence)]


def missing_for_heat(point: Point) -> tuple[Gap, ...]:
    """As missing_for, of a winter point of a kit that brings a matrix; an electric car has no water to miss."""
    car, state = point.case.car, point.duty.climate.engine_state
    wanted: list[Wanted] = [
        (
            point.case.mounting.blower_voltage_v is None,
            "fitment",
            "blower_voltage_v",
            "voltage at the blower motor",
        ),
        (car.system_voltage_v is None, "powertrain", "system_voltage_v", "system voltage"),
    ]
    if not car.is_electric:
        at = "at hot idle" if state == "idle" else "at cruise"
        flow = f"coolant flow through the heater {at}"
        wanted += [
            (state not in car.coolant_c, "powertrain", f"coolant_c.{state}", f"coolant temperature {at}"),
            (state not in car.coolant_flow_l_min, "powertrain", f"coolant_flow_l_min.{state}", flow),
        ]
    return (*point.case.matrix_gaps, *_gaps(car, wanted))


def _gaps(car: Car, wanted: Iterable[Wanted]) -> tuple[Gap, ...]:
    return tuple(
        Gap(f"{owner}.{name}", car.where.get(owner, owner), f"{car.name}: the {text} is missing.")
        for is_missing, owner, name, text in wanted
        if is_missing
    )


def gaps_of_load(car: Car, missing: Iterable[Missing]) -> tuple[Gap, ...]:
    """What the heat load found missing, each with the place to mend it."""
    return tuple(Gap(m.path, _place(m.path, car), f"{car.name}: {m.sentence}") for m in missing)


def _place(path: str, car: Car) -> str:
    owner = path.split(".")[0]
    return car.where.get(BESIDE_POWERTRAIN.get(owner, owner), owner)


def gap_of_air(point: Point, reason: str) -> Gap:
    """Why no air flow was found at a point."""
    return Gap("airflow", "kit", f"{point.case.car.name}, {point.duty.name}: {reason}")


def not_sized(duty: Duty, gaps: tuple[Gap, ...]) -> DutyAnswer:
    """The answer of a duty point that lacks something."""
    return DutyAnswer(
        code=duty.code,
        name=duty.name,
        kind=duty.kind,
        required=duty.required,
        verdict=VERDICTS[3],
        missing=gaps,
    )
