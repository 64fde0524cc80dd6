"""The engineer's report of one kit in one car: the stored answer and all that was worked out, with origins.

Nothing is judged or computed anew. What explains a figure is the docstring of the function that gave it, as on screen.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from kits.bom.resolved import Finding, ResolvedKit
from kits.documents.cautions import GENERAL
from kits.documents.chart_style import svg_image
from kits.documents.load_bars import TERM_NAMES
from kits.documents.sizing_sheet import NONE, SizingSheet, sizing_sheet
from kits.documents.title_block import TitleBlock
from kits.documents.topic_pictures import can_be_drawn, picture_svg
from kits.sizing.explain import Explanation, explanation_of, named
from kits.sizing.record import DutyAnswer, SizingRecord
from kits.sizing.topics.figure import Figure, Input, Picture, Remark, Table, Topic
from vehicles.physics.quantities import celsius, format_number, kw

WHAT = "Sizing report"
MOST_COLUMNS = 5
"""Duty points side by side on a portrait sheet; more go into a table of their own."""
LEVERS = "levers"
COST_HEADS = ("cost", "price")
PARTS_TOLD = ("formula", "source", "validity", "check")


@dataclass(frozen=True)
class PictureOnPaper:
    """A picture in black on white, and the same in words."""

    caption: str
    words: str
    svg: str

    @property
    def address(self) -> str:
        """The picture as an address that holds it."""
        return svg_image(self.svg)


@dataclass(frozen=True)
class Method:
    """The figures one function gave, with what its docstring says: (part, text) in order.

    `shared` are the inputs that all its figures have; each figure is left with its own.
    """

    what: str
    told: tuple[tuple[str, str], ...]
    figures: tuple[Figure, ...]
    shared: tuple[Input, ...] = ()


@dataclass(frozen=True)
class TopicOnPaper:
    """A topic: the answer, pictures, figures by the function that gave them, tables, remarks and cautions."""

    code: str
    title: str
    answer: str
    pictures: tuple[PictureOnPaper, ...]
    methods: tuple[Method, ...]
    tables: tuple[Table, ...]
    remarks: tuple[Remark, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class SizingReport:
    """The document. `sheet` is the sizing sheet's text, which the report begins with."""

    title: TitleBlock
    sheet: SizingSheet
    governing: tuple[tuple[str, str], ...]
    load_tables: tuple[Table, ...]
    holds: Table
    topics: tuple[TopicOnPaper, ...]
    findings: tuple[Finding, ...]
    cautions: tuple[str, ...] = GENERAL

    @property
    def levers_apart(self) -> bool:
        """Whether what would help has a section of its own; else its topic tells it."""
        return bool(self.sheet.levers) and LEVERS not in {topic.code for topic in self.topics}

    @property
    def chart_svg(self) -> str:
        """Load beside capacity."""
        return self.sheet.chart_svg


def sizing_report(
    kit: ResolvedKit, record: SizingRecord | None, sized_at: datetime | None, is_stale: bool, by: str
) -> SizingReport:
    """The report of a stored answer; without one it says that the fitment is not sized.

    Parameters: kit (with its findings), record and sized_at (as stored), is_stale (something changed since), by.
    """
    sheet = sizing_sheet(kit, record, sized_at, is_stale, by)
    duties = record.duties if record else ()
    return SizingReport(
        replace(sheet.title, what=WHAT),
        sheet,
        _governing(record) if record else (),
        _load_tables(duties),
        _holds(duties),
        tuple(_on_paper(topic) for topic in record.topics) if record else (),
        kit.findings,
    )


