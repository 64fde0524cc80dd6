"""Which of four things holds a plant's capacity: compressor, coil air, condenser or the freeze control."""

from dataclasses import replace
from typing import Any

import numpy as np

from kits.sizing.balance.balance import BalanceResult
from kits.sizing.balance.balance_input import UNSOLVED, BalanceInput, Status
from kits.sizing.balance.both_coils import solve_plant, take
from kits.sizing.balance.two_coils import SecondCoil

STEP = 1.05
LEVERS: dict[str, tuple[str, ...]] = {
    "compressor": ("displacement_m3",),
    # the coil's conductance follows its air by itself
    "coil air": ("air_kg_s",),
    # scaling the reference flow too keeps the conductance's growth at these 5 %
    "condenser": ("cond_ua_w_k", "cond_air_kg_s", "cond_ref_air_kg_s"),
}
FREEZE = "freeze"


def limiting_factor(
    refrigerant_name: str, inputs: BalanceInput, result: BalanceResult, rear: SecondCoil | None = None
) -> Any:
    """The limit of each point, an array of "compressor", "coil air", "condenser", "freeze" or None.

    A freeze-limited point is held by the freeze control. Otherwise it is the lever of which 5 % more brings
    the largest gain of capacity. None where the point has no numbers, or where no lever brings anything.

    result  what `solve_plant` gave for these inputs and the rear coils, of which every field is an array of the
            inputs' size
    """
    flat, shape = inputs.flat()
    status = np.asarray(result.status).ravel()
    limit = np.full(status.size, None, dtype=object)
    frozen = _is_frozen(flat, result)
    limit[frozen] = FREEZE
    rows = np.flatnonzero(~np.isin(status, UNSOLVED) & ~frozen)
    if rows.size:
        limit[rows] = _best_lever(
            refrigerant_name, flat.take(rows), take(rear, rows), np.ravel(result.capacity_w)[rows]
        )
    return limit.reshape(shape)


def _is_frozen(flat: BalanceInput, result: BalanceResult) -> Any:
    """Freeze-limited, also where the status names high pressure or over speed first."""
    status = np.asarray(result.status).ravel()
    # a plant that cycles does so for its fins; of two coils the governing one is found, not set
    held = (np.ravel(result.surface_c) <= flat.freeze_surface_c) | (np.ravel(result.duty) < 1)
    return (status == Status.FREEZE_LIMITED) | (held & ~np.isin(status, UNSOLVED))


def _best_lever(refrigerant_name: str, some: BalanceInput, rear: SecondCoil | None, capacity_w: Any) -> Any:
    gains = []
    for names in LEVERS.values():
        other = rear
        if rear is not None and "air_kg_s" in names:
            other = replace(rear, air_kg_s=STEP * rear.air_kg_s)
        more = solve_plant(refrigerant_name, some.scaled(**dict.fromkeys(names, STEP)), other)
        gain = more.capacity_w / capacity_w - 1
        gains.append(np.where(np.isfinite(gain), gain, -np.inf))
    table = np.stack(gains)
    names_array = np.array(list(LEVERS), dtype=object)
    found = names_array[np.argmax(table, axis=0)]
    found[table.max(axis=0) <= 0] = None
    return found
