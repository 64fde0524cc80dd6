"""The plant of a resolved kit: fitted models and numbers for the balance, or what is missing for them."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import chain
from typing import Any

from kits.bom.resolved import Hose, ResolvedKit
from kits.sizing.air_path import AirPath, Outlet, Resistance, TrialPoint
from kits.sizing.airflow import calibrate
from kits.sizing.blower import BlowerData
from kits.sizing.coil_zones import Shares, shared_out
from kits.sizing.compressor import CompressorModel, fit_efficiency
from kits.sizing.condenser import CondenserModel, RatedCondenserPoint, fit_condenser
from kits.sizing.defaults import default_value
from kits.sizing.evaporator import EvaporatorModel, RatedCoilPoint, fit_evaporator
from kits.sizing.record import Gap

ATMOSPHERE_PA = 101325.0
INTAKE = "intake"
"""How the sentence begins that says what was assumed for the intake."""


@dataclass(frozen=True)
class Line:
    """A refrigerant hose with its ends."""

    length_m: float
    bore_m: float
    loss_factor: float


@dataclass(frozen=True)
class RearCoil:
    """The second coil of a plant with its own air side, at a junction with the first.

    line        its suction hose to the junction
    front_line  the front coil's to the junction; None: the front coil stands there
    """

    evaporator: EvaporatorModel
    air_path: AirPath
    line: Line
    front_line: Line | None = None


@dataclass(frozen=True)
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


class _Reader:
    """Reads numbers out of the resolved kit and notes what is not there.

    place  behind what is missing, where that is one of two coils
    """

    def __init__(self, kit: ResolvedKit, place: str = "") -> None:
        self.kit, self.place = kit, place
        self.gaps: list[Gap] = []

    def setting(self, name: str) -> float:
        """A number of the kit itself."""
        value = self.kit.settings.get(name)
        if value is None:
            label = name.replace("_", " ")
            self.gaps.append(Gap(f"kit.{name}", "kit", f"The kit {self.kit.kit_name} has no {label}."))
            return float("nan")
        return float(value)

    def part(self, kind: str) -> tuple[str, Mapping[str, Any], tuple[Mapping[str, float], ...]]:
        """Technical data of the one part of a kind."""
        found = self.kit.plant.get(kind)
        if found is None:
            article = "an" if kind[0] in "aeiou" else "a"
            sentence = f"{self.kit.variant_name} gets no part that is {article} {kind} with technical data{self.place}."
            self.gaps.append(Gap(f"plant.{kind}", "kit", sentence))
            return "", {}, ()
        return found[0], found[1], found[2]

    def datum(self, kind: str, name: str) -> float:
        """A number of a part's technical data."""
        number, data, _ = self.part(kind)
        value = data.get(name)
        if number and value is None:
            label = name.replace("_", " ")
            self.gaps.append(
                Gap(f"part.{number}.{name}", f"part:{number}", f"Part {number} ({kind}) has no {label}.")
            )
        return float("nan") if value is None else float(value)

    def points(self, kind: str) -> tuple[Mapping[str, float], ...]:
        """Rated points of a part."""
        number, _, points = self.part(kind)
        if number and not points:
            sentence = f"Part {number} ({kind}) has no rated points."
            self.gaps.append(Gap(f"part.{number}.points", f"part:{number}", sentence))
        return points


def plant_of(kit: ResolvedKit) -> tuple[Plant | None, tuple[Gap, ...]]:
    """The plant, or None with everything that is missing or can't be used, each by its path.

    A kit with two evaporators is shared out by zones first (kits.sizing.coil_zones).
    """
    shares, gaps = shared_out(kit)
    if shares is None:
        return None, gaps
    if shares.rear is None:
        return _one_coil(_Reader(kit))
    front, front_gaps = _one_coil(_Reader(shares.front, f" for the coil in zone “{shares.front_zone}”"))
    rear, rear_gaps = _rear_coil(shares)
    if front is None or rear is None:
        return None, _once([*front_gaps, *rear_gaps])
    return replace(front, rear=rear, assumed=(*front.assumed, *_assumed_of(rear, shares))), ()


def _one_coil(read: _Reader) -> tuple[Plant | None, tuple[Gap, ...]]:
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
            ("condenser fan", "free_airflow_m3_h"),
            ("blower", "rated_voltage_v"),
            ("blower", "power_w"),
        )
    }
    lines = {side: _line(read, side) for side in ("suction", "discharge")}
    outlets = _outlets(read)
    if read.gaps:
        return None, _once(read.gaps)
    try:
        return _build(read.kit, read, numbers, data, lines, outlets), ()
    except ValueError as error:
        return None, (Gap("plant", "kit", f"The kit's technical data can't be used: {error}"),)


