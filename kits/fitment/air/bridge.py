"""The trial of a fitment's air side that counts."""

from kits.fitment.models import AirTrial, Fitment
from kits.sizing.air.air_path import TrialPoint
from vehicles.records.bridge import origin_of, winning


def is_calibrated(row: Fitment) -> bool:
    """Whether the prediction counts as calibrated: somebody says so, and a trial stands behind it."""
    return row.calibrated and bool(row.air_trials.all())


def air_trial_of(row: Fitment) -> tuple[TrialPoint | None, str]:
    """The trial of the air side that counts, and where it comes from in words."""
    rows: list[AirTrial] = list(row.air_trials.all())
    if not rows:
        return None, ""
    held = winning(rows)
    origin = origin_of(held)
    on = f"{origin.on:%d %B %Y}".lstrip("0") if origin.on else ""
    words = ", ".join(word for word in (origin.kind.value, origin.source, on) if word)
    return trial_point(held), words


def trial_point(row: AirTrial) -> TrialPoint:
    """A recorded trial as the air side takes it."""
    return TrialPoint.at_plug(row.airflow_m3_h, row.blower_static_pa, row.motor_voltage_v, row.air_c)
