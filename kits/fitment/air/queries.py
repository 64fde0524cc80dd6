"""The air side of one fitment: what is predicted at each step, and the trials that were recorded."""

from dataclasses import dataclass, replace
from datetime import date

from kits.fitment.air.bridge import trial_point
from kits.fitment.bridge import case_of, load_catalogue
from kits.fitment.models import AirTrial, Fitment
from kits.sizing.air.air_path import AirPath, TrialPoint
from kits.sizing.air.airflow import airflow, calibrate
from kits.sizing.case.heater import unit_of
from kits.sizing.case.plant import vent_parts
from kits.sizing.words.gap import Gap
from kits.topics.air.air_steps import StepAir, air_by_step
from vehicles.records.bridge import winning


@dataclass(frozen=True)
class Trial:
    """A recorded trial beside the prediction for its voltage and air, before any calibration."""

    row: AirTrial
    counts: bool
    predicted_m3_h: float | None
    predicted_pa: float | None
    reason: str
    """why it can't be used; empty when it can"""

    @property
    def apart_share(self) -> float | None:
        """How far the measured flow lies from the predicted one."""
        return None if self.predicted_m3_h is None else self.row.airflow_m3_h / self.predicted_m3_h - 1


@dataclass(frozen=True)
class AirSide:
    """One fitment's air side. path is None, and steps are empty, where something is missing for it."""

    fitment: Fitment
    vents: dict[str, str]
    """part number by code of the vent"""
    path: AirPath | None
    steps: tuple[StepAir, ...]
    trials: tuple[Trial, ...]
    gaps: tuple[Gap, ...]

    @property
    def full(self) -> StepAir | None:
        """The highest step, where a flow is found there."""
        top = max(self.steps, key=lambda one: one.share, default=None)
        return top if top is not None and top.clean.within_curve else None


def air_side(kit: str, line: str, variant: str, on: date) -> AirSide | None:
    """The air side of a fitment; None when there is no such fitment."""
    catalogue = load_catalogue([(kit, line, variant)], on)
    if not catalogue.fitments:
        return None
    entry = catalogue.fitments[0]
    resolved = catalogue.resolve(entry)
    case, gaps = case_of(entry, resolved)
    volts, rows = entry.row.blower_voltage_v, list(entry.row.air_trials.all())
    vents = dict(vent_parts(resolved))
    if volts is None:
        sentence = "The voltage at the blower's plug is not recorded."
        gaps = (*gaps, Gap("fitment.blower_voltage_v", "fitment", sentence))
    if case is None:
        return AirSide(entry.row, vents, None, (), _trials(rows, None), gaps)
    tried = case.unit
    untried = replace(tried.air_path, calibration=None)
    steps = air_by_step(tried, volts) if volts is not None else ()
    return AirSide(entry.row, vents, tried.air_path, steps, _trials(rows, untried), gaps)


def _trials(rows: list[AirTrial], path: AirPath | None) -> tuple[Trial, ...]:
    """The newest first."""
    counting = winning(rows).pk if rows else None
    return tuple(
        _trial(row, row.pk == counting, path) for row in sorted(rows, key=lambda row: row.pk, reverse=True)
    )


def _trial(row: AirTrial, counts: bool, path: AirPath | None) -> Trial:
    if path is None:
        return Trial(row, counts, None, None, "")
    point: TrialPoint = trial_point(row)
    plain = replace(path, calibration=None)
    found = airflow(
        plain, point.voltage_v, point.step_share, density_kg_m3=point.density_kg_m3, air_c=point.air_c
    )
    try:
        calibrate(plain, point)
        reason = ""
    except ValueError as refused:
        reason = str(refused)
    if not found.within_curve:
        return Trial(row, counts, None, None, reason or found.reason)
    return Trial(row, counts, found.total_m3_h, found.blower_static_pa, reason)


def refusal_of_trial(row: AirTrial, on: date) -> str:
    """What the blower's own curve has against a trial, in a sentence; empty: nothing.

    Where the kit has no complete plant yet there is nothing to hold a trial against: it is kept for later.
    """
    key = (row.fitment.kit.code, row.fitment.variant.line.code, row.fitment.variant.code)
    catalogue = load_catalogue([key], on)
    unit, _ = unit_of(catalogue.resolve(catalogue.fitments[0]))
    if unit is None:
        return ""
    try:
        calibrate(unit.air_path, trial_point(row))
    except ValueError as refused:
        return str(refused)
    return ""