def _rear_coil(shares: Shares) -> tuple[RearCoil | None, tuple[Gap, ...]]:
    """The rear coil, its air side and the lines to the junction, or what is missing for them."""
    read = _Reader(shares.rear or shares.front, f" for the coil in zone “{shares.rear_zone}”")
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
    line, front_line = (
        None if hose is None else _line_of(read, hose, "suction")
        for hose in (shares.rear_hose, shares.front_hose)
    )
    outlets = tuple((f"rear {code}", duct, vent) for code, duct, vent in _outlets(read))
    if read.gaps or line is None:
        return None, _once(read.gaps)
    try:
        path = _air_path(read, data, outlets, _intake(read)[0])
        return RearCoil(_evaporator(read), path, line, front_line), ()
    except ValueError as error:
        return None, (Gap("plant.rear", "kit", f"The rear coil's technical data can't be used: {error}"),)


def _assumed_of(rear: RearCoil, shares: Shares) -> tuple[str, ...]:
    """What the sizing takes for granted of a rear coil, in sentences."""
    zone = shares.rear_zone
    told = [
        f"rear coil (zone “{zone}”): recirculates, all outside air comes through the front one",
        "rear blower: the same voltage at its plug and the same step as the front one",
    ]
    if rear.front_line is None:
        told.append("front coil: stands at the junction of both suction hoses")
    intake = rear.air_path.intake
    told.append(
        f"rear coil's intake: {intake.rated_pa:g} Pa at {intake.rated_m3_h:g} m³/h, as the front one's default"
    )
    return (*told, *(f"rear coil: {words}" for words in rear.evaporator.assumed))


def with_trial(plant: Plant, trial: TrialPoint | None) -> Plant:
    """The plant with its air side as a trial found it; unchanged without a trial, or where it can't be used.

    Why a trial can't be used is told by the topic of the air side.
    """
    if trial is None:
        return plant
    try:
        path = calibrate(plant.air_path, trial)
    except ValueError:
        return plant
    if path.calibration is None:
        return plant
    words = (
        f", with all losses of the air side × {path.calibration.system_factor:.2f} as calibrated by a trial"
    )
    assumed = tuple(f"{one}{words}" if one.startswith(INTAKE) else one for one in plant.assumed)
    return replace(plant, air_path=path, assumed=assumed)


def vent_parts(kit: ResolvedKit) -> Iterator[tuple[str, str]]:
    """Code of each outlet, as the air path numbers them, and the part number of its vent."""
    shares, _ = shared_out(kit)
    if shares is None or shares.rear is None:
        return _numbered(kit, "")
    return chain(_numbered(shares.front, ""), _numbered(shares.rear, "rear "))


def _numbered(kit: ResolvedKit, before: str) -> Iterator[tuple[str, str]]:
    return ((f"{before}{i}", number) for i, (number, _) in enumerate(_all_of(kit, "vent"), 1))


def _all_of(kit: ResolvedKit, kind: str) -> list[tuple[str, Mapping[str, Any]]]:
    """Number and data of each part of a kind, as often as the car gets it."""
    found = []
    for key, (number, data, _, quantity) in kit.plant.items():
        if key == kind or key.startswith(f"{kind}/"):
            found.extend([(number, data)] * int(quantity))
    return found


def _once(gaps: list[Gap]) -> tuple[Gap, ...]:
    return tuple(dict.fromkeys(gaps))


def _line(read: _Reader, side: str) -> Line | None:
    hoses = [h for h in read.kit.hoses if side in h.name.lower()]
    if not hoses:
        sentence = (
            f"{read.kit.variant_name} gets no {side} hose (a hose run whose position's name says “{side}”)."
        )
        read.gaps.append(Gap(f"hose.{side}", "kit", sentence))
        return None
    return _line_of(read, hoses[0], side)


def _line_of(read: _Reader, hose: Hose, side: str) -> Line | None:
    if hose.cut_mm is None:
        sentence = f"The {side} hose has no length: route {hose.route} is not measured."
        read.gaps.append(Gap(f"length.{hose.route}", f"length:{hose.route}", sentence))
        return None
    if hose.bore_mm is None:
        read.gaps.append(
            Gap(f"part.{hose.hose}.bore_mm", f"part:{hose.hose}", f"Hose {hose.hose} has no bore.")
        )
        return None
    # a bend of 90 degrees costs about as much as the straight end's contraction once more
    ends = sum(0.5 + abs(end.angle_deg) / 90 * 0.5 for end in (hose.end_a, hose.end_b))
    return Line(hose.cut_mm / 1000, hose.bore_mm / 1000, ends)


def _outlets(read: _Reader) -> tuple[tuple[str, Mapping[str, Any], Mapping[str, Any]], ...]:
    """Ducts paired with vents in the order of the parts list; each duct feeds one vent."""
    ducts, vents = _all_of(read.kit, "duct"), _all_of(read.kit, "vent")
    if not vents or len(ducts) != len(vents):
        sentence = (
            f"{read.kit.variant_name} gets {len(ducts)} ducts and {len(vents)} vents{read.place}: "
            "each vent needs a duct."
        )
        read.gaps.append(Gap("plant.vent", "kit", sentence))
        return ()
    for number, data in (*ducts, *vents):
        for name in ("diameter_mm", "length_m", "free_area_cm2"):
            if name in data and data[name] is None:
                label = name.replace("_", " ")
                read.gaps.append(
                    Gap(f"part.{number}.{name}", f"part:{number}", f"Part {number} has no {label}.")
                )
    return tuple(
        (f"{i}", duct[1], vent[1]) for i, (duct, vent) in enumerate(zip(ducts, vents, strict=True), 1)
    )


