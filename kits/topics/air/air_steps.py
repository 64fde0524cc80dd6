"""What the blower moves at each step of its switch, with a clean filter and with one that is due to be changed."""

from dataclasses import dataclass, replace

from kits.sizing.air.air_path import AirPath
from kits.sizing.air.airflow import AirFlow, airflow_batch
from kits.sizing.case.heater import Heater
from kits.sizing.case.plant import Plant
from vehicles.physics.arrays import Refusal

FULL_ONLY = ((1, 1.0),)
"""The steps of a blower of which none are recorded: the whole of the plug's voltage."""


@dataclass(frozen=True)
class StepAir:
    """One step: its share of the plug's voltage, and the operating points."""

    step: int
    share: float
    clean: AirFlow
    clogged: AirFlow | None
    """None where the clogged filter's drop is not known"""
    measured_a: float | None
    """current on the bench at rated voltage"""


def air_by_step(unit: Plant | Heater, voltage_v: float) -> tuple[StepAir, ...]:
    """The operating points of all steps, the lowest first; a blower without recorded steps has its full one.

    Formula: as airflow_batch, at the step's share of the voltage; clogged: with the filter's clogged drop.
    Parameters: unit, a plant or heater; voltage_v, at the blower's plug with the blower at full speed, above 0.
    Returns: for each step the clean and the clogged operating point.
    Validity: as airflow_batch; the trial that calibrates was made with a clean filter.
    Source: as airflow_batch.
    Check: a lower step never moves more air, a clogged filter never more than a clean one.
    """
    steps = unit.blower_steps or FULL_ONLY
    clean = unit.air_path
    paths: list[AirPath] = [clean] * len(steps)
    clogged = clean.clogged()
    if clogged is not None:
        paths += [clogged] * len(steps)
    shares = [share for _, share in steps]
    batch = airflow_batch(paths, voltage_v, shares * (len(paths) // len(steps)))
    measured = dict(unit.blower_currents)
    return tuple(
        StepAir(
            step,
            share,
            batch.row(i),
            None if clogged is None else batch.row(len(steps) + i),
            measured.get(step),
        )
        for i, (step, share) in enumerate(steps)
    )


def full_air(unit: Plant | Heater, voltage_v: float) -> StepAir:
    """The operating points of the highest step alone."""
    step = max(unit.blower_steps or FULL_ONLY, key=lambda one: one[1])
    return air_by_step(replace(unit, blower_steps=(step,)), voltage_v)[0]


def clogged_cost_share(clean_m3_h: float, clogged_m3_h: float) -> float:
    """Share of the air that a clogged filter costs.

    Formula: 1 − Q_clogged/Q_clean.
    Parameters: clean_m3_h, above 0; clogged_m3_h, not negative, at the same step.
    Returns: a share, 0 where the filter costs nothing.
    Validity: both flows in the same car at the same voltage.
    Source: definition.
    Check: 0 for equal flows, 1 for a blocked filter.
    """
    if not (clean_m3_h > 0 and clogged_m3_h >= 0):
        raise Refusal("A filter's cost needs a clean flow above zero and a clogged flow not negative.")
    return 1 - clogged_m3_h / clean_m3_h