def _governing(record: SizingRecord) -> tuple[tuple[str, str], ...]:
    """The numbers of the worst required duty point."""
    duty = next((d for d in record.duties if d.code == record.worst_duty_point), None)
    if duty is None or duty.load_w is None:
        return ()
    return (
        ("Duty point", duty.name),
        ("Limited by", duty.limit or NONE),
        ("Load, total", _kw(duty.load_w)),
        ("Load, dry", _kw(duty.load_sensible_w)),
        ("Capacity, total", _kw(duty.capacity_w)),
        ("Capacity, dry", _kw(duty.capacity_sensible_w)),
        ("Cabin asked for", _celsius(duty.target_c)),
        ("Cabin it holds", _celsius(duty.holds_c)),
        ("Air at the vents", _celsius(duty.vent_c)),
    )


def _kw(value_w: float | None) -> str:
    return NONE if value_w is None else kw(value_w)


def _celsius(value_c: float | None) -> str:
    return NONE if value_c is None else celsius(value_c)


def _load_tables(duties: Sequence[DutyAnswer]) -> tuple[Table, ...]:
    """Load by term, a column for each duty point that has one: dry heat, and water as the heat it takes."""
    loaded = [duty for duty in duties if duty.load_w is not None and duty.sensible_w_by_term]
    return tuple(
        _load_table(loaded[first : first + MOST_COLUMNS]) for first in range(0, len(loaded), MOST_COLUMNS)
    )


def _load_table(duties: Sequence[DutyAnswer]) -> Table:
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
    return Table("Heat load by term, W", ("Term", *(duty.name for duty in duties)), tuple(rows))


def _holds(duties: Sequence[DutyAnswer]) -> Table:
    """The cabin that load and capacity balance at, beside the one asked for."""
    heads = ("Duty point", "Asked, °C", "Holds, °C", "at humidity, %", "Vents, °C", "Limited by")
    rows = tuple(
        (
            duty.name,
            _whole(duty.target_c),
            _whole(duty.holds_c),
            _whole(None if duty.holds_humidity_share is None else 100 * duty.holds_humidity_share),
            _whole(duty.vent_c),
            duty.limit or NONE,
        )
        for duty in duties
        if duty.holds_c is not None
    )
    return Table("What the cabin holds", heads, rows)


def _whole(value: float | None) -> str:
    return NONE if value is None else format_number(value, 0)


def _on_paper(topic: Topic) -> TopicOnPaper:
    return TopicOnPaper(
        topic.code,
        topic.title,
        topic.answer,
        tuple(_drawn(picture) for picture in topic.pictures if can_be_drawn(picture)),
        _methods(topic.figures),
        tuple(_without_costs(table) for table in topic.tables),
        topic.remarks,
        topic.cautions,
    )


def _without_costs(table: Table) -> Table:
    """The table without its columns of costs: the report goes to people who are not shown them."""
    kept = [i for i, head in enumerate(table.heads) if not head.lower().startswith(COST_HEADS)]
    return Table(
        table.caption,
        tuple(table.heads[i] for i in kept),
        tuple(tuple(row[i] for i in kept) for row in table.rows),
    )


def _drawn(picture: Picture) -> PictureOnPaper:
    return PictureOnPaper(picture.caption, picture.words, picture_svg(picture, paper=True))


def _methods(figures: Sequence[Figure]) -> tuple[Method, ...]:
    """The figures by the function that gave them, in the order of each function's first."""
    by_function: dict[str, list[Figure]] = {}
    for figure in figures:
        by_function.setdefault(figure.function, []).append(figure)
    return tuple(_method(function, tuple(found)) for function, found in by_function.items())


def _method(reference: str, figures: tuple[Figure, ...]) -> Method:
    shared = tuple(one for one in figures[0].inputs if all(one in f.inputs for f in figures[1:]))
    if len(figures) == 1:
        shared = ()
    own = tuple(replace(f, inputs=tuple(one for one in f.inputs if one not in shared)) for f in figures)
    function = named(reference)
    if function is None:
        return Method("This program no longer has the calculation; size again.", (), own, shared)
    why: Explanation = explanation_of(function)
    told = ((part.capitalize(), str(getattr(why, part)).rstrip(".")) for part in PARTS_TOLD)
    return Method(why.what, tuple((part, text) for part, text in told if text), own, shared)