def _build(
    kit: ResolvedKit,
    read: _Reader,
    numbers: Mapping[str, float],
    data: Mapping[tuple[str, str], float],
    lines: Mapping[str, Line | None],
    outlets: tuple[tuple[str, Mapping[str, Any], Mapping[str, Any]], ...],
) -> Plant:
    suction, discharge = lines["suction"], lines["discharge"]
    if suction is None or discharge is None:
        raise ValueError("a hose is missing.")
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
    intake, intake_words = _intake(read)
    steps = read.part("blower")[1].get("steps") or ()
    return Plant(
        refrigerant=str(kit.settings["refrigerant"]),
        compressor=compressor,
        pulley_mm=float(pulley) if pulley else None,
        evaporator=evaporator,
        condenser=condenser,
        condenser_face_m2=data["condenser", "face_area_m2"],
        fan_free_m3_h=data["condenser fan", "free_airflow_m3_h"],
        air_path=_air_path(read, data, outlets, intake),
        suction=suction,
        discharge=discharge,
        superheat_k=numbers["superheat_k"],
        subcooling_k=numbers["subcooling_k"],
        freeze_mode=str(kit.settings["freeze_mode"]),
        freeze_surface_c=(numbers["freeze_cut_out_c"] + numbers["freeze_cut_in_c"]) / 2,
        high_cut_out_pa=numbers["high_cut_out_bar_g"] * 1e5 + ATMOSPHERE_PA,
        discharge_limit_c=numbers["discharge_limit_c"],
        supply_voltage_v=numbers["supply_voltage_v"],
        kit_current_a=numbers["kit_current_a"],
        assumed=(*evaporator.assumed, *condenser.assumed, intake_words),
        blower_steps=tuple((int(step), float(share)) for step, share, _ in steps),
        blower_currents=tuple((int(step), float(current)) for step, _, current in steps if current),
    )


def _evaporator(read: _Reader) -> EvaporatorModel:
    return fit_evaporator(
        [
            RatedCoilPoint(
                p["airflow_m3_h"],
                p["air_in_c"],
                p["relative_humidity"],
                p["evaporating_c"],
                p["total_w"],
                p["sensible_w"],
            )
            for p in read.points("evaporator")
        ]
    )


def _resistance(read: _Reader, kind: str, name: str) -> Resistance | None:
    """A pressure drop of the kit's part of a kind; None when the car gets none, or its data don't say."""
    held = read.kit.plant.get(kind)
    if held is None:
        return None
    drop, at = held[1].get(name), held[1].get("rated_airflow_m3_h")
    return None if drop is None or at is None else Resistance(float(drop), float(at), 2.0)


def _intake(read: _Reader) -> tuple[Resistance, str]:
    """What the air loses before the kit's own parts, and what was assumed for it in a sentence."""
    at = default_value("intake_loss_at_m3_h")
    own_filter = _resistance(read, "filter", "clean_drop_pa")
    what, key = (
        ("grille and filter", "intake_loss_pa") if own_filter is None else ("grille", "intake_grille_loss_pa")
    )
    loss = default_value(key)
    return Resistance(loss, at, 2.0), f"{INTAKE} {what}: {loss:g} Pa at {at:g} m³/h ({key})"


def _air_path(
    read: _Reader,
    data: Mapping[tuple[str, str], float],
    outlets: tuple[tuple[str, Mapping[str, Any], Mapping[str, Any]], ...],
    intake: Resistance,
) -> AirPath:
    curve = tuple((p["airflow_m3_h"], p["static_pa"]) for p in read.points("blower"))
    current = data["blower", "power_w"] / data["blower", "rated_voltage_v"]
    blower = BlowerData(
        curve,
        data["blower", "rated_voltage_v"],
        tuple((flow, current) for flow, _ in curve),
        step_by_resistor=bool(read.part("blower")[1].get("step_by_resistor", True)),
    )
    return AirPath(
        blower,
        intake,
        Resistance(
            data["evaporator", "wet_drop_pa"],
            data["evaporator", "rated_airflow_m3_h"],
            float(read.part("evaporator")[1].get("drop_exponent") or 1.8),
        ),
        tuple(
            Outlet(
                code,
                duct["diameter_mm"],
                duct["length_m"],
                duct["roughness_mm"],
                duct["minor_loss_factor"],
                100 * duct["compression_share"],
                vent["free_area_cm2"],
                vent["loss_factor"],
            )
            for code, duct, vent in outlets
        ),
        coil_is_before_blower=False,
        filter=_resistance(read, "filter", "clean_drop_pa"),
        clogged_filter=_resistance(read, "filter", "clogged_drop_pa"),
        matrix=_resistance(read, "heater matrix", "air_drop_pa"),
    )
