"""Figures of a plant that follow from others: how well a fit meets its points, torque, cooling for power."""

import numpy as np
from numpy.typing import ArrayLike

from vehicles.physics.arrays import FloatArray, Refusal, answer, floats


def rms(differences: ArrayLike) -> float:
    """How far a fit lies from the rated points it was made from.

    Formula: √(mean(d²)).
    Parameters: differences d of fit and rated point: of an efficiency as they are, of a heat as a share of the rated
    heat; at least one.
    Returns: in the unit of the differences.
    Validity: inside the rated points. Few points are met closely by any fit, and a model with as many unknowns as
    points meets them all: then it says nothing.
    Source: root mean square.
    Check: by hand: 3 and 4 make 3.5.
    """
    d = np.ravel(floats(differences))
    if not d.size or not np.isfinite(d).all():
        raise Refusal("A fit's error needs at least one difference, and all of them numbers.")
    return float(np.sqrt(np.mean(d**2)))


def shaft_torque_nm(power_w: ArrayLike, speed_rpm: ArrayLike) -> FloatArray:
    """Torque at a compressor's shaft.

    Formula: T = P/(2·π·n/60).
    Parameters: power_w, W, not negative; speed_rpm, rev/min, above 0.
    Returns: N·m.
    Validity: with the mean power of a cycling plant the mean torque; while it runs it is larger by 1/duty.
    Source: definition of power.
    Check: by hand: 1,000 W at 955 rpm are 10 N·m.
    """
    power, speed = floats(power_w), floats(speed_rpm)
    valid = (power >= 0) & (speed > 0) & np.isfinite(power) & np.isfinite(speed)
    return answer(
        power / (2 * np.pi * np.where(valid, speed, 60.0) / 60),
        valid,
        "A torque needs a power not negative and a speed above zero.",
    )


def cooling_per_power(capacity_w: ArrayLike, power_w: ArrayLike) -> FloatArray:
    """Coefficient of performance: cooling for each watt at the shaft.

    Formula: COP = Q/P.
    Parameters: capacity_w, W, not negative; power_w, W, above 0.
    Returns: share, usually 1.5 to 4.
    Validity: the coil's gross cooling; fans, belt and motor are left out.
    Source: definition.
    Check: Cengel and Boles, example 11-1; Moran and Shapiro, examples 10.1 and 10.2.
    """
    q, power = floats(capacity_w), floats(power_w)
    valid = (q >= 0) & (power > 0) & np.isfinite(q) & np.isfinite(power)
    share = q / np.where(valid, power, 1.0)
    return answer(share, valid, "A COP needs a cooling not negative and a power above zero.")
