"""What the pages of a study fetch, and its answers; the case of a fitment is built once and kept in the process.

What is kept is named by everything it rests on: fitment and its version, the catalogue's stamp, the date. Data that
moved on have another name, so nothing kept is ever out of date; the oldest goes when there are too many.
"""

from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache
from typing import Any, NamedTuple

from kits.fitment.bridge import case_of, load_catalogue
from kits.fitment.models import CatalogueStamp, Fitment, FitmentNote, SizedFitment
from kits.fitment.queries import is_out_of_date, readable
from kits.fitment.study.forms import query_of
from kits.sizing.case.case import Case
from kits.sizing.study.study import Question, ask, duty_of
from kits.sizing.study.study_gas import GasStudy, compare_gases
from kits.sizing.study.study_words import changes
from kits.sizing.verdict.record import DutyAnswer, SizingRecord
from kits.sizing.words.gap import Gap
from vehicles.physics.arrays import Refusal

KEPT_CASES = 64
KEPT_ANSWERS = 256
NOTE_SCHEMA = 1


class StudyKey(NamedTuple):
    """Everything that the case of a fitment rests on."""

    fitment_id: int
    kit: str
    line: str
    variant: str
    version: int
    stamp: int
    stamped_at: datetime | None
    on: date


@dataclass(frozen=True, kw_only=True)
class Study:
    """A fitment to ask about: its case, or what is missing for one, and its stored answer."""

    key: StudyKey
    kit_name: str
    variant_name: str
    case: Case | None
    gaps: tuple[Gap, ...]
    record: SizingRecord | None
    sized_at: datetime | None
    is_stale: bool

    @property
    def place(self) -> tuple[str, str, str]:
        """Codes of kit, line and variant."""
        return self.key.kit, self.key.line, self.key.variant

    def stored(self, duty: str) -> DutyAnswer | None:
        """The stored answer of a duty point."""
        return next((d for d in self.record.duties if d.code == duty), None) if self.record else None


def study_of(kit: str, line: str, variant: str, on: date) -> Study | None:
    """The fitment to ask about; None when there is no such fitment."""
    rows = Fitment.objects.select_related("kit", "variant__line", "sized").defer("sized__record")
    row = rows.filter(kit__code=kit, variant__line__code=line, variant__code=variant).first()
    if row is None:
        return None
    stamp = CatalogueStamp.objects.filter(pk=1).first()
    value, at = (stamp.value, stamp.changed_at) if stamp else (0, None)
    key = StudyKey(
        fitment_id=row.pk,
        kit=row.kit.code,
        line=row.variant.line.code,
        variant=row.variant.code,
        version=row.version,
        stamp=value,
        stamped_at=at,
        on=on,
    )
    case, gaps = _case(key)
    sized: SizedFitment | None = getattr(row, "sized", None)
    record = _record(sized.pk, sized.sized_at) if sized else None
    is_stale = sized is not None and is_out_of_date(sized, on, value)
    sized_at = sized.sized_at if sized and record else None
    return Study(
        key=key,
        kit_name=row.kit.name,
        variant_name=row.variant.name,
        case=case,
        gaps=gaps,
        record=record,
        sized_at=sized_at,
        is_stale=is_stale,
    )


@lru_cache(maxsize=KEPT_CASES)
def _case(key: StudyKey) -> tuple[Case | None, tuple[Gap, ...]]:
    catalogue = load_catalogue([(key.kit, key.line, key.variant)], key.on)
    fitment = catalogue.fitments[0]
    return case_of(fitment, catalogue.resolve(fitment))


@lru_cache(maxsize=KEPT_CASES)
def _record(sized_id: int, sized_at: datetime) -> SizingRecord | None:
    stored = SizedFitment.objects.filter(pk=sized_id).values_list("record", flat=True).first()
    return readable(stored) if stored else None


@lru_cache(maxsize=KEPT_ANSWERS)
def answered(key: StudyKey, question: Question, with_holds: bool = False) -> DutyAnswer:
    """The answer to a question. Raises Refusal for one that makes no sense."""
    case, _ = _case(key)
    if case is None:
        raise Refusal("The kit lacks technical data, so there is nothing to work with.")
    return ask(case, question, with_holds=with_holds)


@lru_cache(maxsize=KEPT_CASES)
def gases(key: StudyKey) -> tuple[GasStudy, ...]:
    """The fitment's plant with each gas; empty when the kit has no plant to work with."""
    case, _ = _case(key)
    return () if case is None else compare_gases(case)


def forget() -> None:
    """Let go of everything kept; only tests need it, which put back old data under an old stamp."""
    for kept in (_case, _record, answered, gases):
        kept.cache_clear()


def to_keep(study: Study, question: Question) -> dict[str, Any]:
    """Question and answer as plain JSON values, with the stamp they rest on. Raises Refusal as `answered`."""
    if study.case is None:
        raise Refusal("The kit lacks technical data, so there is no answer to keep.")
    answer = answered(study.key, question, with_holds=True)
    return {
        "schema": NOTE_SCHEMA,
        "query": query_of(question),
        "duty": duty_of(study.case, question).name,
        "changes": [[c.label, c.was, c.now] for c in changes(study.case, question)],
        "stored": _figures(study.stored(question.duty)),
        "answer": _figures(answer),
        "stamp": study.key.stamp,
        "on": study.key.on.isoformat(),
    }


def _figures(answer: DutyAnswer | None) -> dict[str, Any] | None:
    if answer is None:
        return None
    kept = ("verdict", "margin_share", "load_w", "capacity_w", "vent_c", "low_side_bar_g", "high_side_bar_g",
            "holds_c", "limit")  # fmt: skip
    failed = [criterion.sentence for criterion in answer.criteria if not criterion.is_met]
    return {**{name: getattr(answer, name) for name in kept}, "fails": failed}


@dataclass(frozen=True)
class Note:
    """A note as the sheet shows it; was_before: the data were changed after its study was kept."""

    row: FitmentNote
    study: dict[str, Any] | None
    was_before: bool


def notes_of(fitment: Fitment) -> tuple[Note, ...]:
    """The notes of a fitment, the newest first."""
    stamp = CatalogueStamp.objects.filter(pk=1).values_list("value", flat=True).first() or 0
    return tuple(_note(row, stamp) for row in FitmentNote.objects.filter(fitment=fitment).order_by("-pk"))


def _note(row: FitmentNote, stamp: int) -> Note:
    held = row.study if isinstance(row.study, dict) and row.study.get("schema") == NOTE_SCHEMA else None
    return Note(row, held, held is not None and held["stamp"] < stamp)
