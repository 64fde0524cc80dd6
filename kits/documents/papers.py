"""The papers of a fitment: what each is called, and how it is drawn from the fitment's answer."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from kits.documents.checklist import checklist
from kits.documents.parts_list import parts_list
from kits.documents.sizing_report import sizing_report
from kits.documents.sizing_sheet import sizing_sheet


@dataclass(frozen=True)
class Paper:
    """A paper: its title in words, its address by name, the end of its file name, and what it is drawn from.

    document: from the fitment's source and the name of whoever had it made.
    """

    title: str
    route: str
    ending: str
    document: Callable[[Any, str], Any]


PAPERS_BY_NAME = {
    "parts-list": Paper("Parts list", "parts-list-pdf", "parts-list.pdf", lambda s, by: parts_list(s.kit, by)),
    "parts-workbook": Paper(
        "Parts list as a workbook", "parts-list-xlsx", "parts-list.xlsx", lambda s, by: parts_list(s.kit, by)
    ),
    "checklist": Paper("Checklist", "checklist-pdf", "checklist.pdf", lambda s, by: checklist(s.kit, by)),
    "sizing-sheet": Paper(
        "Sizing sheet", "sizing-sheet-pdf", "sizing-sheet.pdf",
        lambda s, by: sizing_sheet(s.kit, s.record, s.sized_at, s.is_stale, by),
    ),
    "sizing-report": Paper(
        "Sizing report", "sizing-report-pdf", "sizing-report.pdf",
        lambda s, by: sizing_report(s.kit, s.record, s.sized_at, s.is_stale, by),
    ),
}  # fmt: skip
