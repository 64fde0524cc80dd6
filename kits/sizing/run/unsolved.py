"""Why a point of a batch has no numbers, in a sentence."""

from dataclasses import replace

import numpy as np

from kits.sizing.balance.balance_input import UNSOLVED
from kits.sizing.balance.both_coils import solve_plant, take
from kits.sizing.run.batch import Batch
from kits.sizing.run.run import FIRST_HUMIDITY, Held
from vehicles.physics.air import saturation_humidity_ratio

NO_HUMIDITY = "No humidity of the cabin was found at which the coil takes out the water that comes in."


def reasons(batch: Batch, held: Held) -> list[str]:
    """For each point why it was not solved; empty where it was.

    Where no humidity of the cabin was found, the balance itself was asked for none: it is asked at the cabin's
    temperature with a common humidity, and what it says then is the reason.
    """
    found = [
        str(reason or NO_HUMIDITY) if str(status) in UNSOLVED else ""
        for status, reason in zip(held.balance.status, held.balance.reason, strict=True)
    ]
    rows = np.flatnonzero(~np.isfinite(held.cabin_w) & batch.prepared.is_complete)
    if rows.size:
        cabin_c = held.cabin_c[rows]
        humid = FIRST_HUMIDITY * saturation_humidity_ratio(cabin_c, batch.prepared.pressure_pa[rows])
        air = {"air_in_c": cabin_c, "air_in_w": humid}
        asked, rear = replace(batch.plants.take(rows), **air), take(batch.rear, rows)
        if rear is not None:
            rear = replace(rear, **air)
        for i, reason in zip(rows, solve_plant(batch.refrigerant, asked, rear).reason, strict=True):
            found[i] = str(reason or NO_HUMIDITY)
    return found
