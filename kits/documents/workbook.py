"""The parts list as an .xlsx workbook: numbers as numbers, text always as text, no formula."""

import io
from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from openpyxl import Workbook
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
from openpyxl.styles import Alignment, Font, PatternFill
from openpyxl.utils import get_column_letter

from kits.documents.parts_list import PartsList, maturity_flag, positions

Value = str | int | float | Decimal | date | None

STRUCTURED = (
    "Zone",
    "Bag",
    "Position",
    "Level",
    "Part number",
    "Revision",
    "Name",
    "Quantity",
    "Unit",
    "Maturity",
    "Made of what follows",
    "Goes into",
)
SUMMED = ("Part number", "Revision", "Name", "Quantity", "Unit", "Positions", "Maturity", "Caution")
HOSES = (
    "Tag",
    "Name",
    "Position",
    "Hose",
    "Size",
    "Cut length [mm]",
    "Tolerance ± [mm]",
    "End A",
    "Angle A [°]",
    "End B",
    "Angle B [°]",
    "Clocking [°]",
    "Routed length [mm]",
    "Slack [mm]",
    "Route",
    "Sleeve",
    "Service port",
    "Crimped at",
)
WIRES = (
    "Position",
    "Wire",
    "From",
    "To",
    "Colour",
    "Cross-section [mm²]",
    "Length [mm]",
    "Terminal",
    "Seal",
    "Fuse [A]",
    "Current [A]",
)

_HEAD_FILL = PatternFill("solid", fgColor="E3E8E1")
_NARROWEST, _WIDEST, _INDENT_MOST = 8, 48, 12


def parts_list_workbook(document: PartsList) -> bytes:
    """The bytes of the workbook: structured and summed list, hoses, wires, and what the list is about."""
    book = Workbook()
    book.properties.creator = "Kitwright"
    title = document.title
    book.properties.title = _clean(f"{title.what}, {title.full_kit}, {title.full_variant}")
    book.remove(book.active)
    _structured(book, document)
    _summed(book, document)
    _hoses(book, document)
    _wires(book, document)
    _about(book, document)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _structured(book: Any, document: PartsList) -> None:
    rows = [
        (
            r.zone,
            r.bag,
            r.position,
            r.level,
            r.part,
            r.revision,
            r.name,
            r.quantity,
            r.unit,
            r.flag or r.maturity,
            "assembly" if r.is_assembly else "",
            r.why,
        )
        for r in document.rows
    ]
    sheet = _sheet(book, "Structured", STRUCTURED, rows, document)
    name = STRUCTURED.index("Name") + 1
    for number, row in enumerate(document.rows, start=2):
        indent = min(row.level * 2, _INDENT_MOST)
        sheet.cell(number, name).alignment = Alignment(vertical="top", wrap_text=True, indent=indent)


def _summed(book: Any, document: PartsList) -> None:
    rows = [
        (
            r.part,
            r.revision,
            r.name,
            r.quantity,
            r.unit,
            positions(r),
            r.maturity,
            maturity_flag(r.maturity),
        )
        for r in document.summed
    ]
    _sheet(book, "Summed", SUMMED, rows, document)


def _hoses(book: Any, document: PartsList) -> None:
    rows = [
        (
            h.tag,
            h.name,
            h.position,
            h.hose,
            h.size,
            h.cut_mm,
            h.tolerance_mm,
            f"{h.end_a.name} ({h.end_a.part})",
            h.end_a.angle_deg,
            f"{h.end_b.name} ({h.end_b.part})",
            h.end_b.angle_deg,
            h.clocking_deg,
            h.routed_mm,
            h.slack_mm,
            h.route,
            h.sleeve,
            h.service_port,
            h.crimp_place,
        )
        for h in document.hoses
    ]
    _sheet(book, "Hoses", HOSES, rows, document)


def _wires(book: Any, document: PartsList) -> None:
    rows = [
        (
            w.position,
            w.number,
            w.start,
            w.end,
            w.colour,
            w.section_mm2,
            w.length_mm,
            w.terminal,
            w.seal,
            w.fuse_a,
            w.current_a,
        )
        for w in document.wires
    ]
    _sheet(book, "Wires", WIRES, rows, document)


def _about(book: Any, document: PartsList) -> None:
    title, charge = document.title, document.charge
    rows: list[tuple[Value, ...]] = [
        ("What", title.what),
        ("Kit", title.full_kit),
        ("Variant", title.full_variant),
        ("Build standard", title.standard),
        ("Date", title.date),
        ("By", title.by),
        ("Gas", charge.gas),
        ("Charge", charge.in_one_line),
        ("Oil", f"{charge.oil}, {charge.oil_amount}"),
        *(("Not for production", finding.sentence) for finding in document.blocking),
        *(("Market", finding.sentence) for finding in document.law),
    ]
    _sheet(book, "About", ("Field", "Value"), rows, document)


def _sheet(
    book: Any, name: str, heads: Sequence[str], rows: Iterable[Sequence[Value]], document: PartsList
) -> Any:
    """A sheet with a frozen head, widths that fit, and a head and foot for the printer."""
    sheet = book.create_sheet(name)
    widths = [len(head) / 2 for head in heads]
    for place, head in enumerate(heads, start=1):
        cell = sheet.cell(1, place)
        _set(cell, head)
        cell.font, cell.fill = Font(bold=True), _HEAD_FILL
        cell.alignment = Alignment(vertical="top", wrap_text=True)
    for number, row in enumerate(rows, start=2):
        for place, value in enumerate(row, start=1):
            cell = sheet.cell(number, place)
            _set(cell, value)
            cell.alignment = Alignment(vertical="top", wrap_text=isinstance(value, str))
            widths[place - 1] = max(widths[place - 1], len(str(value if value is not None else "")))
    for place, width in enumerate(widths, start=1):
        sheet.column_dimensions[get_column_letter(place)].width = min(max(width + 2, _NARROWEST), _WIDEST)
    sheet.freeze_panes = "A2"
    _set_up_print(sheet, document)
    return sheet


def _set_up_print(sheet: Any, document: PartsList) -> None:
    sheet.print_title_rows = "1:1"
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.paperSize = sheet.PAPERSIZE_A4
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.page_setup.fitToHeight = 0
    # "&" begins a code in a printer's foot line, so one that is meant is doubled
    about = _clean(f"{document.title.full_kit}, {document.title.full_variant}")[:120].replace("&", "&&")
    sheet.oddFooter.left.text = about
    sheet.oddFooter.right.text = "&A, &P of &N"


def _set(cell: Any, value: Value) -> None:
    """Write a value; text stays text whatever it begins with, an empty text leaves the cell empty."""
    if isinstance(value, str):
        if value:
            cell.value = _clean(value)
            cell.data_type = "s"
            cell.number_format = "@"
        return
    cell.value = value
    if isinstance(value, date):
        cell.number_format = "yyyy-mm-dd"


def _clean(text: str) -> str:
    """Text without the characters a workbook can't hold."""
    return str(ILLEGAL_CHARACTERS_RE.sub("\ufffd", text))
