"""The plant of a resolved kit: fitted models and numbers for the balance, or what is missing for them."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import chain

from kits.bom.joints import DISCHARGE, SUCTION
from kits.bom.resolved import Hose, HoseEnd, ResolvedKit
from kits.sizing.air.air_path import AirPath
from kits.sizing.case.blower_circuits import circuit_loses_more_v
from kits.sizing.case.coil_zones import Shares, shared_out
from kits.sizing.case.plant_air import Outlets, air_path_of, intake_of, outlets_of
from kits.sizing.case.plant_reader import Reader, all_of, once
from kits.sizing.gas.hoses import hose_end_loss
from kits.sizing.machine.compressor import CompressorModel, fit_efficiency
from kits.sizing.machine.condenser import CondenserModel, RatedCondenserPoint, fit_condenser
from kits.sizing.machine.evaporator import EvaporatorModel, RatedCoilPoint, fit_evaporator
from kits.sizing.words.defaults import default_value
from kits.sizing.words.gap import Gap
from vehicles.physics.arrays import Refusal
from vehicles.physics.pressure import absolute_pa


@dataclass(frozen=True)
class Line:
    """A refrigerant hose with its ends."""

    length_m: float
    bore_m: float
    loss_factor: float


@dataclass(frozen=True, kw_only=True)
class RearCoil:
    """The second coil of a plant with its own air side, at a junction with the first.

    line          its suction hose to the junction
    front_line    the front coil's to the junction; None: the front coil stands there
    blower        part number
    blower_steps, blower_currents  as those of Plant
    circuit_loses_more_v  what the rear blower's circuit loses more than the front one's; None: the wires don't tell
    valve_w       what its expansion valve is rated to pass, as cooling; None: not known
    """

    evaporator: EvaporatorModel
    air_path: AirPath
    line: Line
    front_line: Line | None = None
    blower: str = ""
    blower_steps: tuple[tuple[int, float], ...] = ()
    blower_currents: tuple[tuple[int, float], ...] = ()
    circuit_loses_more_v: float | None = None
    valve_w: float | None = None


@dataclass(frozen=True, kw_only=True)
class Plant:
    """Everything of the kit the sizing computes with; with two coils evaporator and air path are the front one's."""

    refrigerant: str
    compressor: CompressorModel
    pulley_mm: float | None
    evaporator: EvaporatorModel
    condenser: CondenserModel
    condenser_face_m2: float
    fan_free_m3_h: float
    air_path: AirPath
    suction: Line
    discharge: Line
    superheat_k: float
    subcooling_k: float
    freeze_mode: str
    freeze_surface_c: float
    high_cut_out_pa: float
    discharge_limit_c: float
    supply_voltage_v: float
    kit_current_a: float
    assumed: tuple[str, ...]
    blower_steps: tuple[tuple[int, float], ...] = ()
    """the switch's steps, the lowest first, each with its share of the plug's voltage; empty: full voltage only"""
    blower_currents: tuple[tuple[int, float], ...] = ()
    """measured current of those steps where there is one"""
    rear: RearCoil | None = None
    valve_w: float | None = None
    """what the expansion valve is rated to pass, as cooling; None: not known"""
    fan_on_pa: float | None = None
    """absolute pressure at the condenser at which its fan starts; None: no switch starts it by pressure"""


def plant_of(kit: ResolvedKit) -> tuple[Plant | None, tuple[Gap, ...]]:
    """The plant, or None with everything that is missing or can't be used, each by its path.

    A kit with two evaporators is shared out by zones first (kits.sizing.case.coil_zones).
    """
    shares, gaps = shared_out(kit)
    if shares is None:
        return None, gaps
    if shares.rear is None:
        return _one_coil(Reader(kit))
    front, front_gaps = _one_coil(Reader(shares.front, f" for the coil in zone “{shares.front_zone}”"))
    rear, rear_gaps = _rear_coil(shares)
    if front is None or rear is None:
        return None, once([*front_gaps, *rear_gaps])
    return replace(front, rear=rear, assumed=(*front.assumed, *_assumed_of(rear, shares))), ()


def _one_coil(read: Reader) -> tuple[Plant | None, tuple[Gap, ...]]:
    numbers = {
        name: read.setting(name)
        for name in (
            "superheat_k",
            "subcooling_k",
            "freeze_cut_out_c",
            "freeze_cut_in_c",
            "high_cut_out_bar_g",
            "discharge_limit_c",
            "supply_voltage_v",
            "kit_current_a",
        )
    }
    for kind in ("compressor", "evaporator", "condenser", "blower"):
        read.points(kind)
    data = {
        (kind, name): read.datum(kind, name)
        for kind, name in (
            ("compressor", "displacement_cc"),
            ("compressor", "speed_min_rpm"),
            ("compressor", "speed_max_rpm"),
            ("evaporator", "rated_airflow_m3_h"),
            ("evaporator", "wet_drop_pa"),
            ("condenser", "face_area_m2"),
            ("blower", "rated_voltage_v"),
            ("blower", "power_w"),
        )
    }
    # several fans blow through the one condenser together
    data["condenser fan", "free_airflow_m3_h"] = read.total("condenser fan", "free_airflow_m3_h")
    for kind in ("compressor", "condenser", "blower"):
        read.only_one(kind)
    lines = {side: _line(read, side) for side in (SUCTION, DISCHARGE)}
    outlets = outlets_of(read)
    if read.gaps:
        return None, once(read.gaps)
    try:
        return _build(read.kit, read, numbers, data, lines, outlets), ()
    except ValueError as error:
        return None, (Gap("plant", "kit", f"The kit's technical data can't be used: {error}"),)


