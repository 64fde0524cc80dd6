"""The duty points of the report in tables: a row for each figure, a column for each duty point by its code."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

from kits.documents.load_bars import TERM_NAMES
from kits.documents.report_tables import TableOnPaper, on_paper
from kits.documents.sizing_sheet import NONE, DutyLine
from kits.sizing.verdict.record import Criterion, DutyAnswer
from kits.topics.figure import Table
from vehicles.physics.quantities import format_number

MOST_COLUMNS = 7
"""Duty points side by side on a portrait sheet; more go into a table of their own."""
NUMBERS = "Duty points in numbers"
LOAD = "Heat load by term, W"
T = TypeVar("T")


@dataclass(frozen=True, kw_only=True)
class DutyVerdict:
    """A duty point with its verdict and what it was judged by: (word, criterion)."""

    code: str
    name: str
    asked: str
    verdict: str
    margin: str
    criteria: tuple[tuple[str, Criterion], ...]
    missing: tuple[str, ...]


def duty_verdicts(duties: Sequence[DutyAnswer], lines: Sequence[DutyLine]) -> tuple[DutyVerdict, ...]:
    """The verdicts, with the words of the sizing sheet's lines for the same duty points."""
    return tuple(
        DutyVerdict(
            code=duty.code,
            name=line.name,
            asked=line.asked,
            verdict=line.verdict,
            margin=line.margin,
            criteria=line.criteria,
            missing=line.missing,
        )
        for duty, line in zip(duties, lines, strict=True)
    )


def number_tables(duties: Sequence[DutyAnswer], lines: Sequence[DutyLine]) -> tuple[TableOnPaper, ...]:
    """Load, capacity, what the cabin holds and the state of the plant of every duty point that was solved."""
    solved = [(duty, line) for duty, line in zip(duties, lines, strict=True) if line.facts]
    return tuple(_number_table(some) for some in _in_parts(solved))


def _number_table(some: Sequence[tuple[DutyAnswer, DutyLine]]) -> TableOnPaper:
    columns = [dict(_numbers(duty, line)) for duty, line in some]
    labels = dict.fromkeys(label for column in columns for label in column)
    rows = tuple((label, *(column.get(label, NONE) for column in columns)) for label in labels)
    return on_paper(Table(NUMBERS, ("", *(duty.code for duty, _ in some)), rows), is_even=True)


def _numbers(duty: DutyAnswer, line: DutyLine) -> Iterator[tuple[str, str]]:
    yield "Load, total", line.load
    yield "Load, dry", line.load_sensible
    yield "Capacity, total", line.capacity
    yield "Capacity, dry", line.capacity_sensible
    yield "Limited by", line.limit
    yield "Cabin asked for", NONE if duty.target_c is None else f"{format_number(duty.target_c, 0)} °C"
    for label, text in line.facts:
        yield label, text
        if label == "Cabin it holds":
            share = duty.holds_humidity_share
            yield "at a humidity of", NONE if share is None else f"{format_number(100 * share, 0)} %"


def load_tables(duties: Sequence[DutyAnswer]) -> tuple[TableOnPaper, ...]:
    """Load by term of each duty point that has one: dry heat, and water as the heat it takes."""
    loaded = [duty for duty in duties if duty.load_w is not None and duty.sensible_w_by_term]
    return tuple(_load_table(some) for some in _in_parts(loaded))


def _load_table(duties: Sequence[DutyAnswer]) -> TableOnPaper:
    terms = dict.fromkeys(
        term for duty in duties for term in (*duty.sensible_w_by_term, *duty.latent_w_by_term)
    )
    rows: list[tuple[str, ...]] = []
    for term in terms:
        name = TERM_NAMES.get(term, term)
        for label, by_term in (
            (name, [d.sensible_w_by_term for d in duties]),
            (f"{name}, water", [d.latent_w_by_term for d in duties]),
        ):
            values = [held.get(term, 0.0) for held in by_term]
            if any(values):
                rows.append((label, *(format_number(value, 0) for value in values)))
    rows.append(("Total", *(format_number(duty.load_w or 0.0, 0) for duty in duties)))
    return on_paper(
        Table(LOAD, ("", *(duty.code for duty in duties)), tuple(rows)), ends_with_sum=True, is_even=True
    )


def _in_parts(found: Sequence[T]) -> Iterator[Sequence[T]]:
    """No more than stand side by side, shared out evenly."""
    parts = -(-len(found) // MOST_COLUMNS)
    return (found[i * len(found) // parts : (i + 1) * len(found) // parts] for i in range(parts))
