"""What a duty point's answer says of each coil, where a plant has two; and the air of both together."""

from dataclasses import replace
from typing import Any

import numpy as np

from kits.sizing.air.airflow import AirFlowBatch
from kits.sizing.balance.balance_input import BalanceInput
from kits.sizing.balance.both_coils import BothCoils
from kits.sizing.balance.two_coils import SecondCoil
from kits.sizing.case.rear_blower import share_at
from kits.sizing.run.batch import Batch
from kits.sizing.run.run import Held
from kits.sizing.verdict.record import CoilAnswer, DutyAnswer

PLACES = ("front", "rear")
NOT_OF_A_DUTY = ("place", "branch_loss_k")
"""What is told of a coil and not of a duty point."""


def air_told(batch: Batch, i: int) -> tuple[float, dict[str, float]]:
    """Air flow of a point, of both coils together, m³/h, and the velocity at every vent, m/s."""
    flows = [air.row(i) for air in (batch.air, batch.rear_air) if air is not None]
    vents = {
        code: speed
        for flow in flows
        for code, speed in zip(flow.outlet_codes, flow.outlet_velocity_m_s, strict=True)
    }
    return sum(flow.total_m3_h for flow in flows), vents


def coil_answers(batch: Batch, held: Held, i: int, vent_rise_k: float) -> tuple[CoilAnswer, ...]:
    """Each coil of a solved point, the front one first; empty where there is one coil, or no numbers.

    vent_rise_k  what the ducts warm the air by; they are given for the whole cabin, so it is the same for both
    """
    b, rear, rear_air = held.balance, held.rear, batch.rear_air
    if not isinstance(b, BothCoils) or rear is None or rear_air is None or not np.isfinite(b.capacity_w[i]):
        return ()
    found = []
    point = batch.points[i]
    blowers = (
        (float(batch.volts.front[i]), point.duty.blower_share),
        (float(batch.volts.rear[i]), share_at(point)),
    )
    # where the common line ends
    line_c = b.evaporating_c[i] - b.suction_loss_k[i]
    sides: tuple[tuple[BalanceInput | SecondCoil, AirFlowBatch], ...] = (
        (held.inputs, batch.air),
        (rear, rear_air),
    )
    for k, (x, air) in enumerate(sides):
        flow, of = air.row(i), b.coils
        found.append(
            CoilAnswer(
                place=PLACES[k],
                airflow_m3_h=flow.total_m3_h,
                vent_velocity_m_s=dict(zip(flow.outlet_codes, flow.outlet_velocity_m_s, strict=True)),
                coil_air_kg_s=float(x.air_kg_s[i]),
                air_in_c=float(x.air_in_c[i]),
                air_in_kg_kg=float(x.air_in_w[i]),
                air_off_c=float(of.air_off_c[k, i]),
                air_off_kg_kg=float(of.air_off_w[k, i]),
                vent_c=float(of.air_off_c[k, i]) + vent_rise_k,
                surface_c=float(of.surface_c[k, i]),
                evaporating_c=float(of.evaporating_c[k, i]),
                bypass_factor=float(of.bypass_factor[k, i]),
                capacity_w=float(of.capacity_w[k, i]),
                capacity_sensible_w=float(of.sensible_w[k, i]),
                flow_g_s=1000 * float(of.flow_kg_s[k, i]),
                condensate_kg_h=3600 * float(x.air_kg_s[i] * (x.air_in_w[i] - of.air_off_w[k, i])),
                suction_loss_k=float(of.evaporating_c[k, i] - line_c),
                branch_loss_k=float(of.evaporating_c[k, i] - of.junction_c[i]),
                blower_v=blowers[k][0],
                blower_share=blowers[k][1],
            )
        )
    return tuple(found)


def of_coil(answer: DutyAnswer, k: int) -> DutyAnswer:
    """The answer with one coil's numbers in the place of those of both, 0 the front one; itself where there is one.

    Load, margin and what the whole circuit does stay.
    """
    if not answer.coils:
        return answer
    own: dict[str, Any] = {n: v for n, v in vars(answer.coils[k]).items() if n not in NOT_OF_A_DUTY}
    return replace(answer, **own, coils=())
