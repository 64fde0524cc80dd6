"""Opens a workbook that a stranger may have made: within limits, without macros, links or tricks.

Every limit is held against the directory of the archive or while its parts stream past, before a library keeps
anything of it. What is refused and what is passed over:

- refused: macros, links to other files, embedded files, active controls, chart sheets, encryption, the formats
  before and beside .xlsx, two sheets of one name; and by the reader, cell by cell: formulas, merged cells,
  hidden sheets, rows and columns, sheets and columns that the format does not know;
- passed over: comments and notes, pictures and drawings, colours and widths, hyperlinks of cells, filters,
  names, print settings, and the sheet with the drop-downs' lists.
"""

import io
import re
import warnings
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Any, Final

from openpyxl import load_workbook

from kits.exchange.scan import (
    LINKS,
    MACROS,
    MAX_ROWS,
    NOT_A_WORKBOOK,
    TOO_MANY_ROWS,
    Budget,
    SheetFacts,
    UnsafeWorkbook,
    scan,
)

MAX_BYTES: Final = 20 * 1024**2
MAX_UNPACKED_BYTES: Final = 200 * 1024**2
MAX_MEMBERS: Final = 500
# Our own workbook has one sheet a table, about eighty of them; the rest is room for mistakes.
MAX_SHEETS: Final = 120
MAX_COLUMNS: Final = 200

# Parts of a workbook that can run something, reach out of it, or hold more than cells.
FORBIDDEN: Final = (
    ("vbaproject", MACROS),
    ("xl/workbook.bin", "The workbook is in the binary .xlsb format. Save it as .xlsx."),
    ("macrosheets/", MACROS),
    ("externallinks/", LINKS),
    ("connections.xml", "The workbook holds data connections. Remove them and save it again."),
    ("querytables/", "The workbook holds data connections. Remove them and save it again."),
    ("activex/", "The workbook holds active controls. Remove them and save it again."),
    ("ctrlprops/", "The workbook holds active controls. Remove them and save it again."),
    ("embeddings/", "The workbook holds embedded files. Remove them and save it again."),
    ("dialogsheets/", "The workbook holds dialog sheets. Remove them and save it again."),
    ("chartsheets/", "The workbook holds chart sheets. Remove them and save it again."),
)
_OF_A_WORKBOOK: Final = "xl/"
_OLE_START: Final = b"\xd0\xcf\x11\xe0"
_ENCRYPTED: Final = "The file is protected by a password or in the old .xls format. Save it as .xlsx without."
_XML: Final = (".xml", ".rels")
_PASSED_OVER: Final = (
    ".vml",
    ".png",
    ".jpg",
    ".jpeg",
    ".gif",
    ".bmp",
    ".emf",
    ".wmf",
    ".tif",
    ".tiff",
    ".svg",
)
_PRINTER: Final = re.compile(r"xl/printersettings/[^/]+\.bin")
_COMPRESSION: Final = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_ROWS_AT_ONCE: Final = 500


@dataclass(frozen=True)
class SafeSheet:
    """One sheet: its title, whether it shows, what the look through it brought, and its rows."""

    title: str
    visible: bool
    facts: SheetFacts
    worksheet: Any

    def rows(self) -> Iterator[Sequence[Any]]:
        """The rows from the first on, empty ones too, as cells with `value` and `data_type`.

        Raises UnsafeWorkbook where the file is damaged.
        """
        waiting = iter(self.worksheet.iter_rows())
        while batch := self._next(waiting):
            yield from batch

    def _next(self, waiting: Iterator[Sequence[Any]]) -> list[Sequence[Any]]:
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")
                return list(islice(waiting, _ROWS_AT_ONCE))
        except Exception as error:  # openpyxl meets damaged files with many kinds of exception
            raise UnsafeWorkbook(NOT_A_WORKBOOK) from error