def _rear_coil(shares: Shares) -> tuple[RearCoil | None, tuple[Gap, ...]]:
    """The rear coil, its air side and the lines to the junction, or what is missing for them."""
    read = Reader(shares.rear or shares.front, f" for the coil in zone “{shares.rear_zone}”")
    for kind in ("evaporator", "blower"):
        read.points(kind)
    data = {
        (kind, name): read.datum(kind, name)
        for kind, name in (
            ("evaporator", "rated_airflow_m3_h"),
            ("evaporator", "wet_drop_pa"),
            ("blower", "rated_voltage_v"),
            ("blower", "power_w"),
        )
    }
    read.only_one("blower")
    line, front_line = (
        None if hose is None else _line_of(read, hose, SUCTION)
        for hose in (shares.rear_hose, shares.front_hose)
    )
    outlets = tuple((f"rear {code}", duct, vent) for code, duct, vent in outlets_of(read))
    if read.gaps or line is None:
        return None, once(read.gaps)
    try:
        path = air_path_of(read, data, outlets, intake_of(read)[0])
        more_v = circuit_loses_more_v(shares.front.wires)
        blower = read.part("blower")[0]
        steps, currents = blower_steps_of(read)
        return RearCoil(
            evaporator=_evaporator(read), air_path=path, line=line, front_line=front_line, blower=blower,
            blower_steps=steps, blower_currents=currents, circuit_loses_more_v=more_v, valve_w=_valve_w(read),
        ), ()  # fmt: skip
    except ValueError as error:
        return None, (Gap("plant.rear", "kit", f"The rear coil's technical data can't be used: {error}"),)


def _assumed_of(rear: RearCoil, shares: Shares) -> tuple[str, ...]:
    """What the sizing takes for granted of a rear coil, in sentences."""
    zone = shares.rear_zone
    told = [
        f"rear coil (zone “{zone}”): recirculates, all outside air comes through the front one",
        _voltage_words(rear),
        "rear blower: stands at the step of the same number as the front one",
    ]
    if rear.front_line is None:
        told.append("front coil: stands at the junction of both suction hoses")
    intake = rear.air_path.intake
    told.append(
        f"rear coil's intake: {intake.rated_pa:g} Pa at {intake.rated_m3_h:g} m³/h, as the front one's default"
    )
    return (*told, *(f"rear coil: {words}" for words in rear.evaporator.assumed))


def _voltage_words(rear: RearCoil) -> str:
    more_v = rear.circuit_loses_more_v
    if more_v is None:
        return "rear blower: the same voltage at its plug as the front one, as the wires do not tell both circuits"
    word = "more" if more_v >= 0 else "less"
    return (
        f"rear blower: its circuit loses {abs(more_v):.2f} V {word} than the front one's, by the kit's wires"
    )


def vent_parts(kit: ResolvedKit) -> Iterator[tuple[str, str]]:
    """Code of each outlet, as the air path numbers them, and the part number of its vent."""
    shares, _ = shared_out(kit)
    if shares is None or shares.rear is None:
        return _numbered(kit, "")
    return chain(_numbered(shares.front, ""), _numbered(shares.rear, "rear "))


def _numbered(kit: ResolvedKit, before: str) -> Iterator[tuple[str, str]]:
    return ((f"{before}{i}", number) for i, (number, _) in enumerate(all_of(kit, "vent"), 1))


def _line(read: Reader, side: str) -> Line | None:
    hoses = [h for h in read.kit.hoses if h.side == side]
    if not hoses:
        sentence = f"{read.kit.variant_name} gets no {side} hose (a hose run with ports of role “{side}” at both ends)."
        read.gaps.append(Gap(f"hose.{side}", "kit", sentence))
        return None
    return _line_of(read, hoses[0], side)


def _line_of(read: Reader, hose: Hose, side: str) -> Line | None:
    if hose.cut_mm is None:
        sentence = f"The {side} hose has no length: route {hose.route} is not measured."
        read.gaps.append(Gap(f"length.{hose.route}", f"length:{hose.route}", sentence))
        return None
    if hose.bore_mm is None:
        read.gaps.append(
            Gap(f"part.{hose.hose}.bore_mm", f"part:{hose.hose}", f"Hose {hose.hose} has no bore.")
        )
        return None
    ends = sum(_end_loss(end) for end in (hose.end_a, hose.end_b))
    return Line(hose.cut_mm / 1000, hose.bore_mm / 1000, ends)


