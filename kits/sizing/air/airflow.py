"""The air a blower moves through intake, filter, coil, matrix and ducts, and what leaves each outlet.

    blower curve (speed, density) = intake + filter + coil + matrix + (ducts and vents in parallel)

Static pressures are above the cabin's. Left out: leaks of ducts and housing, ram pressure at the intake, the
velocity pressure in the plenum.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from kits.sizing.air.air_batch import AirBatch
from kits.sizing.air.air_path import SERIES, AirPath, Calibration, TrialPoint
from kits.sizing.air.blower import STANDARD_AIR_KG_M3, velocity_from_flow_m_s
from kits.sizing.air.parallel_ducts import ParallelFlow, parallel_flow
from kits.sizing.words.defaults import default_value
from vehicles.physics.arrays import BoolArray, FloatArray, Refusal, floats

LOSSES = (*SERIES, "ducts", "vents")
"""The elements that share the blower's pressure."""

Key = tuple[AirPath, float, float, float, float]
"""Path, volts, step, density ratio and viscosity: all that a balance depends on."""
MOST_KNOWN = 20_000
"""Balances that are kept, some kilobytes each at most; then it starts anew."""
_known: dict[Key, ParallelFlow] = {}


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


@dataclass(frozen=True, kw_only=True)
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
    loss_pa: Mapping[str, float]
    """What each element of LOSSES takes; ducts and vents by the mean of their air."""

    @property
    def within_curve(self) -> bool:
        """Whether the balance lies on the blower's curve."""
        return self.status is AirStatus.OK

    @property
    def reason(self) -> str:
        """A sentence for a status other than ok."""
        return REASONS[self.status]


@dataclass(frozen=True, kw_only=True)
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
    loss_pa: Mapping[str, FloatArray]

    def row(self, i: int) -> AirFlow:
        """One of the points."""
        outlets = self.paths[i].outlets
        m = len(outlets)
        return AirFlow(
            total_m3_h=float(self.total_m3_h[i]),
            outlet_codes=tuple(o.code for o in outlets),
            outlet_m3_h=tuple(self.outlet_m3_h[i, :m].tolist()),
            outlet_velocity_m_s=tuple(self.outlet_velocity_m_s[i, :m].tolist()),
            blower_static_pa=float(self.blower_static_pa[i]),
            static_before_coil_pa=float(self.static_before_coil_pa[i]),
            static_after_coil_pa=float(self.static_after_coil_pa[i]),
            current_a=float(self.current_a[i]),
            blower_w=float(self.blower_w[i]),
            calibrated=bool(self.calibrated[i]),
            status=self.status[i],
            loss_pa={name: float(loss[i]) for name, loss in self.loss_pa.items()},
        )


