"""The first sheet of a workbook: which line, how to fill it, what each sheet is for."""

from collections.abc import Callable, Sequence
from typing import Any, Final

from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.hyperlink import Hyperlink

from kits.exchange.columns import Sheet
from kits.exchange.guide import (
    EXAMPLE,
    EXAMPLE_SHEET,
    FACT_NOTES,
    HOW_TO_FILL,
    OPTION_EXAMPLES,
    TITLE,
    key_words,
    owner_words,
)
from kits.exchange.layout import ABOUT, ABOUT_COMPLETE, ABOUT_FORMAT, ABOUT_LINE, FORMAT
from kits.exchange.values import Value

_WIDTHS: Final = {"A": 22, "B": 24, "C": 66, "D": 24, "E": 44}
_GREEN: Final = "1F5B43"
_TITLE: Final = Font(bold=True, size=16, color=_GREEN)
_HEADING: Final = Font(bold=True, size=12, color=_GREEN)
_BOLD: Final = Font(bold=True)
_LINK: Final = Font(color=_GREEN, underline="single")
_INPUT: Final = PatternFill("solid", fgColor="FFF6D6")
_HEAD: Final = PatternFill("solid", fgColor="E9E6DC")
_WRAP: Final = Alignment(vertical="top", wrap_text=True)
_RULE: Final = Border(bottom=Side(style="thin", color=_GREEN))


def write_about(
    worksheet: Any, line: str, sheets: Sequence[Sheet], *, complete: bool = True, blank: bool = False
) -> None:
    """Fill the first sheet. Parameters: as of `write_workbook`."""
    worksheet.title = ABOUT
    for letter, width in _WIDTHS.items():
        worksheet.column_dimensions[letter].width = width
    page = _Page(worksheet)
    page.row(TITLE, font=_TITLE, wrap=False)
    first = page.number + 1
    facts: list[tuple[str, Value]] = [
        (ABOUT_LINE, line),
        (ABOUT_FORMAT, FORMAT),
        (ABOUT_COMPLETE, "yes" if complete else "no"),
    ]
    for (label, value), note in zip(facts, FACT_NOTES, strict=True):
        page.row(label, value, note, font=_BOLD)
        if label != ABOUT_FORMAT:
            worksheet.cell(page.number, 2).fill = _INPUT
        worksheet.cell(page.number, 2).number_format = "General" if label == ABOUT_FORMAT else "@"
    rule = DataValidation(type="list", formula1='"yes,no"', allow_blank=False, showErrorMessage=True)
    worksheet.add_data_validation(rule)
    rule.add(f"B{page.number}")
    worksheet.freeze_panes = f"A{first}"
    if blank:
        page.heading("To begin")
        page.row("1", "", "Give the line a code above, and write it into the sheet Model line with a name.")
        page.row("2", "", "Name features and options, then which of them the line has; add a column headed “option: ” "
                 "and the feature's name where a sheet takes options.")  # fmt: skip
        page.row(
            "3",
            "",
            "Fill what you know and import it: you are told what is missing, before anything is stored.",
        )
    page.heading("How to fill it")
    for word, sentence in HOW_TO_FILL:
        page.row(word, "", sentence, font=_BOLD)
    page.heading("Options")
    page.heads("a cell says", "", "and the row applies")
    for typed, meaning in OPTION_EXAMPLES:
        page.row(typed or "(empty)", "", meaning)
    page.heading(f"Example: a row of {EXAMPLE_SHEET}")
    page.heads("head", "typed", "why")
    for head, typed, why in EXAMPLE:
        page.row(head, typed, why)
    page.heading("The sheets")
    page.heads("sheet", "whose", "what for", "key", "must be filled")
    for sheet in sheets:
        must = ", ".join(c.head for c in sheet.columns if c.required and (not c.key or sheet.append_only))
        page.row(sheet.name, owner_words(sheet), sheet.purpose, key_words(sheet), must, font=_LINK)
        place = f"A{page.number}"
        worksheet[place].hyperlink = Hyperlink(ref=place, location=f"'{sheet.name}'!A1")


class _Page:
    """Rows one below the other."""

    def __init__(self, worksheet: Any) -> None:
        self._worksheet = worksheet
        self.number = 0

    def row(self, *values: Value, font: Font | None = None, wrap: bool = True) -> None:
        """The next row; the font is that of its first cell."""
        self.number += 1
        for place, value in enumerate(values, start=1):
            if value not in ("", None):
                cell = self._worksheet.cell(self.number, place)
                cell.value = value
                cell.data_type = "s" if isinstance(value, str) else "n"
                if wrap:
                    cell.alignment = _WRAP
        if font is not None:
            self._worksheet.cell(self.number, 1).font = font

    def heading(self, text: str) -> None:
        """An empty row, and a heading over the whole width."""
        self.number += 1
        self.row(text, font=_HEADING, wrap=False)
        self._across(lambda cell: setattr(cell, "border", _RULE))

    def heads(self, *words: str) -> None:
        """The heads of a small table."""
        self.row(*words)
        self._across(lambda cell: setattr(cell, "fill", _HEAD))

    def _across(self, change: Callable[[Any], None]) -> None:
        for place in range(1, len(_WIDTHS) + 1):
            change(self._worksheet.cell(self.number, place))
