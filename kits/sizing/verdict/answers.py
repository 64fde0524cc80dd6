"""The answer of each duty point of a batch of cases: load, capacity, gauges, vents, and what is missing.

Everything runs as arrays over all cases and duty points.
"""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from kits.sizing.balance.limits import limiting_factor
from kits.sizing.case.case import Case, Duty, Point
from kits.sizing.run.batch import Batch, in_batches
from kits.sizing.run.engaged import engaged_condensing_pa
from kits.sizing.run.idle_cabin import idle_cabins
from kits.sizing.run.run import Held, balance_temperature, hold
from kits.sizing.run.unsolved import reasons
from kits.sizing.run.valve_use import valve_shares
from kits.sizing.run.vent_air import vent_c as vent_air_c
from kits.sizing.verdict.coil_answers import air_told, coil_answers
from kits.sizing.verdict.judge import State, battery_v, criteria, judged_at_c, margin_share, word
from kits.sizing.verdict.missing import gap_of_air, gaps_of_load, missing_for, not_sized
from kits.sizing.verdict.record import DutyAnswer
from kits.sizing.verdict.winter_duties import winter_answers
from kits.sizing.words.gap import Gap
from vehicles.heatload.load import TERMS, heat_load
from vehicles.physics.air import relative_humidity
from vehicles.physics.arrays import FloatArray
from vehicles.physics.pressure import gauge_bar_g


def answers_at(case: Case, duties: Sequence[Duty], *, with_holds: bool) -> tuple[DutyAnswer, ...]:
    """What one case comes to at some duty points; those that ask for heat of a kit that brings none are left out."""
    return answers_of([(case, duties)], with_holds=with_holds)[0]


def answers_of(
    wanted: Sequence[tuple[Case, Sequence[Any]]], *, with_holds: bool
) -> list[tuple[DutyAnswer, ...]]:
    """The answers of each case at the given duty points; incomplete points are answered as not sized."""
    places = [(i, Point(case, duty)) for i, (case, duties) in enumerate(wanted) for duty in duties]
    found: dict[int, list[DutyAnswer]] = {i: [] for i in range(len(wanted))}
    answered: dict[tuple[int, str], DutyAnswer] = {}
    complete: list[tuple[int, Point]] = []
    for i, (case, duties) in enumerate(wanted):
        heated = [duty for duty in duties if duty.of_kind.asks_heat and case.brings_heat]
        for answer in winter_answers(case, heated, with_holds=with_holds):
            answered[i, answer.code] = answer
    for i, point in places:
        if point.duty.of_kind.asks_heat:
            continue
        if gaps := _heats_only(point) or missing_for(point):
            answered[i, point.duty.code] = not_sized(point.duty, gaps)
        else:
            complete.append((i, point))
    solved = in_batches([point for _, point in complete], lambda batch, _rows: _solve(batch, with_holds))
    for (i, point), answer in zip(complete, solved, strict=True):
        answered[i, point.duty.code] = answer
    for i, point in places:
        if (i, point.duty.code) in answered:
            found[i].append(answered[i, point.duty.code])
    return [tuple(found[i]) for i in range(len(wanted))]


def _heats_only(point: Point) -> tuple[Gap, ...]:
    """Why a kit that heats only is not judged at a point that asks for cooling."""
    if not point.case.heats_only:
        return ()
    sentence = (
        f"The kit heats only: it can't be judged at {point.duty.name}. Offer it with winter duty points."
    )
    return (Gap("kit.refrigerant", "kit", sentence),)


def _solve(batch: Batch, with_holds: bool) -> list[DutyAnswer]:
    goal = np.array([judged_at_c(p) for p in batch.points])
    held = hold(batch, goal)
    n = len(batch.points)
    limits = np.full(n, None, dtype=object)
    holds_c, holds_rh = np.full(n, np.nan), np.full(n, np.nan)
    if with_holds:
        limits = limiting_factor(batch.refrigerant, held.inputs, held.balance, held.rear)
        # at idle the criteria are the engine's and the vents'; a cabin that is held is not asked for
        is_asked = np.array([p.duty.of_kind.is_held for p in batch.points])
        solved = np.flatnonzero(np.isfinite(held.balance.capacity_w) & batch.prepared.is_complete & is_asked)
        if solved.size:
            holds_c[solved] = balance_temperature(batch, solved)
            known = np.flatnonzero(np.isfinite(holds_c))
            if known.size:
                at = hold(batch, holds_c[known], known)
                holds_rh[known] = relative_humidity(at.cabin_c, at.cabin_w, batch.prepared.pressure_pa[known])
    idle = idle_cabins(batch, held)
    warm = np.isfinite(idle.cabin_c)
    holds_c[warm], holds_rh[warm] = idle.cabin_c[warm], idle.rh[warm]
    engaged_pa = engaged_condensing_pa(batch.refrigerant, held)
    vents_c = vent_air_c(batch, held.balance, np.arange(n))
    valve, nothing, why = valve_shares(batch, held), _nothing_to_cool(batch, held), reasons(batch, held)
    return [
        _answer(
            batch=batch,
            held=held,
            i=i,
            reason=why[i],
            limit=limits[i],
            holds_c=holds_c[i],
            holds_rh=holds_rh[i],
            vent_c=float(vents_c[i]),
            idle_vent_c=float(idle.vent_c[i]),
            valve_share=float(valve[i]),
            nothing_to_cool=bool(nothing[i]),
            idle_high_side_pa=float(idle.condensing_pa[i]),
            engaged_pa=float(engaged_pa[i]),
        )
        for i in range(n)
    ]


