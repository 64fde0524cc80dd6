"""The answer of the sizing: what screens, sheets and exports are drawn from, stored as its canonical text has it.

Nothing that reads a record computes anything from it but its text; only what `kits/topics` works out goes on from it.
"""

from collections.abc import Mapping
from dataclasses import KW_ONLY, dataclass, field

from kits.bom.resolved import Finding
from kits.sizing.words.gap import Gap
from vehicles.climate.duty_kinds import DutyKind, duty_kind
from vehicles.physics.canonical import calculated, stored_of, value_from

VERDICTS = ("strong enough", "marginal", "not enough", "not sized")
LIMIT_WORDS = {
    "freeze": "the freeze control",
    "compressor": "the compressor",
    "coil air": "the air over the coil",
    "condenser": "the condenser",
    "heater matrix": "the heater matrix",
}
"""What holds a plant's capacity back, or a heater's, in words."""
SCHEMA = 3
"""Of the stored record: raised when a field comes, goes or means something else."""
METHOD = 1
"""Of the calculation: raised when answers move that were worked out from the same data. It stands in every answer; one
of another schema or METHOD is out of date and worked out anew, never converted."""


@dataclass(frozen=True)
class Criterion:
    """One criterion of a duty point: what was asked, what came out, whether it holds."""

    code: str
    sentence: str
    is_met: bool
    in_reserve: bool = False
    """met, but inside the reserve"""


@dataclass(frozen=True, kw_only=True)
class CoilAnswer:
    """One of two coils at a solved duty point; each number as that of DutyAnswer with its name.

    suction_loss_k  from the coil to the compressor; branch_loss_k the part of it up to the junction
    blower_v        at the blower's plug at full speed; blower_share the share of it at the duty point's step
    """

    place: str
    """front or rear"""
    airflow_m3_h: float
    vent_velocity_m_s: Mapping[str, float]
    coil_air_kg_s: float
    air_in_c: float
    air_in_kg_kg: float
    air_off_c: float
    air_off_kg_kg: float
    vent_c: float
    surface_c: float
    evaporating_c: float
    bypass_factor: float
    capacity_w: float
    capacity_sensible_w: float
    flow_g_s: float
    condensate_kg_h: float
    suction_loss_k: float | None = None
    branch_loss_k: float | None = None
    blower_v: float | None = None
    blower_share: float | None = None


@dataclass(frozen=True, kw_only=True)
class DutyAnswer:
    """The answer for one duty point. Numbers are None where the point could not be solved.

    At a winter point the load is the heat that the cabin loses and the capacity what the matrix gives; the air in is
    that at the matrix. With two coils heats, flows and water are sums, the coil's air is the mix of both, and fins and
    evaporating temperature are those of the colder coil.
    """

    code: str
    name: str
    kind: str
    required: bool
    verdict: str
    criteria: tuple[Criterion, ...] = ()
    missing: tuple[Gap, ...] = ()
    status: str = ""
    limit: str = ""
    target_c: float | None = None
    judged_at_c: float | None = None
    cabin_humidity_share: float | None = None
    sensible_w_by_term: Mapping[str, float] = field(default_factory=dict)
    latent_w_by_term: Mapping[str, float] = field(default_factory=dict)
    load_w: float | None = None
    load_sensible_w: float | None = None
    capacity_w: float | None = None
    capacity_sensible_w: float | None = None
    margin_share: float | None = None
    """the smaller of the total and the sensible margin; None where none is judged (idle)"""
    holds_c: float | None = None
    holds_humidity_share: float | None = None
    air_in_c: float | None = None
    air_off_c: float | None = None
    vent_c: float | None = None
    airflow_m3_h: float | None = None
    vent_velocity_m_s: Mapping[str, float] = field(default_factory=dict)
    evaporating_c: float | None = None
    condensing_c: float | None = None
    low_side_bar_g: float | None = None
    high_side_bar_g: float | None = None
    discharge_c: float | None = None
    flow_g_s: float | None = None
    power_w: float | None = None
    torque_nm: float | None = None
    compressor_rpm: float | None = None
    duty_share: float | None = None
    condensate_kg_h: float | None = None
    suction_loss_k: float | None = None
    condenser_air_c: float | None = None
    battery_v: float | None = None
    coolant_c: float | None = None
    surface_c: float | None = None
    """of the coil's fins"""
    bypass_factor: float | None = None
    air_in_kg_kg: float | None = None
    air_off_kg_kg: float | None = None
    coil_air_kg_s: float | None = None
    discharge_bar_g: float | None = None
    heat_rejected_w: float | None = None
    cop: float | None = None
    coils: tuple[CoilAnswer, ...] = ()
    """each coil where there are two, the front one first"""
    vent_judged_c: float | None = None
    """at idle the air at the vents that is judged: where the target is not held, with the cabin as warm as it gets"""
    engaged_bar_g: float | None = None
    """head to which a cycling plant would settle with the clutch engaged, at most; the high side is the mean"""

    pull_down_c: float | None = None
    """the soaked cabin after the minutes that are asked, where a pull-down is judged"""
    blower_v: float | None = None
    """at the blower's plug at full speed, at idle as the battery leaves it; of two that of the front one"""
    blower_share: float | None = None
    """of the plug's voltage at the duty point's step"""

    @property
    def of_kind(self) -> DutyKind:
        """What is particular to duty points of its kind."""
        return duty_kind(self.kind)

    @property
    def is_heating(self) -> bool:
        """Whether heat is asked for, not cooling."""
        return self.of_kind.asks_heat

    @property
    def intake_air_m3_h(self) -> float | None:
        """Air through the coil that has the duty point's air mode: of two the front one, the rear one recirculates."""
        return self.coils[0].airflow_m3_h if self.coils else self.airflow_m3_h


