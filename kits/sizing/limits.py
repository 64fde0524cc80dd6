"""Which of four things holds a plant's capacity: compressor, coil air, condenser or the freeze control."""

from typing import Any

import numpy as np

from kits.sizing.balance import BalanceResult, solve_balance
from kits.sizing.balance_input import UNSOLVED, BalanceInput, Status
from vehicles.physics.arrays import IntArray

STEP = 1.05
LEVERS: dict[str, tuple[str, ...]] = {
    "compressor": ("displacement_m3",),
    # the coil's conductance follows its air by itself
    "coil air": ("air_kg_s",),
    # scaling the reference flow too keeps the conductance's growth at these 5 %
    "condenser": ("cond_ua_w_k", "cond_air_kg_s", "cond_ref_air_kg_s"),
}
FREEZE = "freeze"


def limiting_factor(refrigerant_name: str, inputs: BalanceInput, result: BalanceResult) -> Any:
    """The limit of each point, an array of "compressor", "coil air", "condenser", "freeze" or None.

    A freeze-limited point is held by the freeze control. Otherwise it is the lever of which 5 % more brings
    the largest gain of capacity. None where the point has no numbers, or where no lever brings anything.

    result  what `solve_balance` gave for these inputs
    """
    flat, shape = inputs.flat()
    status = np.asarray(result.status).ravel()
    limit = np.full(status.size, None, dtype=object)
    frozen = _is_frozen(flat, result)
    limit[frozen] = FREEZE
    rows = np.flatnonzero(~np.isin(status, UNSOLVED) & ~frozen)
    if rows.size:
        limit[rows] = _best_lever(refrigerant_name, flat, rows, np.ravel(result.capacity_w)[rows])
    return limit.reshape(shape)


def _is_frozen(flat: BalanceInput, result: BalanceResult) -> Any:
    """Freeze-limited, also where the status names high pressure or over speed first."""
    status = np.asarray(result.status).ravel()
    held = np.ravel(result.surface_c) <= flat.freeze_surface_c
    return (status == Status.FREEZE_LIMITED) | (held & ~np.isin(status, UNSOLVED))


def _best_lever(refrigerant_name: str, flat: BalanceInput, rows: IntArray, capacity_w: Any) -> Any:
    some = flat.take(rows)
    gains = []
    for names in LEVERS.values():
        more = solve_balance(refrigerant_name, some.scaled(**dict.fromkeys(names, STEP)))
        gain = more.capacity_w / capacity_w - 1
        gains.append(np.where(np.isfinite(gain), gain, -np.inf))
    table = np.stack(gains)
    names_array = np.array(list(LEVERS), dtype=object)
    found = names_array[np.argmax(table, axis=0)]
    found[table.max(axis=0) <= 0] = None
    return found