def open_workbook(content: bytes) -> list[SafeSheet]:
    """The sheets of the workbook in these bytes, formulas unread, rows not read yet.

    Raises UnsafeWorkbook with a sentence for anything that is too big, damaged, or holds more than data.
    """
    if len(content) > MAX_BYTES:
        raise UnsafeWorkbook(f"The file is larger than {MAX_BYTES // 1024**2} MB.")
    if content.startswith(_OLE_START):
        raise UnsafeWorkbook(_ENCRYPTED)
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            facts, count = _examine(archive)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            book = load_workbook(io.BytesIO(content), read_only=True, keep_links=False)
        sheets = [_safe_sheet(worksheet, facts) for worksheet in book.worksheets]
    except UnsafeWorkbook:
        raise
    except Exception as error:  # zipfile and openpyxl meet damaged files with many kinds of exception
        raise UnsafeWorkbook(NOT_A_WORKBOOK) from error
    if count != len(sheets):
        raise UnsafeWorkbook(NOT_A_WORKBOOK)
    _measure(sheets)
    return sheets


def _safe_sheet(worksheet: Any, facts: dict[str, SheetFacts]) -> SafeSheet:
    worksheet.reset_dimensions()  # what a sheet says of its own size is no promise
    found = facts[worksheet._worksheet_path.lstrip("/")]
    return SafeSheet(worksheet.title, worksheet.sheet_state == "visible", found, worksheet)


def _examine(archive: zipfile.ZipFile) -> tuple[dict[str, SheetFacts], int]:
    """What the look through each part brought, by name, and how many sheets the workbook says it has."""
    members = [member for member in archive.infolist() if not member.is_dir()]
    if len(members) > MAX_MEMBERS:
        raise UnsafeWorkbook(
            f"The file holds more than {MAX_MEMBERS} parts. Copy its rows into an empty workbook and save that."
        )
    if sum(member.file_size for member in members) > MAX_UNPACKED_BYTES:
        raise UnsafeWorkbook(f"The workbook unpacks to more than {MAX_UNPACKED_BYTES // 1024**2} MB.")
    if len({member.filename.casefold() for member in members}) != len(members):
        raise UnsafeWorkbook(NOT_A_WORKBOOK)
    if not any(member.filename.casefold().startswith(_OF_A_WORKBOOK) for member in members):
        raise UnsafeWorkbook(NOT_A_WORKBOOK)  # and not a workbook that holds other files
    for member in members:
        _refuse_member(member)
    budget = Budget()
    facts = {}
    for member in members:
        if member.filename.casefold().endswith(_XML):
            with archive.open(member) as stream:
                facts[member.filename] = scan(stream, budget)
            if budget.sheets > MAX_SHEETS:
                raise UnsafeWorkbook(f"The workbook has more than {MAX_SHEETS} sheets.")
    return facts, budget.sheets


def _refuse_member(member: zipfile.ZipInfo) -> None:
    name = member.filename.casefold()
    for part, sentence in FORBIDDEN:
        if part in name:
            raise UnsafeWorkbook(sentence)
    encrypted = member.flag_bits & 0x1
    leads_out = name.startswith("/") or "\\" in member.orig_filename or ":" in name or ".." in name.split("/")
    if encrypted or leads_out or member.compress_type not in _COMPRESSION:
        raise UnsafeWorkbook(NOT_A_WORKBOOK)
    if not name.endswith(_XML + _PASSED_OVER) and not _PRINTER.fullmatch(name):
        raise UnsafeWorkbook("The workbook holds other files. Remove them and save it again.")


def _measure(sheets: list[SafeSheet]) -> None:
    if sum(sheet.facts.rows for sheet in sheets) > MAX_ROWS:
        raise UnsafeWorkbook(TOO_MANY_ROWS)
    titles: set[str] = set()
    for sheet in sheets:
        if sheet.facts.columns > MAX_COLUMNS:
            raise UnsafeWorkbook(
                f"The sheet {sheet.title[:60]} has more than {MAX_COLUMNS} columns; delete empty columns at the end."
            )
        if sheet.title.casefold() in titles:
            raise UnsafeWorkbook(f"Two sheets are named {sheet.title[:60]}.")
        titles.add(sheet.title.casefold())
