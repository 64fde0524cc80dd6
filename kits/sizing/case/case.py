"""What is sized: one car with one plant at one duty point, as plain values."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from kits.sizing.air.air_path import TrialPoint
from kits.sizing.case.heater import Heater
from kits.sizing.case.plant import Plant
from kits.sizing.heat.heating import MatrixModel
from kits.sizing.words.gap import Gap
from vehicles.climate.duty_kinds import DutyKind, duty_kind
from vehicles.heatload.inputs import CabinData, ClimateState, EngineTemperatures
from vehicles.physics.origin import Origin


@dataclass(frozen=True, kw_only=True)
class PulleyAt:
    """A pulley of the belt drive, seen from the front of the engine."""

    code: str
    x_mm: float
    y_mm: float
    diameter_mm: float
    groove: str
    order: int | None
    plane_mm: float | None
    side: str
    drives: str = ""
    """what it sits on; empty where nobody has said so"""


@dataclass(frozen=True)
class CarLoad:
    """A consumer the car has without the kit, and when it is on."""

    name: str
    current_a: float
    by_day: bool
    by_night: bool
    in_rain: bool
    origin: Origin | None = None


@dataclass(frozen=True, kw_only=True)
class Car:
    """The car's side."""

    name: str
    cabin: CabinData
    engine: EngineTemperatures
    is_electric: bool
    hot_idle_rpm: float | None
    engine_rpm_per_km_h: float | None
    crank_pulley_mm: float | None
    system_voltage_v: float | None
    positive_earth: bool
    charging_curve: tuple[tuple[float, float], ...]
    base_load_a: float | None
    battery_ah: float | None
    coolant_c: Mapping[str, float]
    coolant_limit_c: float | None
    duct_gain_w_k: float | None
    matrix_leak_w: float | None
    where: Mapping[str, str]
    """where to mend: "cabin", "powertrain", "fitment" -> reference"""
    pulleys: tuple[PulleyAt, ...] = ()
    loads: tuple[CarLoad, ...] = ()
    coolant_flow_l_min: Mapping[str, float] = field(default_factory=dict)
    """by state of the engine"""
    generator_kind: str = "alternator"
    high_voltage_v: float | None = None
    origins: Mapping[str, Origin] = field(default_factory=dict)
    """of the rows "cabin" and "powertrain" """


@dataclass(frozen=True, kw_only=True)
class Mounting:
    """How the kit sits in the car."""

    ram_share: float | None
    fan_installed_share: float | None
    air_on_rise_idle_k: float | None
    air_on_rise_cruise_k: float | None
    suction_gain_k: float | None
    blower_voltage_v: float | None
    calibrated: bool
    air_trial: TrialPoint | None = None
    """the trial that calibrates the air side"""
    air_trial_origin: str = ""
    condenser_place: str = ""
    """nose, underfloor, inside rear lid; empty where that is not known"""


@dataclass(frozen=True, kw_only=True)
class Duty:
    """A duty point."""

    code: str
    name: str
    kind: str
    required: bool
    climate: ClimateState
    engine_state: str
    engine_rpm: float | None
    blower_share: float

    @property
    def of_kind(self) -> DutyKind:
        """What is particular to duty points of its kind."""
        return duty_kind(self.kind)


@dataclass(frozen=True, kw_only=True)
class Case:
    """A fitment to be sized: car, mounting, what the kit brings, duty points.

    unit         the plant that cools, or the heater of a kit that heats only; both have the kit's air side
    matrix       None: the car gets none, or it can't be used
    matrix_gaps  what is missing of the matrix that it gets; empty where it gets none
    supply_read_v  of a case with a change made to it: the supply that belongs to the volts at the blowers' plugs, since
                   no change alters what the wires lose: that of the car as it stands, on which they were read, or with
                   another charging the one that they follow; None: it is this car's own
    """

    key: tuple[str, str, str]
    car: Car
    mounting: Mounting
    unit: Plant | Heater
    duties: tuple[Duty, ...]
    reserve_share: float
    matrix: MatrixModel | None = None
    matrix_gaps: tuple[Gap, ...] = ()
    supply_read_v: float | None = None

    @property
    def plant(self) -> Plant:
        """The plant that cools; ValueError for a kit that heats only (see heats_only)."""
        if isinstance(self.unit, Heater):
            raise ValueError("This kit heats only: it has no plant that cools.")
        return self.unit

    @property
    def own_duties(self) -> tuple[Duty, ...]:
        """The duty points at which the unit runs: those for cooling, or the winter ones of a kit that heats only."""
        return tuple(duty for duty in self.duties if duty.climate.is_heating == self.heats_only)

    @property
    def brings_heat(self) -> bool:
        """Whether the kit brings a matrix; else heating stays the car's own, and is not judged."""
        return self.matrix is not None or bool(self.matrix_gaps)

    @property
    def heats_only(self) -> bool:
        """Whether the kit cools nothing."""
        return isinstance(self.unit, Heater)


@dataclass(frozen=True)
class Point:
    """One case at one of its duty points."""

    case: Case
    duty: Duty

    def engine_rpm(self) -> float | None:
        """Engine speed at the duty point; None when what it follows from is missing."""
        car, duty = self.case.car, self.duty
        if duty.engine_state == "idle":
            return car.hot_idle_rpm
        if duty.engine_state == "fixed":
            return duty.engine_rpm
        speed = duty.climate.road_speed_km_h
        return None if car.engine_rpm_per_km_h is None or speed is None else car.engine_rpm_per_km_h * speed

    def compressor_rpm(self) -> float | None:
        """Compressor speed: by belt from the engine, or an electric compressor's highest."""
        plant, car = self.case.plant, self.case.car
        if plant.compressor.electric:
            return plant.compressor.speed_max_rpm
        engine = self.engine_rpm()
        if engine is None or car.crank_pulley_mm is None or plant.pulley_mm is None:
            return None
        return engine * car.crank_pulley_mm / plant.pulley_mm
