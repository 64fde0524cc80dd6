"""How long a person's certificates of a kind let him do its work, from the first day to the last, both included."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

SOON_DAYS = 60
NO_END = date.max
IN_FORCE, SOON, ENDED, LATER, WITHDRAWN = "in force", "ends soon", "ended", "begins later", "withdrawn"
_DAY = timedelta(days=1)


@dataclass(frozen=True)
class Span:
    """The days on which a certificate counts; None: open to that side."""

    first: date | None
    last: date | None

    def holds(self, on: date) -> bool:
        """Whether the day is one of them."""
        return (self.first is None or self.first <= on) and (self.last is None or on <= self.last)


def span_of(valid_from: date | None, valid_until: date | None, withdrawn_on: date | None) -> Span:
    """The days on which a certificate counts; from the day on which it was withdrawn it does not."""
    if withdrawn_on is None:
        return Span(valid_from, valid_until)
    last = withdrawn_on - _DAY
    return Span(valid_from, last if valid_until is None else min(last, valid_until))


@dataclass(frozen=True)
class Cover:
    """How it stands with one kind of work.

    state: in force, ends soon, ended or begins later; until: its last day, without a gap from now on (ended: the last
    one there was; begins later: the first one to come; None: without end, or there never was one).
    """

    state: str
    until: date | None

    @property
    def is_ending(self) -> bool:
        """Whether somebody has to see to it."""
        return self.state in (SOON, ENDED)

    @property
    def mark(self) -> str:
        """The code of the mark that stands beside it."""
        return {IN_FORCE: "done", SOON: "warns", ENDED: "blocks"}.get(self.state, "notes")


def cover(spans: Iterable[Span], on: date) -> Cover:
    """How it stands on a day by all certificates of one kind; one that follows without a gap carries the other on."""
    known = list(spans)
    day = on
    while holding := [span for span in known if span.holds(day)]:
        last = max(span.last or NO_END for span in holding)
        if last == NO_END:
            return Cover(IN_FORCE, None)
        day = last + _DAY
    if day > on:
        until = day - _DAY
        return Cover(SOON if (until - on).days <= SOON_DAYS else IN_FORCE, until)
    over = [span.last for span in known if span.last and span.last < on]
    if over:
        return Cover(ENDED, max(over))
    to_come = [span.first for span in known if span.first and span.first > on]
    return Cover(LATER, min(to_come)) if to_come else Cover(ENDED, None)


def standing(span: Span, on: date, *, is_withdrawn: bool) -> str:
    """How one certificate by itself stands on a day."""
    return WITHDRAWN if is_withdrawn else cover([span], on).state
