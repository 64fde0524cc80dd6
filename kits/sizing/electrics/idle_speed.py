"""The engine speed from which a generator carries what is asked of it: what an idle-up has to reach."""

import numpy as np
from numpy.typing import ArrayLike

from kits.sizing.electrics.battery import ChargingCurve
from vehicles.physics.arrays import FloatArray, answer, floats


def engine_speed_for_current_rpm(curve: ChargingCurve, wanted_a: ArrayLike) -> FloatArray:
    """Lowest engine speed at which a generator gives the wanted current.

    Formula: on the line between two rows of the curve, n = n₁ + (I − I₁)/(I₂ − I₁)·(n₂ − n₁), the first such row.
    Parameters: curve, as measured hot; wanted_a, what car and kit take, above zero, A.
    Returns: engine speed, rpm; the first row's speed where that row gives enough already; infinite where no row of
    the curve reaches the current.
    Validity: as far as the curve was measured; a generator that gives more beyond its last row is not counted on.
    Source: the inverse of the measured curve; current linear between its rows.
    Check: the curve gives the wanted current back at the speed found, over random curves; by hand.
    """
    wanted = floats(wanted_a)
    rpm, ampere = np.array(curve.rows, dtype=float).T
    valid = np.isfinite(wanted) & (wanted > 0)
    reaches = ampere >= np.where(valid, wanted, np.inf)[..., np.newaxis]
    first = np.argmax(reaches, axis=-1)
    before = np.maximum(first - 1, 0)
    rise = np.where(first > 0, ampere[first] - ampere[before], 1.0)
    # a first row that reaches is where the knowledge begins, not where the current does
    share = np.where(first > 0, (wanted - ampere[before]) / rise, 0.0)
    speed = rpm[before] + share * (rpm[first] - rpm[before])
    found = np.where(reaches.any(axis=-1), speed, np.where(valid, np.inf, np.nan))
    return answer(found, valid, "The current asked of a generator must be above zero.")
