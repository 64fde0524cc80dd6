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
from kits.exchange.first_sheet import write_about
from kits.exchange.reader import LISTS
from kits.exchange.values import CELL_MAX, Row, Rows, Value

_HEAD_FILL: Final = PatternFill("solid", fgColor="E9E6DC")
_KEY_FILL: Final = PatternFill("solid", fgColor="C9D3C6")
_LINE_TAB, _SHARED_TAB = "1F5B43", "9A958A"
_NARROW, _WIDE = 11, 48
_HEAD_HEIGHT: Final = 45
_EMPTY_ROWS_WITH_LISTS: Final = 200
_LIST_MAX: Final = 255
_TOP: Final = Alignment(vertical="top", wrap_text=True)


def write_workbook(
    line: str, sheets: Sequence[Sheet], rows: Rows, *, complete: bool = True, blank: bool = False
) -> bytes:
    """The bytes of an .xlsx workbook.

    Parameters: line (code of the model line, empty in a blank one), sheets (with their choices and option
    columns), rows by sheet and key. Raises ValueError when a text is longer than a cell holds.
    """
    book = Workbook()
    book.properties.creator = "Kitwright"
    write_about(book.active, line, sheets, complete=complete, blank=blank)
    worksheets = {sheet.name: book.create_sheet(sheet.name) for sheet in sheets}
    lists = _Lists(book.create_sheet(LISTS), sheets)
    for sheet in sheets:
        _write_sheet(worksheets[sheet.name], sheet, list(rows.get(sheet.name, {}).values()), lists)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


class _Lists:
    """What the drop-downs offer: a short list in the rule itself, a long one on the sheet Lists, codes on their own."""

    def __init__(self, worksheet: Any, sheets: Sequence[Sheet]) -> None:
        self._worksheet = worksheet
        self._known: dict[tuple[str, ...], str] = {}
        self._sheets = {sheet.name: sheet for sheet in sheets}
        worksheet.freeze_panes = "A2"
        worksheet.sheet_properties.tabColor = _SHARED_TAB

    def choices(self, column: Column) -> str:
        """The formula of the choices of a column, or none."""
        choices = ("yes", "no") if column.kind == YES_NO else column.choices
        if column.kind not in (CHOICE, OPTIONS, YES_NO) or not choices:
            return ""
        joined = ",".join(choices)
        if len(joined) + 2 <= _LIST_MAX and not any("," in choice or '"' in choice for choice in choices):
            return f'"{joined}"'
        if choices not in self._known:
            self._known[choices] = self._write(column.head, choices)
        return self._known[choices]

    def _write(self, head: str, choices: tuple[str, ...]) -> str:
        place = len(self._known) + 1
        letter = get_column_letter(place)
        for number, text in enumerate((head, *choices), start=1):
            set_cell(self._worksheet.cell(number, place), text)
        self._worksheet.cell(1, place).font = Font(bold=True)
        self._worksheet.cell(1, place).fill = _HEAD_FILL
        self._worksheet.column_dimensions[letter].width = min(max(map(len, (head, *choices))) + 2, _WIDE)
        return f"{LISTS}!${letter}$2:${letter}${len(choices) + 1}"

    def codes(self, sheet: Sheet, field: str) -> str:
        """The formula of the cells with the codes that a column may name, when another sheet lists them."""
        owner = sheet
        while reference := owner.reference_of(field):
            target = self._sheets.get(reference.sheet)
            if target is None:
                return ""
            owner, field = target, target.key[reference.columns.index(field)]
        if owner is sheet or len(owner.key) != 1:
            return ""
        letter = get_column_letter([column.field for column in owner.columns].index(field) + 1)
        return f"'{owner.name}'!${letter}$2:${letter}$5000"


def _write_sheet(worksheet: Any, sheet: Sheet, rows: list[Row], lists: _Lists) -> None:
    for place, column in enumerate(sheet.columns, start=1):
        _write_head(worksheet, sheet, place, column, [row.get(column.field) for row in rows])
        _offer(worksheet, sheet, place, column, lists, len(rows))
    for number, row in enumerate(rows, start=2):
        for place, column in enumerate(sheet.columns, start=1):
            cell = worksheet.cell(number, place)
            set_cell(cell, _shown(column, row.get(column.field)))
            cell.number_format = _number_format(column)
            cell.alignment = _TOP
    keys = 0 if sheet.append_only else len(sheet.key)
    worksheet.freeze_panes = worksheet.cell(2, keys + 1)
    worksheet.row_dimensions[1].height = _HEAD_HEIGHT
    worksheet.sheet_properties.tabColor = _LINE_TAB if sheet.owner == LINE else _SHARED_TAB
    worksheet.page_setup.orientation = "landscape"
    worksheet.page_setup.fitToHeight = 0
    worksheet.sheet_properties.pageSetUpPr.fitToPage = True
    worksheet.print_title_rows = "1:1"


def _write_head(worksheet: Any, sheet: Sheet, place: int, column: Column, values: list[Value]) -> None:
    head = worksheet.cell(1, place)
    set_cell(head, column.head)
    head.font = Font(bold=column.required)
    head.fill = _KEY_FILL if column.key and not sheet.append_only else _HEAD_FILL
    head.alignment = _TOP
    longest_word = max(map(len, column.head.split()))
    width = max([longest_word, len(column.head) / 2, *(len(str(value or "")) for value in values)])
    dimension = worksheet.column_dimensions[get_column_letter(place)]
    dimension.width = min(max(width + 2, _NARROW), _WIDE)
    # What is typed below the last row is text from the start where text is meant: 00712 stays 00712.
    dimension.number_format = _number_format(column)


def _offer(worksheet: Any, sheet: Sheet, place: int, column: Column, lists: _Lists, count: int) -> None:
    """A drop-down; where several options may be named, or new codes come in the same workbook, it only suggests."""
    letter = get_column_letter(place)
    formula = lists.choices(column)
    strict = bool(formula) and (column.kind != OPTIONS or sheet.options == ONE_EACH)
    formula = formula or lists.codes(sheet, column.field)
    if not formula:
        return
    rule = DataValidation(type="list", formula1=formula, allow_blank=True, showErrorMessage=strict)
    if column.kind == OPTIONS and not strict:
        rule.promptTitle = column.head[:32]
        rule.prompt = "One option, several with a comma between, or not and an option. Empty: any."
        rule.showInputMessage = True
    worksheet.add_data_validation(rule)
    rule.add(f"{letter}2:{letter}{count + 1 + _EMPTY_ROWS_WITH_LISTS}")


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


def set_cell(cell: Any, value: Value) -> None:
    """Write a value; text stays text, whatever it begins with, and numbers keep their last digit."""
    if isinstance(value, str):
        if len(value) > CELL_MAX:
            raise ValueError(f"A text of {len(value)} characters does not fit in a cell: {value[:40]}…")
        cell.value = ILLEGAL_CHARACTERS_RE.sub("\ufffd", value)
        cell.data_type = "s"
    elif isinstance(value, float):
        cell.value = repr(value)  # openpyxl itself would round to 16 digits
        cell.data_type = "n"
    else:
        cell.value = value
