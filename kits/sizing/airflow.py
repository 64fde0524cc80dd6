"""The air a blower moves through intake, filter, coil and ducts, and what leaves each outlet.

    blower curve (speed, density) = intake and filter + coil + (ducts and vents in parallel)

Static pressures are above the cabin's. Left out: leaks of ducts and housing, ram pressure at the intake, the
velocity pressure in the plenum.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from kits.sizing.air_path import AirPath, Calibration, Resistance, TrialPoint
from kits.sizing.blower import STANDARD_AIR_KG_M3, BlowerData, fan_laws, speed_share, velocity_from_flow_m_s
from kits.sizing.ducts import air_viscosity_pa_s, flexible_duct_factor
from kits.sizing.parallel_ducts import Branches, ParallelFlow, parallel_flow, split
from vehicles.physics.arrays import BoolArray, FloatArray, IntArray, floats


class AirStatus(StrEnum):
    """How an operating point came out."""

    OK = "ok"
    BEYOND_CURVE = "beyond the curve"
    BEFORE_CURVE = "before the curve"
    BAD_INPUT = "bad input"
    NOT_SOLVED = "not solved"


REASONS = {
    AirStatus.OK: "",
    AirStatus.BEYOND_CURVE: "So little resistance that the flow would pass the last row of the blower curve.",
    AirStatus.BEFORE_CURVE: "So much resistance that the flow stays below the first row of the blower curve.",
    AirStatus.BAD_INPUT: "The blower needs a voltage above zero and a step share above 0 up to 1, "
    "the air a density above zero and a temperature from −100 to 200 °C.",
    AirStatus.NOT_SOLVED: "No balance of blower and ducts was found.",
}


@dataclass(frozen=True)
class AirFlow:
    """One operating point; the numbers are NaN unless the status is ok."""

    total_m3_h: float
    outlet_codes: tuple[str, ...]
    outlet_m3_h: tuple[float, ...]
    outlet_velocity_m_s: tuple[float, ...]
    blower_static_pa: float
    static_before_coil_pa: float
    static_after_coil_pa: float
    current_a: float
    """Drawn from the car's supply."""
    blower_w: float
    """Electric power drawn, all of which ends as heat in the air stream."""
    calibrated: bool
    status: AirStatus

    @property
    def within_curve(self) -> bool:
        """Whether the balance lies on the blower's curve."""
        return self.status is AirStatus.OK

    @property
    def reason(self) -> str:
        """A sentence for a status other than ok."""
        return REASONS[self.status]


@dataclass(frozen=True)
class AirFlowBatch:
    """Operating points of n paths: arrays (n,), by outlet (n, m) padded with NaN."""

    paths: tuple[AirPath, ...]
    total_m3_h: FloatArray
    outlet_m3_h: FloatArray
    outlet_velocity_m_s: FloatArray
    blower_static_pa: FloatArray
    static_before_coil_pa: FloatArray
    static_after_coil_pa: FloatArray
    current_a: FloatArray
    blower_w: FloatArray
    calibrated: BoolArray
    status: tuple[AirStatus, ...]

    def row(self, i: int) -> AirFlow:
        """One of the points."""
        outlets = self.paths[i].outlets
        m = len(outlets)
        return AirFlow(
            float(self.total_m3_h[i]),
            tuple(o.code for o in outlets),
            tuple(self.outlet_m3_h[i, :m].tolist()),
            tuple(self.outlet_velocity_m_s[i, :m].tolist()),
            float(self.blower_static_pa[i]),
            float(self.static_before_coil_pa[i]),
            float(self.static_after_coil_pa[i]),
            float(self.current_a[i]),
            float(self.blower_w[i]),
            bool(self.calibrated[i]),
            self.status[i],
        )


def airflow(
    path: AirPath,
    voltage_v: float,
    step_share: float,
    *,
    density_kg_m3: float = STANDARD_AIR_KG_M3,
    air_c: float = 20.0,
) -> AirFlow:
    """Operating point of one path; see `airflow_batch`. Bad input raises ValueError."""
    result = airflow_batch([path], voltage_v, step_share, density_kg_m3=density_kg_m3, air_c=air_c).row(0)
    if result.status is AirStatus.BAD_INPUT:
        raise ValueError(result.reason)
    return result


def airflow_batch(
    paths: Sequence[AirPath],
    voltage_v: ArrayLike,
    step_share: ArrayLike,
    *,
    density_kg_m3: ArrayLike = STANDARD_AIR_KG_M3,
    air_c: ArrayLike = 20.0,
) -> AirFlowBatch:
    """Operating points where the blower's pressure equals all losses, one per path (paths may repeat).

    voltage_v      at the blower's plug with the blower at full speed
    step_share     motor voltage of this step over that of full speed, above 0 up to 1
    density_kg_m3  of the air in blower and ducts
    air_c          its temperature, for the viscosity

    Method: fan laws; `parallel_flow` for the total and its split. A row with bad input, or with a balance
    outside the blower's curve, is marked in `status` and holds NaN.
    """
    case = _Batch.build(paths, voltage_v, step_share, density_kg_m3, air_c)
    least, most = case.scaled_ends_m3_s()
    found = parallel_flow(case.left_for_outlets_pa, least, most, case.branches)
    return case.result(found)


