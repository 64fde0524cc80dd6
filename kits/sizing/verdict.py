"""Size a batch of cases: the answer of each duty point, the verdict, what it holds, other states, what would help.

Everything runs as arrays over all cases and duty points; levers are cases of their own in the same batch.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import combinations
from typing import Any

import numpy as np

from kits.sizing.batch import Batch, in_batches
from kits.sizing.case import Case, Duty, Point
from kits.sizing.coil_answers import air_told, coil_answers
from kits.sizing.defaults import default_value
from kits.sizing.engaged import engaged_condensing_pa
from kits.sizing.hot_cabin import hot_cabins
from kits.sizing.idle_cabin import idle_cabins
from kits.sizing.judge import State, battery_v, criteria, judged_at_c, margin_share, word
from kits.sizing.levers import Lever, levers, pulled
from kits.sizing.limits import limiting_factor
from kits.sizing.missing import gap_of_air, gaps_of_load, missing_for, not_sized
from kits.sizing.outlook import outlooks
from kits.sizing.pull_down_duties import judged_by_course
from kits.sizing.record import VERDICTS, DutyAnswer, Gap, LeverAnswer, SizingRecord
from kits.sizing.run import Held, balance_temperature, hold
from kits.sizing.run_test import run_tests
from kits.sizing.unsolved import reasons
from kits.sizing.valve_use import valve_shares
from kits.sizing.vent_air import vent_c as vent_air_c
from kits.sizing.winter_duties import winter_answers
from vehicles.heatload.load import TERMS, heat_load
from vehicles.physics.air import relative_humidity
from vehicles.physics.arrays import FloatArray
from vehicles.physics.pressure import gauge_bar_g
from vehicles.physics.quantities import format_value, signed_percent

JUDGED_KINDS = ("cruise", "town", "idle", "pull-down")
"""Kinds of duty point at which cooling is judged; at a winter point heating is."""
HELD_KINDS = ("cruise", "town")
COMBINED_LEVERS = 4
LEAST_GAIN = 0.001
LEAST_EASE = 0.01
EASED = {
    "battery": ("battery_v", "battery", 1),
    "head": ("high_side_bar_g", "head pressure", -1),
    "vent": ("vent_judged_c", "vents", -1),
    "pull-down": ("pull_down_c", "cabin at the end of the pull-down", -1),
}
"""Criteria beside the margin that a change can ease: the number that tells, its name, the better direction."""


def size(cases: Sequence[Case]) -> list[SizingRecord]:
    """The sizing record of each case, in order."""
    answers = _answers([(case, case.duties) for case in cases], with_holds=True)
    records = _records(cases, answers)
    beside = zip(records, outlooks(cases, records), run_tests(cases), strict=True)
    whole = [replace(record, outlook=outlook, run_test=test) for record, outlook, test in beside]
    return _with_levers(cases, whole)


def _records(cases: Sequence[Case], answers: Sequence[tuple[DutyAnswer, ...]]) -> list[SizingRecord]:
    """The records of answered cases, with their pull-downs judged."""
    records = [_record(case, found) for case, found in zip(cases, answers, strict=True)]
    found = []
    for case, record, hot in zip(cases, records, hot_cabins(cases, records), strict=True):
        with_hot = replace(record, hot_cabins=hot)
        found.append(replace(_record(case, judged_by_course(case, with_hot)), hot_cabins=hot))
    return found


def answers_at(case: Case, duties: Sequence[Duty], *, with_holds: bool) -> tuple[DutyAnswer, ...]:
    """What one case comes to at some duty points; those of a kind that is not judged are left out."""
    return _answers([(case, duties)], with_holds=with_holds)[0]


def _answers(
    wanted: Sequence[tuple[Case, Sequence[Any]]], *, with_holds: bool
) -> list[tuple[DutyAnswer, ...]]:
    """The answers of each case at the given duty points; incomplete points are answered as not sized."""
    places = [(i, Point(case, duty)) for i, (case, duties) in enumerate(wanted) for duty in duties]
    found: dict[int, list[DutyAnswer]] = {i: [] for i in range(len(wanted))}
    answered: dict[tuple[int, str], DutyAnswer] = {}
    complete: list[tuple[int, Point]] = []
    for i, (case, duties) in enumerate(wanted):
        heated = [duty for duty in duties if duty.kind == "winter" and case.brings_heat]
        for answer in winter_answers(case, heated, with_holds=with_holds):
            answered[i, answer.code] = answer
    for i, point in places:
        if point.duty.kind not in JUDGED_KINDS:
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
        is_asked = np.array([p.duty.kind in HELD_KINDS for p in batch.points])
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
            batch, held, i, why[i], limits[i], holds_c[i], holds_rh[i], float(vents_c[i]), float(idle.vent_c[i]),
            float(valve[i]), bool(nothing[i]), float(idle.condensing_pa[i]), float(engaged_pa[i]),
        )
        for i in range(n)
    ]  # fmt: skip


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
    batch: Batch, held: Held, i: int, reason: str, limit: Any, holds_c: float, holds_rh: float, vent_c: float,
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
        str(b.status[i]), reason, float(held.load.total_w[i]), float(held.load.total_sensible_w[i]),
        float(b.capacity_w[i]), float(b.sensible_w[i]), vent_c, float(b.condensing_pa[i]),
        bool(b.over_discharge_limit[i]), float(b.heat_rejected_w[i]), float(batch.plants.cond_air_kg_s[i]),
        idle_vent_c, holds_c, valve_share, nothing_to_cool, idle_high_side_pa, engaged_pa, supply,
    )  # fmt: skip
    judged = criteria(point, state)
    is_asked = duty.kind in HELD_KINDS and not nothing_to_cool
    margin = margin_share(state) if is_asked else None
    flow_m3_h, vents = air_told(batch, i)
    return DutyAnswer(
        duty.code, duty.name, duty.kind, duty.required, word(judged), tuple(judged), (), state.status,
        str(limit or ""), duty.climate.target_c, judged_at_c(point),
        _humidity_share(batch, held, i),
        _terms(held.load.sensible_w, i),
        _terms(held.load.latent_w, i),
        _number(state.load_w), _number(state.load_sensible_w), _number(state.capacity_w),
        _number(state.capacity_sensible_w), margin, _number(holds_c), _number(holds_rh),
        _number(held.air_in_c[i]), _number(b.air_off_c[i]), _number(vent_c), _number(flow_m3_h),
        vents, _number(b.evaporating_c[i]),
        _number(b.condensing_c[i]), _gauge(b.suction_pa[i]), _gauge(b.condensing_pa[i]), _number(b.discharge_c[i]),
        _number(b.flow_kg_s[i] * 1000), _number(b.power_w[i]), _number(b.torque_nm[i]), _number(b.speed_rpm[i]),
        _number(b.duty[i]), _number(b.condensate_kg_h[i]), _number(b.suction_loss_k[i]),
        _number(batch.condenser_air_c[i]), battery_v(supply)[0],
        car.coolant_c.get("idle") if duty.kind == "idle" else None,
        _number(b.surface_c[i]), _number(b.bypass_factor[i]), _number(held.air_in_w[i]), _number(b.air_off_w[i]),
        _number(batch.air_kg_s[i]), _gauge(b.discharge_pa[i]), _number(b.heat_rejected_w[i]), _number(b.cop[i]),
        coil_answers(batch, held, i, state.vent_c - float(b.air_off_c[i])),
        _number(state.vent_judged_c) if duty.kind == "idle" else None, _gauge(engaged_pa),
        blower_v=_number(batch.volts.front[i]), blower_share=duty.blower_share,
    )  # fmt: skip


def _terms(loads: Mapping[str, FloatArray], i: int) -> dict[str, float]:
    """The load of a point by term; empty where one of them has no number."""
    found = {term: float(loads[term][i]) for term in TERMS}
    return found if np.isfinite(list(found.values())).all() else {}


def _humidity_share(batch: Batch, held: Held, i: int) -> float | None:
    if not np.isfinite(held.cabin_w[i]):
        return None
    return _number(relative_humidity(held.cabin_c[i], held.cabin_w[i], batch.prepared.pressure_pa[i]))


def _worst(answers: Sequence[DutyAnswer]) -> DutyAnswer | None:
    required = [a for a in answers if a.required]
    if not required:
        return None

    def badness(a: DutyAnswer) -> tuple[int, float]:
        # idle has criteria of its own and no margin to be ranked by
        return VERDICTS.index(a.verdict), -np.inf if a.margin_share is None else -a.margin_share

    return max(required, key=badness)


def _nothing_to_judge(case: Case) -> str:
    """Why no duty point gives a verdict: none is offered, none is required, or none asks for what the kit does."""
    if not case.duties:
        return "No duty point is offered for this car: nothing to judge by."
    required = [duty.name for duty in case.duties if duty.required]
    if not required:
        return (
            "The duty points offered for this car are for information, none is required: nothing to judge by."
        )
    # what asks for cooling is answered, if only by what is missing
    return (
        f"The required duty points ({', '.join(required)}) ask for heating, and the kit brings no heater: nothing to "
        "judge by."
    )


def _record(case: Case, answers: tuple[DutyAnswer, ...]) -> SizingRecord:
    worst = _worst(answers)
    missing = tuple(dict.fromkeys(gap for a in answers for gap in a.missing))
    if worst is None:
        gap = Gap("duty_set", "kit", _nothing_to_judge(case))
        missing = (gap, *missing)
    margins = [a.margin_share for a in answers if a.required and a.margin_share is not None]
    calibrated = case.mounting.calibrated
    verdict = worst.verdict if worst else VERDICTS[3]
    return SizingRecord(
        verdict,
        worst.code if worst else "",
        min(margins) if margins and verdict != VERDICTS[3] else None,
        worst.limit if worst else "",
        "calibrated" if calibrated else "estimated",
        default_value("load_uncertainty_share"),
        default_value("capacity_uncertainty_share"),
        answers,
        missing=missing,
        assumed=case.unit.assumed,
    )


def _with_levers(cases: Sequence[Case], records: Sequence[SizingRecord]) -> list[SizingRecord]:
    """Add what would help, for every case that is sized: one batch for all levers of all cases."""
    jobs: list[tuple[int, tuple[Lever, ...], Case]] = []
    for i, (case, record) in enumerate(zip(cases, records, strict=True)):
        if record.verdict not in VERDICTS[1:3]:
            continue
        for lever in levers():
            changed = pulled(case, lever)
            if changed is not None:
                jobs.append((i, (lever,), changed))
    singles = _run_levers(records, jobs)
    useful = {i: _useful(records[i], found) for i, found in singles.items()}
    stacked = [
        (i, *stack)
        for i, found in useful.items()
        if not any(_turns(a.verdict, records[i].verdict) for a in found)
        for stack in _stacks(cases[i], found)
    ]
    together = _run_levers(records, stacked)
    return [
        _helped(record, useful[i], together.get(i, [])) if i in useful else record
        for i, record in enumerate(records)
    ]


def _run_levers(
    records: Sequence[SizingRecord], jobs: Sequence[tuple[int, tuple[Lever, ...], Case]]
) -> dict[int, list[LeverAnswer]]:
    required = [[d for d in case.duties if d.required] for _, _, case in jobs]
    answers = _answers(
        [(case, duties) for (_, _, case), duties in zip(jobs, required, strict=True)], with_holds=False
    )
    found: dict[int, list[LeverAnswer]] = {}
    for (i, pulled_now, _), after in zip(jobs, _after(jobs, answers), strict=True):
        before = records[i].margin_share
        gain = None if before is None or after.margin_share is None else after.margin_share - before
        lever = pulled_now[-1]
        found.setdefault(i, []).append(
            LeverAnswer(
                "+".join(one.code for one in pulled_now),
                "; ".join(one.name for one in pulled_now),
                sum(one.minutes_min for one in pulled_now),
                gain,
                after.verdict,
                after.margin_share,
                lever.source,
                _eases(records[i], after),
            )
        )
    return found


def _after(
    jobs: Sequence[tuple[int, tuple[Lever, ...], Case]], answers: Sequence[tuple[DutyAnswer, ...]]
) -> list[SizingRecord]:
    """The records of cases with levers pulled; hot cabins cost time and are solved only where a pull-down is judged."""
    records = [_record(case, answer) for (_, _, case), answer in zip(jobs, answers, strict=True)]
    timed = [k for k, answer in enumerate(answers) if any(a.kind == "pull-down" for a in answer)]
    again = _records([jobs[k][2] for k in timed], [answers[k] for k in timed])
    for k, record in zip(timed, again, strict=True):
        records[k] = record
    return records


def _eases(before: SizingRecord, after: SizingRecord) -> str:
    """What a change does for a criterion that fails and is no margin, such as the battery's volts; else empty."""
    changed = {duty.code: duty for duty in after.duties}
    for duty in before.duties:
        failing = {c.code for c in duty.criteria if not c.is_met} if duty.required else set()
        for code, (name, words, sign) in EASED.items():
            then, now = getattr(duty, name), getattr(changed.get(duty.code), name, None)
            if code in failing and then is not None and now is not None and sign * (now - then) > LEAST_EASE:
                return f"{words} {format_value(name, then)} → {format_value(name, now)}"
    return ""


