"""What a cabin comes to at idle where the kit does not hold the target, with the vents' air and the head pressure then.

A warm cabin gives warm vents and a high head: at the target's own return air a weak kit looks better than it is.
"""

from typing import NamedTuple

import numpy as np

from kits.sizing.run.batch import Batch
from kits.sizing.run.run import Held, balance_temperature, hold
from kits.sizing.run.vent_air import vent_c
from vehicles.physics.air import relative_humidity
from vehicles.physics.arrays import FloatArray


class IdleCabins(NamedTuple):
    """Per point of a batch; NaN where the point is no idle one, holds its target, or balances nowhere."""

    cabin_c: FloatArray
    rh: FloatArray
    vent_c: FloatArray
    condensing_pa: FloatArray


def idle_cabins(batch: Batch, held: Held) -> IdleCabins:
    """The cabins of the idle points whose load at the target is more than the capacity there.

    held  every point of the batch at its target

    The steady state, which a cabin of usual mass has nearly reached after the 15 min that are judged.
    """
    found = IdleCabins(*(np.full(len(batch.points), np.nan) for _ in IdleCabins._fields))
    is_idle = np.array([p.duty.of_kind.idles for p in batch.points])
    b, load = held.balance, held.load
    is_short = (b.capacity_w < load.total_w) | (b.sensible_w < load.total_sensible_w)
    rows = np.flatnonzero(is_idle & is_short & batch.prepared.is_complete)
    if rows.size:
        found.cabin_c[rows] = balance_temperature(batch, rows)
    known = np.flatnonzero(np.isfinite(found.cabin_c))
    if known.size:
        at = hold(batch, found.cabin_c[known], known)
        found.rh[known] = relative_humidity(at.cabin_c, at.cabin_w, batch.prepared.pressure_pa[known])
        found.vent_c[known] = vent_c(batch, at.balance, known)
        found.condensing_pa[known] = at.balance.condensing_pa
    return found