@dataclass(frozen=True, kw_only=True)
class LeverAnswer:
    """What a change to the car or kit would bring, by a run of its own with that change."""

    code: str
    name: str
    work_min: float | None
    gain_share: float | None
    """margin gained at the worst required duty point"""
    verdict: str
    margin_share: float | None
    source: str
    eases: str = ""
    """what it does for a criterion that fails and is no margin, such as the battery's volts"""


@dataclass(frozen=True, kw_only=True)
class Reach:
    """Load and capacity in another weather or at another engine speed. Numbers are None where nothing balances."""

    outside_c: float
    rpm: float | None
    """of the engine; of the compressor where that is electric"""
    status: str
    limit: str = ""
    reason: str = ""
    load_w: float | None = None
    capacity_w: float | None = None
    margin_share: float | None = None
    high_side_bar_g: float | None = None


@dataclass(frozen=True, kw_only=True)
class Outlook:
    """One duty point of a fitment over outside temperature, and over engine speed as well.

    curve       at the duty point's own speed, the coldest first
    grid        every outside temperature of the map with every speed of it
    crossing_c  outside temperature at which the margin is used up; None where it is nowhere within the curve
    """

    code: str
    name: str
    judged_at_c: float
    outside_kg_kg: float
    curve: tuple[Reach, ...]
    grid: tuple[Reach, ...]
    crossing_c: float | None = None


@dataclass(frozen=True, kw_only=True)
class HotCabin:
    """What the plant of a duty point gives in a hotter cabin; without numbers, and a reason, where it does not run."""

    code: str
    """of the duty point"""
    cabin_c: float
    cabin_kg_kg: float
    status: str
    reason: str = ""
    air_in_c: float | None = None
    capacity_sensible_w: float | None = None


@dataclass(frozen=True)
class RunTestPoint:
    """What gauges and vents of a fitment are predicted to read in one air; without numbers, and a reason, where not.

    limits  by quantity (kits.bom.catalogue.PREDICTED) what a healthy car reads at least and at most, in its unit
    """

    air_c: float
    humidity_share: float
    status: str
    reason: str = ""
    _: KW_ONLY
    cycles: bool = False
    low_side_bar_g: float | None = None
    high_side_bar_g: float | None = None
    engaged_low_bar_g: float | None = None
    """of a cycling plant the low side with the clutch engaged, at least; the low side is the mean"""
    engaged_bar_g: float | None = None
    """and the head with the clutch engaged, at most"""
    coldest_vent_c: float | None = None
    warmest_vent_c: float | None = None
    limits: Mapping[str, tuple[float, float]] = field(default_factory=dict)


@dataclass(frozen=True)
class RunTest:
    """The run test of a fitment over the air at the intake, and the state it is told for.

    reason  why there is no point at all; empty where there are some
    """

    engine_rpm: float | None
    """None of an electric compressor"""
    compressor_rpm: float | None
    """of an electric one the most"""
    condenser_rise_k: float | None
    """by which the air at the condenser is warmer than that at the intake"""
    fan_on_bar_g: float | None
    points: tuple[RunTestPoint, ...] = ()
    reason: str = ""


@calculated
@dataclass(frozen=True, kw_only=True)
class SizingRecord:
    """One fitment's answer."""

    verdict: str
    worst_duty_point: str
    margin_share: float | None
    limit: str
    basis: str
    load_uncertainty_share: float
    capacity_uncertainty_share: float
    duties: tuple[DutyAnswer, ...]
    levers: tuple[LeverAnswer, ...] = ()
    smallest_change: str = ""
    smallest: LeverAnswer | None = None
    """the change that smallest_change tells, its codes joined by "+"; None where none turns the verdict"""
    missing: tuple[Gap, ...] = ()
    assumed: tuple[str, ...] = ()
    remarks: tuple[Finding, ...] = ()
    """of the checks and the calculations, each with its topic"""
    schema: int = SCHEMA
    method: int = METHOD
    outlook: Outlook | None = None
    hot_cabins: tuple[HotCabin, ...] = ()
    run_test: RunTest | None = None
    """None of a kit that heats only"""

    def as_stored(self) -> "SizingRecord":
        """The record as it comes back from its store, with six digits: from it follows what is told beside it."""
        return value_from(SizingRecord, stored_of(self))
