"""The rear blower of a plant with two coils: the step it runs at, and the voltage that reaches its own plug.

The duty point turns the switch, and one switch turns both blowers: the rear one stands at the step of the same number,
with the share of its own step table. The voltage is recorded at the front blower's plug; what the rear blower's
circuit loses more or less than the front one's follows from the kit's wires, where they tell both circuits. Both are
those of the road; at idle both circuits hang on the battery (kits.sizing.case.idle_blower).
"""

from collections.abc import Mapping

from kits.sizing.air.air_path import AirPath
from kits.sizing.case.case import Case, Point
from kits.sizing.words.gap import Gap

FULL = 1.0


def rear_step_share(
    front_share: float, front_steps: Mapping[int, float], rear_steps: Mapping[int, float]
) -> float | None:
    """Share of its plug's voltage at which the rear blower runs.

    Formula: the share of the rear table at the number that the front table has at front_share. A blower without a
    table has its full voltage only; a front share that is no step of a table, or without one, is the rear one's too.
    Parameters: front_share, above 0 up to 1; front_steps and rear_steps, share by step number.
    Returns: a share; None where the rear blower has no such step.
    Validity: one switch turns both blowers.
    Source: definition.
    Check: equal tables give the front one's share; the same number with another share gives that.
    """
    number = next((n for n, share in front_steps.items() if share == front_share), None)
    if number is None:
        return front_share
    if not rear_steps:
        return FULL if front_share == FULL else None
    return rear_steps.get(number)


def share_at(point: Point) -> float | None:
    """The rear blower's share at a duty point; None without a rear coil, or where its blower has no such step."""
    plant = point.case.plant
    if plant.rear is None:
        return None
    return rear_step_share(point.duty.blower_share, dict(plant.blower_steps), dict(plant.rear.blower_steps))


def rear_path(case: Case) -> AirPath | None:
    """The air path of the rear coil; None where there is none."""
    return None if case.heats_only or case.plant.rear is None else case.plant.rear.air_path


def recorded_rear_v(case: Case) -> float | None:
    """Voltage at the rear blower's plug at full speed, on the road as the front one's is recorded.

    None where that is not recorded, or without a rear coil.
    """
    volts = case.mounting.blower_voltage_v
    if case.heats_only or case.plant.rear is None or volts is None:
        return None
    return volts - (case.plant.rear.circuit_loses_more_v or 0.0)


def step_gap(point: Point) -> Gap | None:
    """What stands against running the rear blower at a duty point's step, or at the voltage that is left to it."""
    plant, duty = point.case.plant, point.duty
    if plant.rear is None:
        return None
    number, where = plant.rear.blower, f"part:{plant.rear.blower}"
    volts = recorded_rear_v(point.case)
    if volts is not None and volts <= 0:
        sentence = (
            f"The circuit of the rear blower {number} loses more than the whole voltage: no air is moved."
        )
        return Gap(f"part.{number}.voltage", where, sentence)
    if share_at(point) is not None:
        return None
    step = next(n for n, share in plant.blower_steps if share == duty.blower_share)
    sentence = (
        f"At “{duty.name}” the blowers stand at step {step}, which the rear blower {number} does not have: "
        "enter that step of it."
    )
    return Gap(f"part.{number}.step.{step}", where, sentence)
