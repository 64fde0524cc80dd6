"""The steps of a filling as plain values."""

from collections.abc import Iterable

from kits.fitment.models import PlateauStep
from kits.sizing.gas.plateau import ChargingRow, Trial


def grouped(steps: Iterable[PlateauStep]) -> list[tuple[PlateauStep, ...]]:
    """The steps by trial, each by its grams; the trial with the step that was recorded last comes first."""
    found: dict[str, list[PlateauStep]] = {}
    for step in steps:
        found.setdefault(step.trial.casefold(), []).append(step)
    newest_first = sorted(found.values(), key=lambda held: -max(step.pk for step in held))
    return [tuple(sorted(held, key=lambda step: step.charge_g)) for held in newest_first]


def trial_of(steps: tuple[PlateauStep, ...]) -> Trial:
    """The steps of one trial as plain values."""
    rows = (
        ChargingRow(s.charge_g, s.subcooling_k, s.high_side_bar_g, s.vent_c, s.engine_rpm, s.ambient_c)
        for s in steps
    )
    return Trial(steps[0].trial, tuple(rows))


def trials_of(steps: Iterable[PlateauStep]) -> tuple[Trial, ...]:
    """All trials, the newest first."""
    return tuple(trial_of(held) for held in grouped(steps))