def airflow(
    path: AirPath,
    voltage_v: float,
    step_share: float,
    *,
    density_kg_m3: float = STANDARD_AIR_KG_M3,
    air_c: float = 20.0,
) -> AirFlow:
    """Operating point of one path: the flow at which the blower's pressure equals all losses.

    Formula: as airflow_batch, for one path.
    Parameters: path; voltage_v, V, at the blower's plug; step_share, above 0 up to 1; density_kg_m3, kg/m³, of the air
    in blower and ducts; air_c, its temperature, °C.
    Returns: flows in m³/h, velocities in m/s, pressures in Pa, current in A and power in W. Bad input is refused with a
    sentence; a balance outside the blower's curve is marked in `status`.
    Validity: inside the blower's curve; no leaks of ducts and housing, no ram pressure at the intake.
    Source: ASHRAE Fundamentals ch. 21; fan laws of ISO 5801.
    Check: by hand: a blower of 200 Pa less 1 Pa per m³/h meets a coil of 100 Pa at 100 m³/h in that point, as a vent of
    1 m² loses nothing.

    >>> from kits.sizing.air.air_path import Outlet, Resistance
    >>> from kits.sizing.air.blower import BlowerData
    >>> blower = BlowerData(((0, 200), (200, 0)), 12.0, ((0, 5.0),), step_by_resistor=False)
    >>> wide = Outlet(code="wide", diameter_mm=1000, length_m=0, roughness_mm=0, minor_k=0, compression_percent=0,
    ...     free_area_cm2=10_000, vent_k=0)
    >>> path = AirPath(blower, Resistance(0, 100, 2), Resistance(100, 100, 2), (wide,), coil_is_before_blower=False)
    >>> round(airflow(path, 12.0, 1.0).total_m3_h, 2)
    100.0
    """
    result = airflow_batch([path], voltage_v, step_share, density_kg_m3=density_kg_m3, air_c=air_c).row(0)
    if result.status is AirStatus.BAD_INPUT:
        raise Refusal(result.reason)
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

    Formula: blower curve, carried by the fan laws to the speed that the voltage gives and to the air's density, =
    intake + filter + coil + matrix, each Δp = rated Pa·(Q/rated m³/h)^exponent, + ducts and vents in parallel
    (Darcy with Colebrook, fittings, the jet's own velocity pressure).
    Parameters: voltage_v, at the blower's plug with the blower at full speed; step_share, motor voltage of this
    step over that of full speed, above 0 up to 1; density_kg_m3, of the air in blower and ducts; air_c, its
    temperature, for the viscosity.
    Returns: flow, velocity at each vent, pressures, current. A row with bad input, or with a balance outside the
    blower's curve, is marked in `status` and holds NaN.
    Validity: inside the blower's curve; no leaks of ducts and housing, no ram pressure at the intake.
    Source: ASHRAE Fundamentals ch. 21; fan laws of ISO 5801.
    Check: random plants within 0.001 % of a direct solution on the library fluids; the losses add up to the
    blower's pressure.
    """
    case = AirBatch.build(paths, voltage_v, step_share, density_kg_m3, air_c)
    return _result(case, _balanced(case))


def _balanced(case: AirBatch) -> ParallelFlow:
    """The balance of every row; each different one is solved once, and those solved before are looked up.

    Levers, gases, outlooks and hot cabins ask for the same air again and again.
    """
    numbers = (case.voltage_v, case.share, case.density_ratio, case.branches.viscosity_pa_s[:, 0])
    keys: list[Key] = list(zip(case.paths, *(each.tolist() for each in numbers), strict=True))
    least, most = case.scaled_ends_m3_s()
    if not keys:
        return parallel_flow(case.left_for_outlets_pa, least, most, case.branches)
    asked: dict[Key, int] = {}
    for row, key in enumerate(keys):
        asked.setdefault(key, row)
    found = {key: _known[key] for key in asked if key in _known}
    rows = np.array([row for key, row in asked.items() if key not in found], dtype=np.intp)
    if rows.size:
        solved = parallel_flow(
            lambda total, within: case.left_for_outlets_pa(total, rows[within]),
            least[rows],
            most[rows],
            case.branches.rows(rows),
        )
        new = {keys[row]: solved.rows(np.array([n])) for n, row in enumerate(rows)}
        found |= new
        if len(_known) + len(new) > MOST_KNOWN:
            _known.clear()
        _known.update(new)
    return ParallelFlow.together([found[key] for key in keys], case.branches.length_m.shape[1])


def calibrate(path: AirPath, trial: TrialPoint) -> AirPath:
    """The path with factors by which the model meets the trial: flow and blower pressure, both exactly.

    A blower factor far from 1 speaks of a wrong voltage, curve or reading: show it.

    Formula: system factor = measured pressure over the losses computed at the measured flow; blower factor =
    measured pressure over the curve's at that flow and speed.
    Parameters: trial, flow and static pressure rise across the blower with the voltage and air they were read at.
    Returns: the same path with both factors.
    Validity: the trial's flow lies inside the blower's curve at the trial's speed, with a clean filter; refused
        where the blower factor lies outside 0.5 to 2 or the system factor outside 0.2 to 5 (defaults.json).
    Source: losses of turbulent flow go with the square of the flow, so one point fixes their constant.
    Check: the calibrated path gives back the trial; a trial that meets the model makes both factors 1.
    """
    if not (trial.airflow_m3_h > 0 and trial.blower_static_pa > 0):
        raise Refusal("A trial needs a flow and a static pressure above zero.")
    plain = replace(path, calibration=None)
    case = AirBatch.build([plain], trial.voltage_v, trial.step_share, trial.density_kg_m3, trial.air_c)
    if not case.valid[0]:
        raise Refusal(REASONS[AirStatus.BAD_INPUT])
    least, most = case.scaled_ends_m3_s()
    total = floats([trial.airflow_m3_h / 3600])
    if not least[0] <= total[0] <= most[0]:
        raise Refusal(
            f"A flow of {trial.airflow_m3_h:.0f} m³/h lies outside the blower's curve, which at this voltage goes "
            f"from {3600 * least[0]:.0f} to {3600 * most[0]:.0f} m³/h."
        )
    blower = float(case.blower_pa(total, np.array([0]))[0])
    losses = float(case.all_losses_pa(total)[0])
    if not (blower > 0 and losses > 0):
        raise Refusal("At the trial's flow the blower's curve or the losses are zero: nothing to compare.")
    factors = Calibration(trial.blower_static_pa / losses, trial.blower_static_pa / blower)
    _refuse_slips(factors)
    return replace(path, calibration=factors)


def _refuse_slips(factors: Calibration) -> None:
    """A trial far beyond what parts and readings can be wrong by is a slip: calibrating by it would hide it."""
    told = (
        (
            factors.blower_factor,
            "air_trial_blower_most_factor",
            "pressure of the blower's curve at that flow",
        ),
        (factors.system_factor, "air_trial_losses_most_factor", "losses that the parts state for that flow"),
    )
    for factor, limit, what in told:
        most = default_value(limit)
        if not 1 / most <= factor <= most:
            raise Refusal(
                f"The trial's pressure is {factor:.2g} times the {what}, where {1 / most:g} to {most:g} can be true: "
                "look at flow, pressure and voltage again."
            )


def system_loss_pa(path: AirPath, airflow_m3_h: ArrayLike) -> FloatArray:
    """What a path takes of the blower's pressure at given flows, in standard air at 20 °C.

    Formula: intake + filter + coil + matrix + (ducts and vents in parallel), by the calibration's factor.
    Parameters: airflow_m3_h, a list of flows above 0.
    Returns: Pa, one for each flow.
    Validity: as airflow_batch.
    Source: ASHRAE Fundamentals ch. 21.
    Check: meets the blower's curve in the operating point; the losses of airflow_batch add up to it.
    """
    flow = np.atleast_1d(floats(airflow_m3_h))
    if not np.all((flow > 0) & np.isfinite(flow)):
        raise Refusal("The losses of a path need flows above zero.")
    case = AirBatch.build([path] * flow.size, path.blower.rated_voltage_v, 1.0, STANDARD_AIR_KG_M3, 20.0)
    return case.all_losses_pa(flow / 3600)


def blower_curve(
    path: AirPath, voltage_v: float, step_share: float, count: int = 25
) -> tuple[FloatArray, FloatArray]:
    """The blower's curve at a voltage and step in standard air, from its first row to its last.

    Formula: flow ∝ n and pressure ∝ n², n the speed; by the calibration's factor.
    Parameters: voltage_v, at the plug, above 0; step_share, above 0 up to 1; count, how many points.
    Returns: flows in m³/h and static pressures in Pa.
    Validity: between the rows of the curve.
    Source: fan laws, ISO 5801.
    Check: at rated voltage and full step the rows of the curve.
    """
    case = AirBatch.build([path] * count, voltage_v, step_share, STANDARD_AIR_KG_M3, 20.0)
    if not case.valid.all():
        raise Refusal(REASONS[AirStatus.BAD_INPUT])
    least, most = case.scaled_ends_m3_s()
    flow = np.linspace(least[0], most[0], count)
    return flow * 3600, case.blower_pa(flow, np.arange(count))


def _status(case: AirBatch, found: ParallelFlow) -> tuple[AirStatus, ...]:
    marks = (
        (~case.valid, AirStatus.BAD_INPUT),
        (~found.converged, AirStatus.NOT_SOLVED),
        (found.is_above_upper, AirStatus.BEYOND_CURVE),
        (found.is_below_lower, AirStatus.BEFORE_CURVE),
    )
    return tuple(
        next((status for mark, status in marks if mark[i]), AirStatus.OK) for i in range(len(case.paths))
    )


def _result(case: AirBatch, found: ParallelFlow) -> AirFlowBatch:
    status = _status(case, found)
    ok = np.array([s is AirStatus.OK for s in status], dtype=bool)
    rows = np.arange(len(case.paths))
    total = np.where(ok, found.total_m3_s, np.nan)
    rise = case.blower_pa(total, rows)
    losses = {name: case.loss_pa(name, total, rows) for name in SERIES}
    losses |= case.outlet_losses_pa(found.flow_m3_s, total)
    first = np.array([p.coil_is_before_blower for p in case.paths], dtype=bool)
    before = np.where(first, 0.0, rise) - losses["intake"] - losses["filter"]
    flow = np.where(case.branches.is_open & ok[:, None], found.flow_m3_s * 3600, np.nan)
    current, power = case.electric(total, rows)
    return AirFlowBatch(
        paths=case.paths,
        total_m3_h=total * 3600,
        outlet_m3_h=flow,
        outlet_velocity_m_s=velocity_from_flow_m_s(flow, case.branches.end_area_m2 * 1e4),
        blower_static_pa=rise,
        static_before_coil_pa=before,
        static_after_coil_pa=before - losses["coil"],
        current_a=current,
        blower_w=power,
        calibrated=np.array([p.calibration is not None for p in case.paths], dtype=bool),
        status=status,
        loss_pa=losses,
    )