def calibrate(path: AirPath, trial: TrialPoint) -> AirPath:
    """The path with factors by which the model meets the trial: flow and blower pressure, both exactly.

    The system factor is measured pressure over the losses computed at the measured flow; the blower factor is
    measured pressure over the curve's at that flow and speed. A blower factor far from 1 speaks of a wrong
    voltage, curve or reading: show it.
    """
    if not (trial.airflow_m3_h > 0 and trial.blower_static_pa > 0):
        raise ValueError("A trial needs a flow and a static pressure above zero.")
    plain = replace(path, calibration=None)
    case = _Batch.build([plain], trial.voltage_v, trial.step_share, trial.density_kg_m3, 20.0)
    if not case.valid[0]:
        raise ValueError(REASONS[AirStatus.BAD_INPUT])
    least, most = case.scaled_ends_m3_s()
    total = floats([trial.airflow_m3_h / 3600])
    if not least[0] <= total[0] <= most[0]:
        raise ValueError("The trial's flow lies outside the blower's curve at the trial's speed.")
    blower = float(case.blower_pa(total, np.array([0]))[0])
    losses = float((case.series_pa(total, np.array([0])) + split(total, case.branches).plenum_pa)[0])
    if not (blower > 0 and losses > 0):
        raise ValueError("At the trial's flow the blower's curve or the losses are zero: nothing to compare.")
    factors = Calibration(trial.blower_static_pa / losses, trial.blower_static_pa / blower)
    return replace(path, calibration=factors)


