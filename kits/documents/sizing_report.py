"""The engineer's report of one kit in one car: the stored answer and all that was worked out, with origins.

Nothing is judged or computed anew. What explains a figure is the docstring of the function that gave it, as on screen.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from kits.bom.resolved import Finding
from kits.documents.cautions import cautions_of
from kits.documents.report_appendix import (
    Explained,
    InputsOfTopic,
    explanations,
    inputs_by_topic,
    numbers_of,
)
from kits.documents.report_duties import DutyVerdict, duty_verdicts, load_tables, number_tables
from kits.documents.report_names import short_names
from kits.documents.report_tables import TableOnPaper
from kits.documents.report_topics import HALF_PX, TopicOnPaper, topic_on_paper
from kits.documents.sizing_sheet import NONE, SizingSheet, sizing_sheet
from kits.documents.source import DocumentSource
from kits.documents.title_block import TitleBlock
from kits.sizing.verdict.record import SizingRecord
from kits.topics.figure import Topic
from vehicles.physics.quantities import celsius, kw

WHAT = "Sizing report"
LEVERS = "levers"


@dataclass(frozen=True, kw_only=True)
class SizingReport:
    """The document. `sheet` is the sizing sheet's text, which the report begins with."""

    title: TitleBlock
    sheet: SizingSheet
    governing: tuple[tuple[str, str], ...] = ()
    duties: tuple[DutyVerdict, ...] = ()
    number_tables: tuple[TableOnPaper, ...] = ()
    load_tables: tuple[TableOnPaper, ...] = ()
    topics: tuple[TopicOnPaper, ...] = ()
    findings: tuple[Finding, ...] = ()
    cautions: tuple[str, ...] = ()
    explanations: tuple[Explained, ...] = ()
    inputs: tuple[InputsOfTopic, ...] = ()

    @property
    def levers_apart(self) -> bool:
        """Whether what would help has a section of its own; else its topic tells it."""
        return bool(self.sheet.levers) and LEVERS not in {topic.code for topic in self.topics}

    @property
    def chart_svg(self) -> str:
        """Load beside capacity."""
        return self.sheet.chart_svg


def sizing_report(source: DocumentSource, by: str) -> SizingReport:
    """The report of a stored answer; without one it says that the fitment is not sized.

    Parameters: source (of the fitment), by (who had it made).
    """
    kit, record = source.kit, source.record
    sheet = sizing_sheet(source, by, chart_px=HALF_PX)
    title = replace(sheet.title, what=WHAT)
    if record is None:
        return SizingReport(title=title, sheet=sheet, findings=kit.findings, cautions=cautions_of(source))
    names = short_names(record.duties)
    topics = tuple(names.in_inputs(topic) for topic in source.topics)
    how, inputs = explanations(topics), inputs_by_topic(topics)
    numbers = numbers_of(inputs)
    return SizingReport(
        title=title,
        sheet=sheet,
        governing=_governing(record),
        duties=duty_verdicts(record.duties, sheet.duties),
        number_tables=number_tables(record.duties, sheet.duties),
        load_tables=load_tables(record.duties),
        topics=tuple(topic_on_paper(topic, names, how, numbers) for topic in topics),
        findings=kit.findings,
        cautions=_cautions(source, topics),
        explanations=tuple(how.values()),
        inputs=inputs,
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


def _cautions(source: DocumentSource, topics: Iterable[Topic]) -> tuple[str, ...]:
    """The general ones and those of the topics, each once."""
    return tuple(
        dict.fromkeys((*cautions_of(source), *(caution for topic in topics for caution in topic.cautions)))
    )
