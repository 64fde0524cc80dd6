"""The papers of a fitment: what each is called, and how it is drawn from the fitment's answer."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from kits.documents.checklist import OIL_AND_GAS, checklist
from kits.documents.parts_list import parts_list
from kits.documents.sizing_report import sizing_report
from kits.documents.sizing_sheet import sizing_sheet
from kits.documents.source import DocumentSource
from kits.topics.every import CALCULATIONS


@dataclass(frozen=True)
class Paper:
    """A paper: its title in words, its address by name, the end of its file name, and what it is drawn from.

    document: from the fitment's source and the name of whoever had it made; topics: codes of the calculations that it
    tells.
    """

    title: str
    route: str
    ending: str
    document: Callable[[DocumentSource, str], Any]
    topics: tuple[str, ...] = ()


EVERY_TOPIC = tuple(one.code for one in CALCULATIONS)
PAPERS_BY_NAME = {
    "parts-list": Paper("Parts list", "parts-list-pdf", "parts-list.pdf", parts_list),
    "parts-workbook": Paper("Parts list as a workbook", "parts-list-xlsx", "parts-list.xlsx", parts_list),
    "checklist": Paper("Checklist", "checklist-pdf", "checklist.pdf", checklist, (OIL_AND_GAS,)),
    "sizing-sheet": Paper("Sizing sheet", "sizing-sheet-pdf", "sizing-sheet.pdf", sizing_sheet),
    "sizing-report": Paper(
        "Sizing report", "sizing-report-pdf", "sizing-report.pdf", sizing_report, EVERY_TOPIC
    ),
}