@dataclass(frozen=True)
class _Batch:
    """The arrays of one batch. Rows with bad input hold harmless numbers and are marked."""

    paths: tuple[AirPath, ...]
    blowers: tuple[BlowerData, ...]
    blower_of_row: IntArray
    voltage_v: FloatArray
    share: FloatArray
    density_ratio: FloatArray
    flow_ratio: FloatArray
    """By the fan laws, over the curve's own; so are the next two."""
    pressure_ratio: FloatArray
    current_ratio: FloatArray
    intake: FloatArray
    coil: FloatArray
    system_factor: FloatArray
    blower_factor: FloatArray
    branches: Branches
    valid: BoolArray

    @classmethod
    def build(
        cls,
        paths: Sequence[AirPath],
        voltage_v: ArrayLike,
        step_share: ArrayLike,
        density_kg_m3: ArrayLike,
        air_c: ArrayLike,
    ) -> "_Batch":
        shape = (len(paths),)
        voltage, share, density, t_c = (
            np.array(np.broadcast_to(floats(v), shape)) for v in (voltage_v, step_share, density_kg_m3, air_c)
        )
        valid = (voltage > 0) & np.isfinite(voltage) & (share > 0) & (share <= 1)
        valid &= (density > 0) & np.isfinite(density) & (t_c >= -100) & (t_c <= 200)
        voltage, share, density, t_c = (
            np.where(valid, v, usual)
            for v, usual in ((voltage, 12.0), (share, 1.0), (density, STANDARD_AIR_KG_M3), (t_c, 20.0))
        )
        blowers = list(dict.fromkeys(p.blower for p in paths))
        none = Calibration(1.0, 1.0)
        factors = [p.calibration or none for p in paths]
        speed = speed_share(voltage, share, np.array([p.blower.rated_voltage_v for p in paths]))
        flow, pressure, power = fan_laws(speed, 1.0, density / STANDARD_AIR_KG_M3)
        return cls(
            paths=tuple(paths),
            blowers=tuple(blowers),
            blower_of_row=np.array([blowers.index(p.blower) for p in paths], dtype=np.intp),
            voltage_v=voltage,
            share=share,
            density_ratio=density / STANDARD_AIR_KG_M3,
            flow_ratio=flow,
            pressure_ratio=pressure,
            # the voltage goes with the speed, so the current is the power over the speed
            current_ratio=power / speed,
            intake=_terms([p.intake for p in paths]),
            coil=_terms([p.coil for p in paths]),
            system_factor=np.array([f.system_factor for f in factors]),
            blower_factor=np.array([f.blower_factor for f in factors]),
            branches=_branches(paths, density, air_viscosity_pa_s(t_c)),
            valid=valid,
        )

    def by_blower(self, total_m3_s: FloatArray, rows: IntArray, what: str) -> FloatArray:
        """A blower's `static_pa` or `current_a` at rated speed, at the flow that the fan laws bring there."""
        got = np.empty(rows.size)
        for k, blower in enumerate(self.blowers):
            mine = np.flatnonzero(self.blower_of_row[rows] == k)
            at = total_m3_s[mine] * 3600 / self.flow_ratio[rows[mine]]
            # rounding alone may carry the scaled end of the curve past its last row
            at = np.where(np.abs(at - blower.most_m3_h) < 1e-9 * blower.most_m3_h, blower.most_m3_h, at)
            at = np.where(np.abs(at - blower.least_m3_h) < 1e-9 * blower.most_m3_h, blower.least_m3_h, at)
            got[mine] = getattr(blower, what)(at)
        return got

    def scaled_ends_m3_s(self) -> tuple[FloatArray, FloatArray]:
        """First and last flow of the curve at each row's speed."""
        least = np.array([b.least_m3_h for b in self.blowers])[self.blower_of_row]
        most = np.array([b.most_m3_h for b in self.blowers])[self.blower_of_row]
        return least * self.flow_ratio / 3600, most * self.flow_ratio / 3600

    def blower_pa(self, total_m3_s: FloatArray, rows: IntArray) -> FloatArray:
        factor = self.blower_factor[rows] * self.pressure_ratio[rows]
        return factor * self.by_blower(total_m3_s, rows, "static_pa")

    def loss_pa(self, terms: FloatArray, total_m3_s: FloatArray, rows: IntArray) -> FloatArray:
        rated_pa, rated_m3_h, exponent = terms[rows].T
        loss: FloatArray = rated_pa * (total_m3_s * 3600 / rated_m3_h) ** exponent
        return self.system_factor[rows] * self.density_ratio[rows] * loss

    def series_pa(self, total_m3_s: FloatArray, rows: IntArray) -> FloatArray:
        """Intake, filter and coil."""
        return self.loss_pa(self.intake, total_m3_s, rows) + self.loss_pa(self.coil, total_m3_s, rows)

    def left_for_outlets_pa(self, total_m3_s: FloatArray, rows: IntArray) -> FloatArray:
        """What the uncalibrated outlets may lose so that, with the system factor, the balance holds."""
        left = self.blower_pa(total_m3_s, rows) - self.series_pa(total_m3_s, rows)
        return left / self.system_factor[rows]

    def status(self, found: ParallelFlow) -> tuple[AirStatus, ...]:
        marks = (
            (~self.valid, AirStatus.BAD_INPUT),
            (~found.converged, AirStatus.NOT_SOLVED),
            (found.is_above_upper, AirStatus.BEYOND_CURVE),
            (found.is_below_lower, AirStatus.BEFORE_CURVE),
        )
        return tuple(
            next((status for mark, status in marks if mark[i]), AirStatus.OK) for i in range(len(self.paths))
        )

    def result(self, found: ParallelFlow) -> AirFlowBatch:
        status = self.status(found)
        ok = np.array([s is AirStatus.OK for s in status], dtype=bool)
        rows = np.arange(len(self.paths))
        total = np.where(ok, found.total_m3_s, np.nan)
        rise, intake = self.blower_pa(total, rows), self.loss_pa(self.intake, total, rows)
        coil = self.loss_pa(self.coil, total, rows)
        first = np.array([p.coil_is_before_blower for p in self.paths], dtype=bool)
        before = np.where(first, -intake, rise - intake)
        flow = np.where(self.branches.is_open & ok[:, None], found.flow_m3_s * 3600, np.nan)
        current, power = self.electric(total, rows)
        return AirFlowBatch(
            paths=self.paths,
            total_m3_h=total * 3600,
            outlet_m3_h=flow,
            outlet_velocity_m_s=velocity_from_flow_m_s(flow, self.branches.end_area_m2 * 1e4),
            blower_static_pa=rise,
            static_before_coil_pa=before,
            static_after_coil_pa=before - coil,
            current_a=current,
            blower_w=power,
            calibrated=np.array([p.calibration is not None for p in self.paths], dtype=bool),
            status=status,
        )

    def electric(self, total_m3_s: FloatArray, rows: IntArray) -> tuple[FloatArray, FloatArray]:
        """Current from the supply, A, and power, W."""
        motor = self.by_blower(total_m3_s, rows, "current_a") * self.current_ratio
        by_resistor = np.array([p.blower.step_by_resistor for p in self.paths], dtype=bool)
        supply = np.where(by_resistor, motor, motor * self.share)
        return supply, supply * self.voltage_v


def _terms(resistances: Sequence[Resistance]) -> FloatArray:
    return np.array([(r.rated_pa, r.rated_m3_h, r.exponent) for r in resistances]).reshape(-1, 3)


def _branches(paths: Sequence[AirPath], density: FloatArray, viscosity: FloatArray) -> Branches:
    """The outlets as padded arrays; a missing one is a closed copy of the first."""
    most = max((len(p.outlets) for p in paths), default=0)
    padded = [(*p.outlets, *(p.outlets[:1] * (most - len(p.outlets)))) for p in paths]

    def column(name: str) -> FloatArray:
        return np.array([[getattr(o, name) for o in row] for row in padded]).reshape(len(paths), most)

    diameter_mm = column("diameter_mm")
    return Branches(
        length_m=column("length_m"),
        diameter_m=diameter_mm / 1000,
        roughness_m=column("roughness_mm") / 1000,
        friction_multiple=flexible_duct_factor(diameter_mm, column("compression_percent")),
        duct_k=column("minor_k"),
        end_area_m2=column("free_area_cm2") * 1e-4,
        end_k=column("vent_k") + 1.0,
        is_open=np.arange(most) < np.array([len(p.outlets) for p in paths])[:, None],
        density_kg_m3=density[:, None],
        viscosity_pa_s=viscosity[:, None],
    )
