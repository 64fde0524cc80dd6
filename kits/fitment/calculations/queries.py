"""The calculations of a fitment: worked out when their page is opened, and kept in the process.

They are told of the stored answer and of the fitment as it is today. What is kept is named by all that it rests on, so
nothing kept is ever out of date; the oldest goes when there are too many.
"""

from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache
from typing import NamedTuple

from kits.fitment.bridge import context_of, load_catalogue
from kits.fitment.models import Fitment, SizedFitment
from kits.fitment.queries import current_stamp, is_out_of_date, readable
from kits.sizing.words.explain import Explanation, explanation_of, named
from kits.topics.context import Context
from kits.topics.every import calculations_of, topic_of
from kits.topics.figure import Figure, Topic

KEPT_FITMENTS = 16
KEPT_TOPICS = 256


class Rests(NamedTuple):
    """Everything that the calculations of a fitment rest on: its stored answer, the data of today, the day."""

    kit: str
    line: str
    variant: str
    sized_id: int
    sized_at: datetime
    stamp: int
    on: date


@dataclass(frozen=True)
class Told:
    """A figure with the explanation of the function that gave it."""

    figure: Figure
    why: Explanation


@dataclass(frozen=True)
class Calculated:
    """A fitment for the page that explains what is worked out of it."""

    fitment: Fitment
    sized: SizedFitment | None
    is_stale: bool
    topics: tuple[tuple[Topic, tuple[Told, ...]], ...]


def calculated(kit: str, line: str, variant: str, on: date) -> Calculated | None:
    """The calculations of a fitment on a day; None when there is no such fitment. Raises NotWorkedOut."""
    found = _found(kit, line, variant)
    if found is None:
        return None
    fitment, sized = found
    stamp = current_stamp()
    topics = _topics(_rests(fitment, sized, stamp, on)) if sized else ()
    is_stale = sized is not None and is_out_of_date(sized, on, stamp)
    told = tuple((topic, tuple(map(_told, topic.figures))) for topic in topics)
    return Calculated(fitment, sized, is_stale, told)


def topic_told(kit: str, line: str, variant: str, on: date, code: str) -> Topic | None:
    """One calculation by its code, and no other; None where there is none."""
    found = _found(kit, line, variant)
    if found is None or found[1] is None:
        return None
    return _topic(_rests(found[0], found[1], current_stamp(), on), code)


def topics_told(kit: str, line: str, variant: str, on: date) -> tuple[Topic, ...]:
    """All calculations of a fitment; nothing where there is none."""
    found = calculated(kit, line, variant, on)
    return tuple(topic for topic, _ in found.topics) if found else ()


def forget() -> None:
    """Let go of everything kept; only tests need it, which put back old data under an old stamp."""
    for kept in (_topic, _context):
        kept.cache_clear()


def _found(kit: str, line: str, variant: str) -> tuple[Fitment, SizedFitment | None] | None:
    rows = Fitment.objects.select_related("kit", "variant__line", "sized").defer("sized__record")
    row = rows.filter(kit__code=kit, variant__line__code=line, variant__code=variant).first()
    return (row, getattr(row, "sized", None)) if row else None


def _rests(fitment: Fitment, sized: SizedFitment, stamp: int, on: date) -> Rests:
    """The one place that says what is kept under which name."""
    kit, variant = fitment.kit.code, fitment.variant
    return Rests(
        kit=kit,
        line=variant.line.code,
        variant=variant.code,
        sized_id=sized.pk,
        sized_at=sized.sized_at,
        stamp=stamp,
        on=on,
    )


def _topics(rests: Rests) -> tuple[Topic, ...]:
    context = _context(rests)
    codes = (one.code for one in calculations_of(context)) if context else ()
    return tuple(topic for code in codes if (topic := _topic(rests, code)) is not None)


@lru_cache(maxsize=KEPT_TOPICS)
def _topic(rests: Rests, code: str) -> Topic | None:
    context = _context(rests)
    return topic_of(context, code) if context else None


@lru_cache(maxsize=KEPT_FITMENTS)
def _context(rests: Rests) -> Context | None:
    stored = SizedFitment.objects.filter(pk=rests.sized_id).values_list("record", flat=True).first()
    record = readable(stored) if stored else None
    if record is None:
        return None
    catalogue = load_catalogue([(rests.kit, rests.line, rests.variant)], rests.on)
    fitment = catalogue.fitments[0]
    return context_of(fitment, catalogue.resolve(fitment), record)


def _told(figure: Figure) -> Told:
    return Told(figure, explanation_of(named(figure.function)))
