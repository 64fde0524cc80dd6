"""Which of four limits holds a point back: compressor, coil air, condenser or the freeze control."""

from typing import Any

import numpy as np

from kits.sizing.balance import BalanceResult, solve_balance
from kits.sizing.balance_input import UNSOLVED, BalanceInput, Status

STEP = 1.05
"""Each is enlarged by 5 %; the one that gains most is the limit."""
ENLARGED = {
    "compressor": {"displacement_m3": STEP},
    "coil air": {"air_kg_s": STEP},
    "condenser": {"cond_ua_w_k": STEP, "cond_air_kg_s": STEP},
}


def limiting_factor(refrigerant: str, inputs: BalanceInput, result: BalanceResult) -> np.ndarray[Any, Any]:
    """Name of the limit per point, None where the point is not solved.

    Freeze-limited points are held by "freeze"; for the others the balance is solved anew with each of compressor,
    coil air and condenser 5 % larger, and the one that raises the capacity most is named.
    """
    gains = []
    for factors in ENLARGED.values():
        larger = solve_balance(refrigerant, inputs.scaled(**factors))
        gains.append(np.nan_to_num(larger.capacity_w / result.capacity_w - 1, nan=-np.inf))
    names = np.array(list(ENLARGED), dtype=object)[np.argmax(np.stack(gains), axis=0)]
    names[np.asarray(result.status) == Status.FREEZE_LIMITED] = "freeze"
    names[np.isin(result.status, UNSOLVED)] = None
    return names
