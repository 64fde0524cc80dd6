"""The air at the vents: off the coil, warmed by the ducts and by a heater matrix that lets hot water past its valve."""

from kits.sizing.balance import BalanceResult
from kits.sizing.batch import Batch
from vehicles.physics.air import HEAT_DRY_AIR, HEAT_VAPOUR
from vehicles.physics.arrays import FloatArray, IntArray


def vent_c(batch: Batch, balance: BalanceResult, rows: IntArray) -> FloatArray:
    """Temperature of the air at the vents of some points, whose balance is given in their order.

    Formula: t_vent = t_off + (q_ducts + q_matrix)/(m·(c_p,air + W·c_p,vapour)).
    Parameters: batch; balance of the rows; rows, their places in the batch.
    Returns: °C; NaN where the balance has no numbers.
    Validity: both heats enter all air behind the coil, of two coils the mix of both.
    Source: heat balance of the air.
    Check: by hand: 300 W into 0.1 kg/s lift it by 2.9 to 3.0 K.
    """
    heat_w = batch.prepared.duct_gain_w[rows] + batch.prepared.matrix_leak_w[rows]
    per_k_w = batch.air_kg_s[rows] * (HEAT_DRY_AIR + HEAT_VAPOUR * balance.air_off_w)
    found: FloatArray = balance.air_off_c + heat_w / per_k_w
    return found
