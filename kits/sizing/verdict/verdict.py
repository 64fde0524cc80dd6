"""Size a batch of cases: the answer of each duty point, the verdict, what it holds, other states, what would help.

Everything runs as arrays over all cases and duty points; levers are cases of their own in the same batch.
"""

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np

from kits.sizing.case.case import Case
from kits.sizing.case.levers import Lever, levers, pulled
from kits.sizing.verdict.answers import answers_of
from kits.sizing.verdict.hot_cabin import hot_cabins
from kits.sizing.verdict.outlook import outlooks
from kits.sizing.verdict.pull_down_duties import judged_by_course
from kits.sizing.verdict.record import VERDICTS, DutyAnswer, LeverAnswer, SizingRecord
from kits.sizing.verdict.run_test import run_tests
from kits.sizing.words.defaults import default_value
from kits.sizing.words.gap import Gap
from vehicles.climate.duty_kinds import Judge
from vehicles.physics.quantities import format_value, signed_percent

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
    answers = answers_of([(case, case.duties) for case in cases], with_holds=True)
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
        verdict=verdict,
        worst_duty_point=worst.code if worst else "",
        margin_share=min(margins) if margins and verdict != VERDICTS[3] else None,
        limit=worst.limit if worst else "",
        basis="calibrated" if calibrated else "estimated",
        load_uncertainty_share=default_value("load_uncertainty_share"),
        capacity_uncertainty_share=default_value("capacity_uncertainty_share"),
        duties=answers,
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
    answers = answers_of(
        [(case, duties) for (_, _, case), duties in zip(jobs, required, strict=True)], with_holds=False
    )
    found: dict[int, list[LeverAnswer]] = {}
    for (i, pulled_now, _), after in zip(jobs, _after(jobs, answers), strict=True):
        before = records[i].margin_share
        gain = None if before is None or after.margin_share is None else after.margin_share - before
        lever = pulled_now[-1]
        found.setdefault(i, []).append(
            LeverAnswer(
                code="+".join(one.code for one in pulled_now),
                name="; ".join(one.name for one in pulled_now),
                work_min=sum(one.minutes_min for one in pulled_now),
                gain_share=gain,
                verdict=after.verdict,
                margin_share=after.margin_share,
                source=lever.source,
                eases=_eases(records[i], after),
            )
        )
    return found


def _after(
    jobs: Sequence[tuple[int, tuple[Lever, ...], Case]], answers: Sequence[tuple[DutyAnswer, ...]]
) -> list[SizingRecord]:
    """The records of cases with levers pulled; hot cabins cost time and are solved only where a pull-down is judged."""
    records = [_record(case, answer) for (_, _, case), answer in zip(jobs, answers, strict=True)]
    timed = [k for k, answer in enumerate(answers) if any(a.of_kind.judge is Judge.COURSE for a in answer)]
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