def _end_loss(end: HoseEnd) -> float:
    """What the end's own data say, else by its angle."""
    if end.loss_factor is not None:
        return float(end.loss_factor)
    straight, bend = default_value("hose_end_loss"), default_value("hose_end_bend_loss")
    return float(hose_end_loss(end.angle_deg, straight, bend))


def _ends_words(kit: ResolvedKit) -> tuple[str, ...]:
    """What is taken for hose ends whose loss nobody states; nothing where all are stated."""
    if all(end.loss_factor is not None for hose in kit.hoses for end in (hose.end_a, hose.end_b)):
        return ()
    straight, bend = default_value("hose_end_loss"), default_value("hose_end_bend_loss")
    words = (
        f"hose ends without a loss of their own: each loses {straight:g} velocity heads, and {bend:g} more for a bend "
        "of 90° (hose_end_loss, hose_end_bend_loss)"
    )
    return (words,)


def _build(
    kit: ResolvedKit,
    read: Reader,
    numbers: Mapping[str, float],
    data: Mapping[tuple[str, str], float],
    lines: Mapping[str, Line | None],
    outlets: Outlets,
) -> Plant:
    suction, discharge = lines[SUCTION], lines[DISCHARGE]
    if suction is None or discharge is None:
        raise Refusal("a hose is missing.")
    rated = read.points("compressor")
    columns = {name: [p[name] for p in rated] for name in rated[0]}
    fits = [
        fit_efficiency(columns["pressure_ratio"], columns["speed_rpm"], columns[name])
        for name in ("volumetric_effectiveness", "isentropic_effectiveness")
    ]
    compressor_data = read.part("compressor")[1]
    compressor = CompressorModel(
        data["compressor", "displacement_cc"],
        data["compressor", "speed_min_rpm"],
        data["compressor", "speed_max_rpm"],
        fits[0],
        fits[1],
        bool(compressor_data.get("electric")),
    )
    evaporator = _evaporator(read)
    condenser = fit_condenser(
        [
            RatedCondenserPoint(p["airflow_m3_h"], p["air_in_c"], p["condensing_c"], p["heat_w"])
            for p in read.points("condenser")
        ]
    )
    pulley = compressor_data.get("pulley_mm")
    intake, intake_words = intake_of(read)
    blower_steps, blower_currents = blower_steps_of(read)
    return Plant(
        refrigerant=str(kit.settings["refrigerant"]),
        compressor=compressor,
        pulley_mm=float(pulley) if pulley else None,
        evaporator=evaporator,
        condenser=condenser,
        condenser_face_m2=data["condenser", "face_area_m2"],
        fan_free_m3_h=data["condenser fan", "free_airflow_m3_h"],
        air_path=air_path_of(read, data, outlets, intake),
        suction=suction,
        discharge=discharge,
        superheat_k=numbers["superheat_k"],
        subcooling_k=numbers["subcooling_k"],
        freeze_mode=str(kit.settings["freeze_mode"]),
        freeze_surface_c=(numbers["freeze_cut_out_c"] + numbers["freeze_cut_in_c"]) / 2,
        high_cut_out_pa=absolute_pa(numbers["high_cut_out_bar_g"]),
        discharge_limit_c=numbers["discharge_limit_c"],
        supply_voltage_v=numbers["supply_voltage_v"],
        kit_current_a=numbers["kit_current_a"],
        assumed=(*evaporator.assumed, *condenser.assumed, intake_words, *_ends_words(kit)),
        blower_steps=blower_steps,
        blower_currents=blower_currents,
        valve_w=_valve_w(read),
        fan_on_pa=_fan_on_pa(read.kit),
    )


def _fan_on_pa(kit: ResolvedKit) -> float | None:
    fan_on_bar_g = kit.settings.get("fan_on_bar_g")
    return None if fan_on_bar_g is None else absolute_pa(float(fan_on_bar_g))


def _valve_w(read: Reader) -> float | None:
    held = read.kit.plant.get("expansion valve")
    nominal_w = held.data.get("nominal_capacity_w") if held else None
    return float(nominal_w) if nominal_w else None


def blower_steps_of(read: Reader) -> tuple[tuple[tuple[int, float], ...], tuple[tuple[int, float], ...]]:
    """The steps of the blower's switch, each with its share of the voltage, and their currents where measured."""
    steps = read.part("blower")[1].get("steps") or ()
    return (
        tuple((int(step), float(share)) for step, share, _ in steps),
        tuple((int(step), float(current)) for step, _, current in steps if current),
    )


@lru_cache(maxsize=64)
def _fitted_coil(points: tuple[RatedCoilPoint, ...]) -> EvaporatorModel:
    """One fit serves all fitments with the coil."""
    return fit_evaporator(points)


def _evaporator(read: Reader) -> EvaporatorModel:
    points = tuple(
        RatedCoilPoint(
            p["airflow_m3_h"],
            p["air_in_c"],
            p["relative_humidity"],
            p["evaporating_c"],
            p["total_w"],
            p["sensible_w"],
        )
        for p in read.points("evaporator")
    )
    try:
        return _fitted_coil(points)
    except ValueError as refusal:
        raise Refusal(f"evaporator {read.part('evaporator')[0]}: {refusal}") from refusal
