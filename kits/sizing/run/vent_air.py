"""The air at the vents: off the coil, warmed by the ducts and by a heater matrix that lets hot water past its valve."""

import numpy as np

from kits.sizing.air.air_path import AirPath
from kits.sizing.balance.balance import BalanceResult
from kits.sizing.balance.both_coils import BothCoils
from kits.sizing.run.batch import Batch
from kits.sizing.run.run import Held
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


def each_vent_c(batch: Batch, held: Held) -> list[FloatArray]:
    """Temperature of the air at every vent of each point, in the order of its outlets, the front coil's first.

    Formula: t_i = t_off + q_matrix/(m·c) + q_ducts·(A_i/Σ A)/(m_i·c), with A = d·l of the vent's own duct and
        m_i = m·Q_i/Σ Q of its own coil's air.
    Parameters: batch; held, its points with their balance.
    Returns: °C, one array a point; NaN where the balance has no numbers, and at a vent without air.
    Validity: the heat of the ducts is known for all of them together and shared out by their walls; where no duct has
        any length, by the air. What a leaking matrix adds is the same everywhere.
    Source: heat balance of the air; common practice, no source, for sharing by the walls.
    Check: the mean by the vents' air is vent_c.
    """
    b = held.balance
    coils = [(b.air_off_c, b.air_off_w, held.inputs.air_kg_s)]
    if isinstance(b, BothCoils) and held.rear is not None:
        airs = (held.inputs.air_kg_s, held.rear.air_kg_s)
        coils = [(b.coils.air_off_c[k], b.coils.air_off_w[k], airs[k]) for k in range(len(airs))]
    flows = [air for air in (batch.air, batch.rear_air) if air is not None]
    return [
        _vents_of(
            [(float(c[i]), float(w[i]), float(kg_s[i])) for c, w, kg_s in coils],
            [(air.paths[i], air.row(i).outlet_m3_h) for air in flows],
            float(batch.prepared.duct_gain_w[i]),
            float(batch.prepared.matrix_leak_w[i]),
        )
        for i in range(len(batch.points))
    ]


def _vents_of(
    coils: list[tuple[float, float, float]],
    paths: list[tuple[AirPath, tuple[float, ...]]],
    ducts_w: float,
    matrix_w: float,
) -> FloatArray:
    """The vents of one point: of each coil its air off, and its outlets with their flows."""
    all_kg_s = sum(kg_s for *_, kg_s in coils)
    walls = [np.array([o.diameter_mm * o.length_m for o in path.outlets]) for path, _ in paths]
    wall = sum(float(one.sum()) for one in walls)
    found = []
    for (off_c, off_w, kg_s), (_, flow), own in zip(coils, paths, walls, strict=True):
        heat_j_kgk = HEAT_DRY_AIR + HEAT_VAPOUR * off_w
        share = np.asarray(flow) / np.sum(flow)
        vent_kg_s = np.where(share > 0, share * kg_s, np.nan)
        gain_w = ducts_w * (own / wall if wall > 0 else share * kg_s / all_kg_s)
        found.append(off_c + matrix_w / (all_kg_s * heat_j_kgk) + gain_w / (vent_kg_s * heat_j_kgk))
    return np.concatenate(found)
