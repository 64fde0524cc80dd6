"""The duty points of the kind pull-down: judged by the course of the soaked cabin."""

from dataclasses import replace

import numpy as np

from kits.sizing.cabin.pulldown import S_PER_MIN
from kits.sizing.case.case import Case
from kits.sizing.verdict.courses import PullDown, pull_downs
from kits.sizing.verdict.judge import word
from kits.sizing.verdict.pulldown_words import course_words
from kits.sizing.verdict.record import VERDICTS, Criterion, DutyAnswer, SizingRecord
from kits.sizing.words.defaults import default_value
from vehicles.climate.duty_kinds import Judge

CRITERION = "pull-down"
NOT_FOLLOWED = (
    "The pull-down can't be followed: the coil has no capacity at this point, or the cabin's data are short."
)


def judged_by_course(case: Case, record: SizingRecord) -> tuple[DutyAnswer, ...]:
    """The answers of a record whose hot cabins are known, those that are judged by it by their course too."""
    if not any(_is_asked(answer) for answer in record.duties):
        return record.duties
    courses = {one.duty.code: one for one in pull_downs(case, record)}
    return tuple(_judged(a, courses.get(a.code)) if _is_asked(a) else a for a in record.duties)


def _is_asked(answer: DutyAnswer) -> bool:
    return answer.of_kind.judge is Judge.COURSE and answer.verdict != VERDICTS[3]


def _judged(answer: DutyAnswer, course: PullDown | None) -> DutyAnswer:
    found = Criterion(CRITERION, NOT_FOLLOWED, False)
    if course is not None:
        found = Criterion(CRITERION, course_words(course), course.is_met)
    criteria = (*answer.criteria, found)
    return replace(answer, criteria=criteria, verdict=word(criteria), pull_down_c=_cabin_c(course))


def _cabin_c(course: PullDown | None) -> float | None:
    """The cabin when the goal is asked to be reached."""
    if course is None:
        return None
    asked_s = default_value("pull_down_goal_min") * S_PER_MIN
    return float(np.interp(asked_s, course.course.seconds, course.course.air_c))