def _nothing_to_cool(batch: Batch, held: Held) -> Any:
    """Whether the cabin at the judged temperature gives off at least as much sensible heat as it takes in."""
    # without a balance no humidity was found; it hardly moves the sensible load
    cabin_w = np.where(np.isfinite(held.cabin_w), held.cabin_w, batch.prepared.outside_w)
    return heat_load(batch.prepared, held.cabin_c, cabin_w).total_sensible_w <= 0


def _number(value: Any) -> float | None:
    return float(value) if value is not None and np.isfinite(value) else None


def _gauge(pa: Any) -> float | None:
    return _number(gauge_bar_g(pa))


def _answer(
    *, batch: Batch, held: Held, i: int, reason: str, limit: Any, holds_c: float, holds_rh: float, vent_c: float,
    idle_vent_c: float, valve_share: float, nothing_to_cool: bool, idle_high_side_pa: float,
    engaged_pa: float,
) -> DutyAnswer:  # fmt: skip
    point, b = batch.points[i], held.balance
    duty, car = point.duty, point.case.car
    gaps = gaps_of_load(car, batch.prepared.missing[i])
    if reason_of_air := batch.air_gap(i):
        gaps = (gap_of_air(point, reason_of_air),)
    if gaps:
        return not_sized(duty, gaps)
    supply = batch.volts.supply.row(i)
    state = State(
        status=str(b.status[i]),
        reason=reason,
        load_w=float(held.load.total_w[i]),
        load_sensible_w=float(held.load.total_sensible_w[i]),
        capacity_w=float(b.capacity_w[i]),
        capacity_sensible_w=float(b.sensible_w[i]),
        vent_c=vent_c,
        high_side_pa=float(b.condensing_pa[i]),
        over_discharge_limit=bool(b.over_discharge_limit[i]),
        heat_rejected_w=float(b.heat_rejected_w[i]),
        condenser_air_kg_s=float(batch.plants.cond_air_kg_s[i]),
        idle_vent_c=idle_vent_c,
        idle_cabin_c=holds_c,
        valve_share=valve_share,
        nothing_to_cool=nothing_to_cool,
        idle_high_side_pa=idle_high_side_pa,
        engaged_pa=engaged_pa,
        supply=supply,
    )
    judged = criteria(point, state)
    is_asked = duty.of_kind.is_held and not nothing_to_cool
    margin = margin_share(state) if is_asked else None
    flow_m3_h, vents = air_told(batch, i)
    return DutyAnswer(
        code=duty.code,
        name=duty.name,
        kind=duty.kind,
        required=duty.required,
        verdict=word(judged),
        criteria=tuple(judged),
        missing=(),
        status=state.status,
        limit=str(limit or ""),
        target_c=duty.climate.target_c,
        judged_at_c=judged_at_c(point),
        cabin_humidity_share=_humidity_share(batch, held, i),
        sensible_w_by_term=_terms(held.load.sensible_w, i),
        latent_w_by_term=_terms(held.load.latent_w, i),
        load_w=_number(state.load_w),
        load_sensible_w=_number(state.load_sensible_w),
        capacity_w=_number(state.capacity_w),
        capacity_sensible_w=_number(state.capacity_sensible_w),
        margin_share=margin,
        holds_c=_number(holds_c),
        holds_humidity_share=_number(holds_rh),
        air_in_c=_number(held.air_in_c[i]),
        air_off_c=_number(b.air_off_c[i]),
        vent_c=_number(vent_c),
        airflow_m3_h=_number(flow_m3_h),
        vent_velocity_m_s=vents,
        evaporating_c=_number(b.evaporating_c[i]),
        condensing_c=_number(b.condensing_c[i]),
        low_side_bar_g=_gauge(b.suction_pa[i]),
        high_side_bar_g=_gauge(b.condensing_pa[i]),
        discharge_c=_number(b.discharge_c[i]),
        flow_g_s=_number(b.flow_kg_s[i] * 1000),
        power_w=_number(b.power_w[i]),
        torque_nm=_number(b.torque_nm[i]),
        compressor_rpm=_number(b.speed_rpm[i]),
        duty_share=_number(b.duty[i]),
        condensate_kg_h=_number(b.condensate_kg_h[i]),
        suction_loss_k=_number(b.suction_loss_k[i]),
        condenser_air_c=_number(batch.condenser_air_c[i]),
        battery_v=battery_v(supply)[0],
        coolant_c=car.coolant_c.get("idle") if duty.of_kind.idles else None,
        surface_c=_number(b.surface_c[i]),
        bypass_factor=_number(b.bypass_factor[i]),
        air_in_kg_kg=_number(held.air_in_w[i]),
        air_off_kg_kg=_number(b.air_off_w[i]),
        coil_air_kg_s=_number(batch.air_kg_s[i]),
        discharge_bar_g=_gauge(b.discharge_pa[i]),
        heat_rejected_w=_number(b.heat_rejected_w[i]),
        cop=_number(b.cop[i]),
        coils=coil_answers(batch, held, i, state.vent_c - float(b.air_off_c[i])),
        vent_judged_c=_number(state.vent_judged_c) if duty.of_kind.idles else None,
        engaged_bar_g=_gauge(engaged_pa),
        blower_v=_number(batch.volts.front[i]),
        blower_share=duty.blower_share,
    )


def _terms(loads: Mapping[str, FloatArray], i: int) -> dict[str, float]:
    """The load of a point by term; empty where one of them has no number."""
    found = {term: float(loads[term][i]) for term in TERMS}
    return found if np.isfinite(list(found.values())).all() else {}


def _humidity_share(batch: Batch, held: Held, i: int) -> float | None:
    if not np.isfinite(held.cabin_w[i]):
        return None
    return _number(relative_humidity(held.cabin_c[i], held.cabin_w[i], batch.prepared.pressure_pa[i]))
