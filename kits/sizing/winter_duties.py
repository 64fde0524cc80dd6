"""The winter duty points: what the matrix gives, what the cabin loses, and the verdict on both."""

from collections.abc import Sequence

import numpy as np

from kits.sizing.airflow import AirFlow, airflow_batch
from kits.sizing.case import Case, Duty, Point
from kits.sizing.heating import heat_against_need
from kits.sizing.judge import LARGEST_MARGIN, supply, word
from kits.sizing.record import VERDICTS, Criterion, DutyAnswer, Gap
from kits.sizing.winter import Winter, asked_point, held_c, need_w, winter
from vehicles.heatload.load import TERMS, heat_load

LIMIT = "heater matrix"
STATUS = "heating"


def winter_answers(case: Case, duties: Sequence[Duty]) -> list[DutyAnswer]:
    """The answer of each winter duty point of a kit that brings heat, in order.

    One that lacks an input is answered as not sized.
    """
    gaps = [_missing(case, duty) for duty in duties]
    rows = [k for k, found in enumerate(gaps) if not found]
    answers = {k: _not_sized(duties[k], found) for k, found in enumerate(gaps) if found}
    if rows:
        chosen = [duties[k] for k in rows]
        answers |= dict(zip(rows, _answers(case, chosen), strict=True))
    return [answers[k] for k in range(len(duties))]


def _missing(case: Case, duty: Duty) -> tuple[Gap, ...]:
    """What a winter point needs beyond the heat load's own inputs; an electric car has no water to miss."""
    car, state = case.car, duty.climate.engine_state
    gaps = list(case.matrix_gaps)
    wanted = [
        (case.mounting.blower_voltage_v, "fitment", "blower_voltage_v", "voltage at the blower motor"),
        (car.system_voltage_v, "powertrain", "system_voltage_v", "system voltage"),
    ]
    if not car.is_electric:
        at = "at hot idle" if state == "idle" else "at cruise"
        wanted += [
            (car.coolant_c.get(state), "powertrain", f"coolant_c.{state}", f"coolant temperature {at}"),
            (
                car.coolant_flow_l_min.get(state), "powertrain", f"coolant_flow_l_min.{state}",
                f"coolant flow through the heater {at}",
            ),
        ]  # fmt: skip
    for value, owner, name, text in wanted:
        if value is None:
            sentence = f"{car.name}: the {text} is missing."
            gaps.append(Gap(f"{owner}.{name}", car.where.get(owner, owner), sentence))
    return tuple(gaps)


def _not_sized(duty: Duty, gaps: tuple[Gap, ...]) -> DutyAnswer:
    return DutyAnswer(duty.code, duty.name, duty.kind, duty.required, VERDICTS[3], missing=gaps)


def _answers(case: Case, duties: Sequence[Duty]) -> list[DutyAnswer]:
    flows = airflow_batch(
        [case.unit.air_path] * len(duties),
        [case.mounting.blower_voltage_v or np.nan] * len(duties),
        [duty.blower_share for duty in duties],
    )
    each = [flows.row(i) for i in range(len(duties))]
    points = [asked_point(case, duty, flow.total_m3_h) for duty, flow in zip(duties, each, strict=True)]
    state = winter(points, None if case.car.is_electric else case.matrix)
    held = held_c(state)
    return [_answer(case, duty, state, i, each[i], float(held[i])) for i, duty in enumerate(duties)]


def _answer(case: Case, duty: Duty, state: Winter, i: int, flow: AirFlow, held: float) -> DutyAnswer:
    car, target_c = case.car, duty.climate.target_c
    if flow.reason:
        place = Gap("airflow", "kit", f"{car.name}, {duty.name}: {flow.reason}")
        return _not_sized(duty, (place,))
    if state.prepared.missing[i]:
        gaps = tuple(
            Gap(m.path, car.where.get(_owner(m.path), _owner(m.path)), f"{car.name}: {m.sentence}")
            for m in state.prepared.missing[i]
        )
        return _not_sized(duty, gaps)
    at = heat_load(state.prepared, state.prepared.target_c, 0.0)
    need, heat, vent = float(need_w(state)[i]), 0.0, float(state.inlet_c(state.prepared.target_c)[i])
    if state.matrix is not None:
        given = state.heat(state.prepared.target_c)
        heat, vent = float(given.heat_w[i]), float(given.air_out_c[i])
    margin = min(heat_against_need(heat, need, case.reserve_share).margin_share, LARGEST_MARGIN)
    judged = [*supply(Point(case, duty)), _criterion(case, target_c or 0.0, heat, need, margin)]
    return DutyAnswer(
        duty.code, duty.name, duty.kind, duty.required, word(judged), tuple(judged),
        status=STATUS,
        limit=LIMIT,
        target_c=target_c,
        judged_at_c=target_c,
        sensible_w_by_term={term: -float(at.sensible_w[term][i]) for term in TERMS},
        load_w=need,
        load_sensible_w=need,
        capacity_w=heat,
        capacity_sensible_w=heat,
        margin_share=margin,
        holds_c=held if np.isfinite(held) else None,
        air_in_c=float(state.inlet_c(state.prepared.target_c)[i]),
        vent_c=vent,
        airflow_m3_h=flow.total_m3_h,
        vent_velocity_m_s=dict(zip(flow.outlet_codes, flow.outlet_velocity_m_s, strict=True)),
        coolant_c=None if car.is_electric else state.points[i].coolant_c,
    )  # fmt: skip


def _owner(path: str) -> str:
    owner = path.split(".")[0]
    return {"engine": "powertrain"}.get(owner, owner)


def _criterion(case: Case, target_c: float, heat_w: float, need_w: float, margin: float) -> Criterion:
    if case.car.is_electric:
        text = f"An electric car has no hot water: the matrix gives nothing against {need_w / 1000:.1f} kW needed."
        return Criterion("heat", text, need_w <= 0)
    if need_w <= 0:
        return Criterion(
            "heat", f"Nothing to heat: the cabin gains at {target_c:.0f} °C what it loses.", True
        )
    found = f"{100 * abs(margin):.0f} % {'more' if margin >= 0 else 'less'} than needed"
    if margin >= 2:
        found = f"{1 + margin:.0f} times what is needed"
    text = (
        f"At {target_c:.0f} °C in the cabin the matrix gives {heat_w / 1000:.1f} kW against {need_w / 1000:.1f} kW "
        f"that the cabin loses: {found}; {100 * case.reserve_share:.0f} % reserve is asked."
    )
    return Criterion("heat", text, margin >= 0, 0 <= margin < case.reserve_share)
