"""Writes rows as a workbook that a person can read and this program can load again."""

import io
from collections.abc import Sequence
from decimal import Decimal
from typing import Any, Final

from openpyxl import Workbook
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
from openpyxl.styles import Alignment, Font, PatternFill
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation

from kits.exchange.columns import CHOICE, DATE, LINE, NUMERIC, ONE_EACH, OPTIONS, YES_NO, Column, Sheet
from kits.exchange.layout import ABOUT, ABOUT_COMPLETE, ABOUT_FORMAT, ABOUT_LINE, FORMAT
from kits.exchange.values import Row, Rows, Value

_HEAD_FONT: Final = Font(bold=True)
_HEAD_FILL: Final = PatternFill("solid", fgColor="E7ECEF")
_KEY_FILL: Final = PatternFill("solid", fgColor="CBD8DF")
_NARROW, _WIDE = 9, 48
_EMPTY_ROWS_WITH_LISTS: Final = 200
_CELL_MAX: Final = 32_767
_LIST_MAX: Final = 255
_LISTS_FROM_COLUMN: Final = 8

EXPLANATION: Final = (
    "This workbook holds one model line: its cars, and the kits and parts they use.",
    "One sheet is one table, one row one thing. The first row holds the heads; units stand in brackets.",
    "The darker heads are the key: they tell one row from another, and other sheets name a row by them.",
    "A head in bold must be filled. Codes, part numbers and revisions are text; numbers are numbers.",
    "Columns headed “option:” hold options: “left”, “left, right”, “not electric”; empty means any.",
    "complete: yes means the line's own sheets are the full picture; rows that are missing here are removed.",
    "complete: no only adds and changes. Shared sheets (parts, kits, duty points, features) never remove.",
    "Lengths, charges and engine-side temperatures are only added: a better value is another row.",
    "Origin kind says where the values of a row come from.",
)


def write_workbook(line: str, sheets: Sequence[Sheet], rows: Rows, *, complete: bool = True) -> bytes:
    """The bytes of an .xlsx workbook.

    Parameters: line (code of the model line), sheets (with their choices and option columns), rows by sheet
    and key. Raises ValueError when a text is longer than a cell holds.
    """
    book = Workbook()
    book.properties.creator = "Kitwright"
    about = book.active
    _write_about(about, line, sheets, complete)
    lists = _Lists(about)
    for sheet in sheets:
        _write_sheet(book.create_sheet(sheet.name), sheet, list(rows.get(sheet.name, {}).values()), lists)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


class _Lists:
    """Drop-down lists too long for a rule of their own stand at the right of the first sheet."""

    def __init__(self, about: Any) -> None:
        self._about = about
        self._known: dict[tuple[str, ...], str] = {}

    def formula(self, choices: tuple[str, ...]) -> str:
        joined = ",".join(choices)
        if len(joined) + 2 <= _LIST_MAX and not any("," in choice or '"' in choice for choice in choices):
            return f'"{joined}"'
        if choices not in self._known:
            place = _LISTS_FROM_COLUMN + len(self._known)
            for number, choice in enumerate(choices, start=1):
                _set(self._about.cell(number, place), choice)
            letter = get_column_letter(place)
            self._known[choices] = f"{ABOUT}!${letter}$1:${letter}${len(choices)}"
            self._about.column_dimensions[letter].hidden = True
        return self._known[choices]


def _write_about(worksheet: Any, line: str, sheets: Sequence[Sheet], complete: bool) -> None:
    worksheet.title = ABOUT
    facts: list[tuple[str, Value]] = [
        (ABOUT_LINE, line),
        (ABOUT_FORMAT, FORMAT),
        (ABOUT_COMPLETE, "yes" if complete else "no"),
    ]
    for number, (label, value) in enumerate(facts, start=1):
        _set(worksheet.cell(number, 1), label)
        worksheet.cell(number, 1).font = _HEAD_FONT
        _set(worksheet.cell(number, 2), value)
    number = len(facts) + 2
    for sentence in EXPLANATION:
        _set(worksheet.cell(number, 1), sentence)
        number += 1
    for sheet in sheets:
        number += 1
        _set(worksheet.cell(number, 1), sheet.name)
        _set(worksheet.cell(number, 2), "of this line" if sheet.owner == LINE else "shared")
    worksheet.column_dimensions["A"].width = 24
    worksheet.column_dimensions["B"].width = 24
    _offer_choices(worksheet, "B3", '"yes,no"')


def _write_sheet(worksheet: Any, sheet: Sheet, rows: list[Row], lists: _Lists) -> None:
    for place, column in enumerate(sheet.columns, start=1):
        letter = get_column_letter(place)
        head = worksheet.cell(1, place)
        _set(head, column.head)
        head.font = Font(bold=column.required)
        head.fill = _KEY_FILL if column.key and not sheet.append_only else _HEAD_FILL
        head.alignment = Alignment(wrap_text=True, vertical="top")
        width = max([len(column.head) / 2, *(len(str(row.get(column.field) or "")) for row in rows)])
        worksheet.column_dimensions[letter].width = min(max(width + 2, _NARROW), _WIDE)
        choices = _choices(sheet, column)
        if choices:
            last = len(rows) + 1 + _EMPTY_ROWS_WITH_LISTS
            _offer_choices(worksheet, f"{letter}2:{letter}{last}", lists.formula(choices), column, sheet)
    for number, row in enumerate(rows, start=2):
        for place, column in enumerate(sheet.columns, start=1):
            cell = worksheet.cell(number, place)
            _set(cell, _shown(column, row.get(column.field)))
            cell.number_format = _number_format(column)
    keys = 0 if sheet.append_only else len(sheet.key)
    worksheet.freeze_panes = worksheet.cell(2, keys + 1)


def _choices(sheet: Sheet, column: Column) -> tuple[str, ...]:
    if column.kind == YES_NO:
        return ("yes", "no")
    return column.choices if column.kind in (CHOICE, OPTIONS) else ()


def _offer_choices(
    worksheet: Any, cells: str, formula: str, column: Column | None = None, sheet: Sheet | None = None
) -> None:
    """A drop-down list; where several options may be named it only suggests."""
    free = column is not None and column.kind == OPTIONS and sheet is not None and sheet.options != ONE_EACH
    rule = DataValidation(type="list", formula1=formula, allow_blank=True, showErrorMessage=not free)
    worksheet.add_data_validation(rule)
    rule.add(cells)


def _number_format(column: Column) -> str:
    if column.kind == DATE:
        return "yyyy-mm-dd"
    return "General" if column.kind in NUMERIC else "@"


def _shown(column: Column, value: Value) -> Value:
    if column.kind == YES_NO and value is not None:
        return "yes" if value else "no"
    if isinstance(value, Decimal):
        return int(value) if value == int(value) else float(value)
    return None if value == "" else value


def _set(cell: Any, value: Value) -> None:
    """Write a value; text stays text, whatever it begins with, and numbers keep their last digit."""
    if isinstance(value, str):
        if len(value) > _CELL_MAX:
            raise ValueError(f"A text of {len(value)} characters does not fit in a cell: {value[:40]}…")
        cell.value = ILLEGAL_CHARACTERS_RE.sub("\ufffd", value)
        cell.data_type = "s"
    elif isinstance(value, float):
        cell.value = repr(value)  # openpyxl itself would round to 16 digits
        cell.data_type = "n"
    else:
        cell.value = value
