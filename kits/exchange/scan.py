"""Looks through the XML of a workbook piece by piece, before anything of it is kept in memory.

Whoever wrote the file, the look holds a few counters only: it ends at the first limit that is passed. What it
brings back of a sheet is how large it is, and where cells are merged or hidden.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import IO, Final
from xml.parsers import expat  # nosec - document types are refused, nothing is expanded

MAX_ELEMENTS: Final = 2_000_000
MAX_OTHER_ELEMENTS: Final = 50_000
MAX_STRINGS: Final = 500_000
MAX_ROWS: Final = 100_000
MAX_TEXT: Final = 20_000_000
MAX_NAMES: Final = 2_000
MAX_DEPTH: Final = 60
MAX_OTHER_BYTES: Final = 20 * 1024**2
# What the reader looks at with expressions whose time grows with the square of the length, or one by one.
# 255 characters a format are Excel's own limit.
MAX_FORMAT_LETTERS: Final = 255
MAX_NAME_LETTERS: Final = 1_024
MAX_NAMES_LETTERS: Final = 100_000
MAX_STYLES: Final = 10_000
MAX_FORMULA_LETTERS: Final = 500_000
# Excel's own largest sheet; a file that claims more lies.
EXCEL_ROWS, EXCEL_COLUMNS = 1_048_576, 16_384

NOT_A_WORKBOOK: Final = "This file is not an .xlsx workbook, or it is damaged."
MACROS: Final = "The workbook holds macros. Save it as .xlsx without macros."
LINKS: Final = "The workbook links to other files. Break the links and save it again."
_LONG_FORMAT: Final = (
    f"A number format of the workbook has more than {MAX_FORMAT_LETTERS} characters. "
    "Choose a plain one and save it again."
)
_STYLES: Final = (
    f"The workbook has more than {MAX_STYLES:,} cell styles. "
    "Copy its rows into an empty workbook and save that."
)
_RANGE_NAMES: Final = (
    "The workbook holds names of ranges or print areas that are too many or too long. "
    "Remove them and save it again."
)
_FORMULAS: Final = (
    "The workbook holds more formulas than can be looked at. Paste the values instead and save it again."
)
TOO_MANY_ROWS: Final = f"The workbook has more than {MAX_ROWS:,} rows; delete empty rows at the ends."
_TOO_MANY: Final = "The workbook holds more cells than can be read at once."
_CHUNK: Final = 1 << 16
_SILENT_CHUNKS: Final = 16
_KEPT: Final = 100
_MAIN: Final = "http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_TYPES: Final = "http://schemas.openxmlformats.org/package/2006/content-types}"
_RELATIONS: Final = "http://schemas.openxmlformats.org/package/2006/relationships}"
# What most of a workbook consists of, and what is read without a large object for each.
_COMMON: Final = frozenset(_MAIN + name for name in ("row", "c", "v", "is", "t", "f", "si"))
_NAME, _FORMULA = _MAIN + "definedName", _MAIN + "f"
_CELL: Final = re.compile(r"([A-Z]{1,3})([1-9][0-9]{0,6})")


class UnsafeWorkbook(ValueError):
    """Why a file is not opened at all, in a sentence."""


@dataclass
class SheetFacts:
    """What the look at one sheet brought: the last row and column, cells, merged and hidden places.

    Of merged and hidden places the first hundred are kept.
    """

    rows: int = 0
    columns: int = 0
    merged: list[str] = field(default_factory=list)
    hidden_rows: list[int] = field(default_factory=list)
    hidden_columns: list[int] = field(default_factory=list)


@dataclass(kw_only=True)
class Budget:
    """What all parts of a workbook have used together."""

    elements: int = 0
    rows: int = 0
    others: int = 0
    strings: int = 0
    text: int = 0
    other_bytes: int = 0
    sheets: int = 0
    styles: int = 0
    range_names: int = 0
    formulas: int = 0
    names: set[str] = field(default_factory=set)


def column_number(letters: str) -> int:
    """The number of a column by its letters: A is 1, AA is 27."""
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number


def scan(stream: IO[bytes], budget: Budget) -> SheetFacts:
    """Look through one XML part.

    Raises UnsafeWorkbook with a sentence at the first limit that is passed, at a document type, at XML that is
    not well formed, and at links and macros.
    """
    return _Scan(budget).run(stream)


class _Scan:
    """The look through one part."""

    def __init__(self, budget: Budget) -> None:
        self.budget = budget
        self.facts = SheetFacts()
        self.depth = self.row = self.column = self.letters = 0
        self.tag = ""
        self.bulky = False
        self.handlers: dict[str, Callable[[dict[str, str]], None]] = {
            _MAIN + "worksheet": self._bulk,
            _MAIN + "sst": self._bulk,
            _MAIN + "row": self._row,
            _MAIN + "c": self._cell,
            _MAIN + "si": self._string,
            _MAIN + "col": self._col,
            _MAIN + "sheet": self._sheet,
            _MAIN + "mergeCell": self._merge,
            _MAIN + "numFmt": self._number_format,
            _MAIN + "xf": self._style,
            _MAIN + "dimension": self._dimension,
            _MAIN + "sheetFormatPr": self._format,
            _TYPES + "Default": self._content_type,
            _TYPES + "Override": self._content_type,
            _RELATIONS + "Relationship": self._relationship,
        }

    def run(self, stream: IO[bytes]) -> SheetFacts:
        parser = expat.ParserCreate(namespace_separator="}")
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._data
        parser.StartDoctypeDeclHandler = self._refuse
        parser.EntityDeclHandler = self._refuse
        silent = 0
        try:
            while chunk := stream.read(_CHUNK):
                before = self.budget.elements + self.budget.text
                parser.Parse(chunk, False)
                silent = silent + 1 if self.budget.elements + self.budget.text == before else 0
                if silent > _SILENT_CHUNKS:
                    raise UnsafeWorkbook(NOT_A_WORKBOOK)
                if not self.bulky:
                    self.budget.other_bytes += len(chunk)
                    _limit(self.budget.other_bytes, MAX_OTHER_BYTES)
            parser.Parse(b"", True)
        except expat.ExpatError as error:
            raise UnsafeWorkbook(NOT_A_WORKBOOK) from error
        return self.facts

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        budget = self.budget
        self.depth += 1
        self.tag, self.letters = tag, 0
        budget.elements += 1
        if attributes:
            budget.names.update(attributes)
        if budget.elements > MAX_ELEMENTS or self.depth > MAX_DEPTH or len(budget.names) > MAX_NAMES:
            raise UnsafeWorkbook(_TOO_MANY)
        if tag not in _COMMON:
            budget.others += 1
            budget.names.add(tag)
            budget.text += sum(map(len, attributes.values()))
            _limit(budget.others, MAX_OTHER_ELEMENTS)
            _limit(budget.text, MAX_TEXT)
        handler = self.handlers.get(tag)
        if handler is not None:
            handler(attributes)

    def _end(self, _: str) -> None:
        self.depth -= 1

    def _data(self, text: str) -> None:
        budget = self.budget
        budget.text += len(text)
        _limit(budget.text, MAX_TEXT)
        if self.tag == _NAME:
            self.letters += len(text)
            budget.range_names += len(text)
            if self.letters > MAX_NAME_LETTERS or budget.range_names > MAX_NAMES_LETTERS:
                raise UnsafeWorkbook(_RANGE_NAMES)
        elif self.tag == _FORMULA:
            budget.formulas += len(text)
            if budget.formulas > MAX_FORMULA_LETTERS:
                raise UnsafeWorkbook(_FORMULAS)

    def _refuse(self, *_: object) -> None:
        raise UnsafeWorkbook(NOT_A_WORKBOOK)

    def _bulk(self, _: dict[str, str]) -> None:
        self.bulky = True

    def _row(self, attributes: dict[str, str]) -> None:
        """Rows count upwards; one that stands twice would be lost without a word."""
        number = _whole(attributes.get("r", str(self.row + 1)))
        if not self.row < number <= EXCEL_ROWS:
            self._refuse()
        self.row, self.column = number, 0
        self.facts.rows = number
        self.budget.rows += 1
        if self.budget.rows > MAX_ROWS:
            raise UnsafeWorkbook(TOO_MANY_ROWS)
        if _true(attributes.get("hidden")) and len(self.facts.hidden_rows) < _KEPT:
            self.facts.hidden_rows.append(number)

    def _cell(self, attributes: dict[str, str]) -> None:
        """Cells count upwards in their row, and say the row they stand in."""
        place = attributes.get("r")
        column, row = _cell_place(place) if place is not None else (self.column + 1, self.row)
        if row != self.row or not self.column < column <= EXCEL_COLUMNS:
            self._refuse()
        self.column = column
        if column > self.facts.columns:
            self.facts.columns = column

    def _string(self, _: dict[str, str]) -> None:
        self.budget.strings += 1
        _limit(self.budget.strings, MAX_STRINGS)

    def _col(self, attributes: dict[str, str]) -> None:
        if _true(attributes.get("hidden")) and len(self.facts.hidden_columns) < _KEPT:
            self.facts.hidden_columns.append(_whole(attributes.get("min", "")))

    def _number_format(self, attributes: dict[str, str]) -> None:
        if len(attributes.get("formatCode", "")) > MAX_FORMAT_LETTERS:
            raise UnsafeWorkbook(_LONG_FORMAT)

    def _style(self, _: dict[str, str]) -> None:
        self.budget.styles += 1
        if self.budget.styles > MAX_STYLES:
            raise UnsafeWorkbook(_STYLES)

    def _sheet(self, _: dict[str, str]) -> None:
        self.budget.sheets += 1

    def _merge(self, attributes: dict[str, str]) -> None:
        if len(self.facts.merged) < _KEPT:
            self.facts.merged.append(_range(attributes.get("ref", "")))

    def _dimension(self, attributes: dict[str, str]) -> None:
        _range(attributes.get("ref", ""))

    def _format(self, attributes: dict[str, str]) -> None:
        if _true(attributes.get("zeroHeight")):
            self.facts.hidden_rows.append(1)

    def _content_type(self, attributes: dict[str, str]) -> None:
        kind = attributes.get("ContentType", "").casefold()
        if "macroenabled" in kind or "vbaproject" in kind:
            raise UnsafeWorkbook(MACROS)

    def _relationship(self, attributes: dict[str, str]) -> None:
        """A hyperlink in a cell leads out only when somebody follows it; nothing else may lead out."""
        kind = attributes.get("Type", "").rpartition("/")[2].casefold()
        if kind.startswith("externallink") or (
            attributes.get("TargetMode", "").casefold() == "external" and kind != "hyperlink"
        ):
            raise UnsafeWorkbook(LINKS)


def _limit(count: int, most: int) -> None:
    if count > most:
        raise UnsafeWorkbook(_TOO_MANY)


def _whole(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 8):
        raise UnsafeWorkbook(NOT_A_WORKBOOK)
    return int(text)


def _true(text: str | None) -> bool:
    return text is not None and text.casefold() not in ("0", "false")


def _cell_place(text: str) -> tuple[int, int]:
    found = _CELL.fullmatch(text)
    if found is None:
        raise UnsafeWorkbook(NOT_A_WORKBOOK)
    return column_number(found[1]), int(found[2])


def _range(text: str) -> str:
    """A range of cells within what Excel itself can hold."""
    for corner in text.split(":", 1):
        column, row = _cell_place(corner)
        if column > EXCEL_COLUMNS or row > EXCEL_ROWS:
            raise UnsafeWorkbook(NOT_A_WORKBOOK)
    return text
