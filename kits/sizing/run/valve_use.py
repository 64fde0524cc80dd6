"""How much of its expansion valve each point of a batch uses."""

import numpy as np

from kits.sizing.balance.both_coils import BothCoils
from kits.sizing.gas.refrigerant import refrigerant
from kits.sizing.gas.valve import operating_state, rating_state, used_share, valve_capacity_w
from kits.sizing.run.batch import Batch
from kits.sizing.run.run import Held
from vehicles.physics.arrays import FloatArray


def valve_shares(batch: Batch, held: Held) -> FloatArray:
    """The share of a valve's capacity that a point uses, of two coils the larger; NaN where that is not known.

    Not known is a point without numbers, and a coil without a valve of stated capacity.
    """
    b = held.balance
    coils = [(b.evaporating_c, b.capacity_w)]
    if isinstance(b, BothCoils):
        coils = list(zip(b.coils.evaporating_c, b.coils.capacity_w, strict=True))
    plants = [p.case.plant for p in batch.points]
    nominal = [[plant.valve_w for plant in plants], [plant.rear and plant.rear.valve_w for plant in plants]]
    shares = [
        _shares(batch, b.condensing_c, np.array(valve_w, dtype=np.float64), *coil)
        for valve_w, coil in zip(nominal, coils, strict=False)
    ]
    largest: FloatArray = np.fmax.reduce(shares)
    return largest


def _shares(
    batch: Batch,
    condensing_c: FloatArray,
    valve_w: FloatArray,
    evaporating_c: FloatArray,
    capacity_w: FloatArray,
) -> FloatArray:
    found = np.full(len(batch.points), np.nan)
    rows = np.flatnonzero(
        np.isfinite(valve_w * evaporating_c * condensing_c * capacity_w) & (capacity_w >= 0)
    )
    if rows.size:
        gas = refrigerant(batch.refrigerant)
        plants = [batch.points[i].case.plant for i in rows]
        state = operating_state(
            gas, evaporating_c[rows], condensing_c[rows],
            np.array([p.superheat_k for p in plants]), np.array([p.subcooling_k for p in plants]),
        )  # fmt: skip
        found[rows] = used_share(capacity_w[rows], valve_capacity_w(valve_w[rows], rating_state(gas), state))
    return found
