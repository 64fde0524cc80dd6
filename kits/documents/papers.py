"""The papers of a fitment: what each is called, and how it is drawn from the fitment's answer."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from kits.documents.checklist import checklist
from kits.documents.parts_list import parts_list
from kits.documents.sizing_report import sizing_report
from kits.documents.sizing_sheet import sizing_sheet
from kits.documents.source import DocumentSource


@dataclass(frozen=True)
class Paper:
    """A paper: its title in words, its address by name, the end of its file name, and what it is drawn from.

    document: from the fitment's source and the name of whoever had it made.
    """

    title: str
    route: str
    ending: str
    document: Callable[[DocumentSource, str], Any]


PAPERS_BY_NAME = {
    "parts-list": Paper("Parts list", "parts-list-pdf", "parts-list.pdf", parts_list),
    "parts-workbook": Paper("Parts list as a workbook", "parts-list-xlsx", "parts-list.xlsx", parts_list),
    "checklist": Paper("Checklist", "checklist-pdf", "checklist.pdf", checklist),
    "sizing-sheet": Paper("Sizing sheet", "sizing-sheet-pdf", "sizing-sheet.pdf", sizing_sheet),
    "sizing-report": Paper("Sizing report", "sizing-report-pdf", "sizing-report.pdf", sizing_report),
}
