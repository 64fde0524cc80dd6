"""The winter duty points: what the matrix gives, what the cabin loses, and the verdict on both."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from kits.sizing.air.airflow import AirFlow, airflow_batch
from kits.sizing.case.case import Case, Duty, Point
from kits.sizing.case.idle_blower import BlowerVolts, blower_volts
from kits.sizing.heat.heating import heat_against_need
from kits.sizing.verdict.judge import LARGEST_MARGIN, battery_v, margin_told, supply, word
from kits.sizing.verdict.missing import gap_of_air, gaps_of_load, missing_for_heat, not_sized
from kits.sizing.verdict.record import Criterion, DutyAnswer
from kits.sizing.verdict.winter import Winter, asked_point, held_c, need_w, winter
from vehicles.heatload.load import TERMS, HeatLoad, heat_load
from vehicles.physics.arrays import FloatArray

LIMIT = "heater matrix"
STATUS = "heating"


def winter_answers(case: Case, duties: Sequence[Duty], *, with_holds: bool) -> list[DutyAnswer]:
    """The answer of each winter duty point of a kit that brings heat, in order.

    One that lacks an input is answered as not sized.
    """
    points = [Point(case, duty) for duty in duties]
    gaps = [missing_for_heat(point) for point in points]
    complete = [point for point, found in zip(points, gaps, strict=True) if not found]
    answered = iter(_answers(case, complete, with_holds=with_holds) if complete else ())
    return [
        not_sized(point.duty, found) if found else next(answered)
        for point, found in zip(points, gaps, strict=True)
    ]


@dataclass(frozen=True, kw_only=True)
class _Heated:
    """Winter points of a case with what came out at their targets; arrays have one row a point."""

    state: Winter
    load: HeatLoad
    need_w: FloatArray
    heat_w: FloatArray
    inlet_c: FloatArray
    vent_c: FloatArray
    holds_c: FloatArray


def _answers(case: Case, points: Sequence[Point], *, with_holds: bool) -> list[DutyAnswer]:
    volts = blower_volts(points)
    flows = airflow_batch(
        [case.unit.air_path] * len(points),
        volts.front,
        [point.duty.blower_share for point in points],
    )
    each = [flows.row(i) for i in range(len(points))]
    asked = [asked_point(case, p.duty, flow.total_m3_h) for p, flow in zip(points, each, strict=True)]
    found = _heated(winter(asked, None if case.car.is_electric else case.matrix), with_holds)
    return [_answer(point, found, i, each[i], volts) for i, point in enumerate(points)]


def _heated(state: Winter, with_holds: bool) -> _Heated:
    target_c = state.prepared.target_c
    inlet_c, heat_w = state.inlet_c(target_c), np.zeros(len(state.points))
    vent_c = inlet_c
    if state.matrix is not None:
        given = state.heat(target_c)
        heat_w, vent_c = given.heat_w, given.air_out_c
    holds_c = held_c(state) if with_holds else np.full(len(state.points), np.nan)
    load = heat_load(state.prepared, target_c, 0.0)
    return _Heated(
        state=state,
        load=load,
        need_w=need_w(state),
        heat_w=heat_w,
        inlet_c=inlet_c,
        vent_c=vent_c,
        holds_c=holds_c,
    )


def _answer(point: Point, found: _Heated, i: int, flow: AirFlow, volts: BlowerVolts) -> DutyAnswer:
    case, duty = point.case, point.duty
    if flow.reason:
        return not_sized(duty, (gap_of_air(point, flow.reason),))
    if gaps := gaps_of_load(case.car, found.state.prepared.missing[i]):
        return not_sized(duty, gaps)
    need, heat, holds_c = float(found.need_w[i]), float(found.heat_w[i]), float(found.holds_c[i])
    margin = min(heat_against_need(heat, need, case.reserve_share).margin_share, LARGEST_MARGIN)
    target_c = duty.climate.target_c
    judged = [*supply(point), _criterion(case, target_c or 0.0, heat, need, margin)]
    return DutyAnswer(
        code=duty.code,
        name=duty.name,
        kind=duty.kind,
        required=duty.required,
        verdict=word(judged),
        criteria=tuple(judged),
        status=STATUS,
        limit=LIMIT,
        target_c=target_c,
        judged_at_c=target_c,
        sensible_w_by_term={term: -float(found.load.sensible_w[term][i]) for term in TERMS},
        load_w=need,
        load_sensible_w=need,
        capacity_w=heat,
        capacity_sensible_w=heat,
        margin_share=margin,
        holds_c=holds_c if np.isfinite(holds_c) else None,
        air_in_c=float(found.inlet_c[i]),
        vent_c=float(found.vent_c[i]),
        airflow_m3_h=flow.total_m3_h,
        vent_velocity_m_s=dict(zip(flow.outlet_codes, flow.outlet_velocity_m_s, strict=True)),
        coolant_c=None if case.car.is_electric else found.state.points[i].coolant_c,
        battery_v=battery_v(volts.supply.row(i))[0],
        blower_v=float(volts.front[i]),
        blower_share=duty.blower_share,
    )


def _criterion(case: Case, target_c: float, heat_w: float, need_w: float, margin: float) -> Criterion:
    if case.car.is_electric:
        text = f"An electric car has no hot water: the matrix gives nothing against {need_w / 1000:.1f} kW needed."
        return Criterion("heat", text, need_w <= 0)
    if need_w <= 0:
        return Criterion(
            "heat", f"Nothing to heat: the cabin gains at {target_c:.0f} °C what it loses.", True
        )
    text = (
        f"At {target_c:.0f} °C in the cabin the matrix gives {heat_w / 1000:.1f} kW against {need_w / 1000:.1f} kW "
        f"that the cabin loses: {margin_told(margin, case.reserve_share)}"
    )
    return Criterion("heat", text, margin >= 0, 0 <= margin < case.reserve_share)