def _useful(record: SizingRecord, singles: Sequence[LeverAnswer]) -> list[LeverAnswer]:
    """The levers that turn the verdict, ease what fails or gain margin, in this order; of equals the best first."""

    def rank(a: LeverAnswer) -> tuple[int, bool, float]:
        return VERDICTS.index(a.verdict), not a.eases, -(a.gain_share or 0.0)

    return [
        a
        for a in sorted(singles, key=rank)
        if (a.gain_share or 0.0) > LEAST_GAIN or a.eases or _turns(a.verdict, record.verdict)
    ]


def _turns(verdict: str, before: str) -> bool:
    return VERDICTS.index(verdict) < VERDICTS.index(before)


def _stacks(case: Case, useful: Sequence[LeverAnswer]) -> list[tuple[tuple[Lever, ...], Case]]:
    """The case with any two, three ... of the best levers together, and what eases a failure with each other one."""
    by_code = {lever.code: lever for lever in levers()}
    best = [by_code[answer.code] for answer in useful[:COMBINED_LEVERS]]
    stacks = [stack for count in range(2, len(best) + 1) for stack in combinations(best, count)]
    known = {lever.code for lever in best}
    # a second change may bring nothing alone, as a faster idle to a dynamo that still gives nothing there
    for eased in (by_code[answer.code] for answer in useful if answer.eases):
        others = [lever for lever in levers() if lever != eased and not {eased.code, lever.code} <= known]
        stacks += [(eased, other) for other in others]
    found = []
    for stack in stacks:
        changed: Case | None = case
        for lever in stack:
            changed = pulled(changed, lever) if changed is not None else None
        if changed is not None:
            found.append((stack, changed))
    return found


def _helped(
    record: SizingRecord, useful: Sequence[LeverAnswer], together: Sequence[LeverAnswer]
) -> SizingRecord:
    turning = [a for a in useful if _turns(a.verdict, record.verdict)]
    stacked = [a for a in together if _turns(a.verdict, record.verdict)]
    if turning or stacked:
        # one change before two, then the fewest hours
        least = min(turning or stacked, key=lambda a: (a.code.count("+"), a.work_min or 0.0))
        all_of = " (all of these together)" if "+" in least.code else ""
        margin = "" if least.margin_share is None else f", margin {signed_percent(least.margin_share)}"
        sentence = f"{least.name}{all_of}: {least.verdict}{margin}."
        return replace(record, levers=tuple(useful), smallest_change=sentence, smallest=least)
    count = len(useful[:COMBINED_LEVERS])
    together_too = f", alone or the best {count} together" if count > 1 else ""
    sentence = f"None of the changes looked at turns the verdict{together_too}."
    return replace(record, levers=tuple(useful), smallest_change=sentence)
