"""The parts list as an .xlsx workbook: numbers as numbers, text always as text, no formula."""

import io
from collections.abc import Callable, Iterable, Mapping
from datetime import date
from decimal import Decimal
from operator import attrgetter, itemgetter
from typing import Any, Final

from openpyxl import Workbook
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
from openpyxl.styles import Alignment, Font, PatternFill
from openpyxl.utils import get_column_letter

from kits.documents.parts_list import PartsList, crimp_text, maturity_flag, positions
from kits.documents.stop import NOT_FOR_PRODUCTION
from kits.documents.title_block import ChargeBlock

Value = str | int | float | Decimal | date | None

Columns = Mapping[str, Callable[[Any], Value]]
"""What a sheet shows of each thing it lists: the head of a column, and what stands below it."""

STRUCTURED: Final[Columns] = {
    "Zone": attrgetter("zone"),
    "Bag": attrgetter("bag"),
    "Position": attrgetter("position"),
    "Level": attrgetter("level"),
    "Part number": attrgetter("part"),
    "Revision": attrgetter("revision"),
    "Name": attrgetter("name"),
    "Quantity": attrgetter("quantity"),
    "Unit": attrgetter("unit"),
    "Maturity": lambda row: row.flag or row.maturity,
    "Made of what follows": lambda row: "assembly" if row.is_assembly else "",
    "Goes into": attrgetter("why"),
}
SUMMED: Final[Columns] = {
    "Part number": attrgetter("part"),
    "Revision": attrgetter("revision"),
    "Name": attrgetter("name"),
    "Quantity": attrgetter("quantity"),
    "Unit": attrgetter("unit"),
    "Positions": positions,
    "Maturity": attrgetter("maturity"),
    "Caution": lambda row: maturity_flag(row.maturity),
}
HOSES: Final[Columns] = {
    "Tag": attrgetter("tag"),
    "Name": attrgetter("name"),
    "Position": attrgetter("position"),
    "Hose": attrgetter("hose"),
    "Size": attrgetter("size"),
    "Cut length [mm]": attrgetter("cut_mm"),
    "Tolerance ± [mm]": attrgetter("tolerance_mm"),
    "End A": lambda hose: f"{hose.end_a.name} ({hose.end_a.part})",
    "Angle A [°]": attrgetter("end_a.angle_deg"),
    "End B": lambda hose: f"{hose.end_b.name} ({hose.end_b.part})",
    "Angle B [°]": attrgetter("end_b.angle_deg"),
    "Clocking [°]": attrgetter("clocking_deg"),
    "Routed length [mm]": attrgetter("routed_mm"),
    "Slack [mm]": attrgetter("slack_mm"),
    "Route": attrgetter("route"),
    "Sleeve": attrgetter("sleeve"),
    "Service port": attrgetter("service_port"),
    "Crimped at": attrgetter("crimp_place"),
    "Crimp at the car": lambda hose: "; ".join(
        f"end {code}: {crimp_text(end.crimp)}" for code, end in hose.crimped_at_car
    ),
}
WIRES: Final[Columns] = {
    "Position": attrgetter("position"),
    "Wire": attrgetter("number"),
    "From": attrgetter("start"),
    "To": attrgetter("end"),
    "Colour": attrgetter("colour"),
    "Cross-section [mm²]": attrgetter("section_mm2"),
    "Length [mm]": attrgetter("length_mm"),
    "Terminal": attrgetter("terminal"),
    "Seal": attrgetter("seal"),
    "Fuse [A]": attrgetter("fuse_a"),
    "Current [A]": attrgetter("current_a"),
}
ABOUT: Final[Columns] = {"Field": itemgetter(0), "Value": itemgetter(1)}

STOPPED: Final = (
    f"{NOT_FOR_PRODUCTION}: nothing is picked, bought or cut by this list. Why: on the sheet About."
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
    _indent_names(_sheet(book, "Structured", STRUCTURED, document.rows, document), document)
    _sheet(book, "Summed", SUMMED, document.summed, document)
    _sheet(book, "Hoses", HOSES, document.hoses, document)
    _sheet(book, "Wires", WIRES, document.wires, document)
    _sheet(book, "About", ABOUT, _about(document), document)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _indent_names(sheet: Any, document: PartsList) -> None:
    """What is in an assembly stands below it, a little to the right."""
    name = list(STRUCTURED).index("Name") + 1
    for number, row in enumerate(document.rows, start=_first_row(document)):
        indent = min(row.level * 2, _INDENT_MOST)
        sheet.cell(number, name).alignment = Alignment(vertical="top", wrap_text=True, indent=indent)


def _first_row(document: PartsList) -> int:
    """The row below the head, which has the word that it is not for production above it where that is so."""
    return 3 if document.title.stop.is_stopped else 2


def _about(document: PartsList) -> list[tuple[str, Value]]:
    """What the list is about: the kit and the car, the charge, and what keeps it from production."""
    title, charge = document.title, document.charge
    return [
        ("What", title.what),
        ("Kit", title.full_kit),
        ("Variant", title.full_variant),
        ("Market", title.full_market),
        ("Build standard", title.standard),
        ("Date", title.date),
        ("By", title.by),
        *_charge(charge),
        *(("Not for production", reason) for reason in title.stop.reasons),
        *(("Rule of the market", finding.sentence) for finding in document.law),
    ]


def _charge(charge: ChargeBlock | None) -> list[tuple[str, Value]]:
    if charge is None:
        return [("Gas", "none, heats only")]
    return [
        ("Gas", charge.gas_in_words),
        ("Charge", charge.in_one_line),
        ("Oil", f"{charge.oil}, {charge.oil_amount}"),
    ]


def _sheet(book: Any, name: str, columns: Columns, things: Iterable[Any], document: PartsList) -> Any:
    """A sheet with a frozen head, widths that fit, and a head and foot for the printer.

    Where the kit is not for production, that stands above the head.
    """
    sheet = book.create_sheet(name)
    widths = [len(head) / 2 for head in columns]
    first = _first_row(document)
    if document.title.stop.is_stopped:
        _set(sheet.cell(1, 1), STOPPED)
        sheet.cell(1, 1).font = Font(bold=True, size=14)
    for place, head in enumerate(columns, start=1):
        cell = sheet.cell(first - 1, place)
        _set(cell, head)
        cell.font, cell.fill = Font(bold=True), _HEAD_FILL
        cell.alignment = Alignment(vertical="top", wrap_text=True)
    for number, thing in enumerate(things, start=first):
        for place, shown in enumerate(columns.values(), start=1):
            cell, value = sheet.cell(number, place), shown(thing)
            _set(cell, value)
            cell.alignment = Alignment(vertical="top", wrap_text=isinstance(value, str))
            widths[place - 1] = max(widths[place - 1], len(str(value if value is not None else "")))
    for place, width in enumerate(widths, start=1):
        sheet.column_dimensions[get_column_letter(place)].width = min(max(width + 2, _NARROWEST), _WIDEST)
    sheet.freeze_panes = f"A{first}"
    _set_up_print(sheet, document)
    return sheet


def _set_up_print(sheet: Any, document: PartsList) -> None:
    sheet.print_title_rows = f"1:{_first_row(document) - 1}"
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
