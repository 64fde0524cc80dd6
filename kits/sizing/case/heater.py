"""The heater of a resolved kit: its matrix and the air through it, or what is missing for it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from kits.bom.resolved import PlantPart, ResolvedKit
from kits.sizing.air.air_path import AirPath, TrialPoint
from kits.sizing.air.airflow import calibrate
from kits.sizing.case.plant import Plant, blower_steps_of, plant_of
from kits.sizing.case.plant_air import INTAKE, air_path_of, intake_of, outlets_of
from kits.sizing.case.plant_reader import Reader, once
from kits.sizing.heat.heating import MatrixModel, RatedMatrixPoint, fit_matrix
from kits.sizing.words.gap import Gap

MATRIX = "heater matrix"


@dataclass(frozen=True)
class Heater:
    """The air side of a kit that heats only; its names are those of a plant that cools."""

    air_path: AirPath
    supply_voltage_v: float
    kit_current_a: float
    assumed: tuple[str, ...] = ()
    blower_steps: tuple[tuple[int, float], ...] = ()
    blower_currents: tuple[tuple[int, float], ...] = ()


def unit_of(kit: ResolvedKit) -> tuple[Plant | Heater | None, tuple[Gap, ...]]:
    """What a kit cools with, or heats with where it heats only; None with what is missing for it."""
    return heater_of(kit) if kit.heats_only else plant_of(kit)


def with_trial(unit: Plant | Heater, trial: TrialPoint | None) -> Plant | Heater:
    """The plant or heater with its air side as a trial found it; unchanged without a trial, or where it can't be used.

    Why a trial can't be used is told by the topic of the air side.
    """
    if trial is None:
        return unit
    try:
        path = calibrate(unit.air_path, trial)
    except ValueError:
        return unit
    if path.calibration is None:
        return unit
    words = (
        f", with all losses of the air side × {path.calibration.system_factor:.2f} as calibrated by a trial"
    )
    assumed = tuple(f"{one}{words}" if one.startswith(INTAKE) else one for one in unit.assumed)
    return replace(unit, air_path=path, assumed=assumed)


def heater_of(kit: ResolvedKit) -> tuple[Heater | None, tuple[Gap, ...]]:
    """The heater of a kit that heats only, or None with what is missing or can't be used, each by its path."""
    read = Reader(kit)
    volts, current = read.setting("supply_voltage_v"), read.setting("kit_current_a")
    read.points("blower")
    read.points(MATRIX)
    data: Mapping[tuple[str, str], float] = {
        ("blower", name): read.datum("blower", name) for name in ("rated_voltage_v", "power_w")
    }
    for kind in ("blower", MATRIX):
        read.only_one(kind)
    outlets = outlets_of(read)
    if read.gaps:
        return None, once(read.gaps)
    intake, intake_words = intake_of(read)
    try:
        path = air_path_of(read, data, outlets, intake)
    except ValueError as error:
        return None, (Gap("plant", "kit", f"The kit's technical data can't be used: {error}"),)
    return Heater(path, volts, current, (intake_words,), *blower_steps_of(read)), ()


def matrix_or_gaps(kit: ResolvedKit) -> tuple[MatrixModel | None, tuple[Gap, ...]]:
    """The matrix of a kit; None where the car gets none, or with what is missing of the one that it gets."""
    if MATRIX not in kit.plant:
        return None, ()
    read = Reader(kit)
    read.points(MATRIX)
    if read.gaps:
        return None, once(read.gaps)
    try:
        return matrix_of(kit.plant), ()
    except ValueError as error:
        number = kit.plant[MATRIX].part
        sentence = f"The matrix {number} can't be used: {error}"
        return None, (Gap(f"part.{number}.points", f"part:{number}", sentence),)


def matrix_of(plant: Mapping[str, PlantPart]) -> MatrixModel | None:
    """The heater matrix of a resolved kit; None when it has none with rated points, Refusal when unusable."""
    held = plant.get(MATRIX)
    if held is None or not held.points:
        return None
    names = ("airflow_m3_h", "coolant_flow_l_min", "air_in_c", "water_in_c", "heat_w")
    return _fitted(tuple(RatedMatrixPoint(*(float(p[name]) for name in names)) for p in held.points))


@lru_cache(maxsize=64)
def _fitted(points: tuple[RatedMatrixPoint, ...]) -> MatrixModel:
    """One fit serves all fitments with the matrix."""
    return fit_matrix(points)
