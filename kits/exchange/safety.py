"""Opens a workbook that a stranger may have made: within limits, without macros, links or tricks."""

import io
import warnings
import zipfile
from typing import Any, Final

from defusedxml import DefusedXmlException
from defusedxml.ElementTree import DefusedXMLParser, ParseError
from openpyxl import load_workbook

MAX_BYTES: Final = 20 * 1024**2
MAX_UNPACKED_BYTES: Final = 200 * 1024**2
MAX_MEMBERS: Final = 500
MAX_ELEMENTS: Final = 3_000_000
MAX_SHEETS: Final = 100  # our own layout has about 80
MAX_ROWS: Final = 100_000
MAX_COLUMNS: Final = 200
MAX_CELLS: Final = 2_000_000

# Parts of a workbook that can run something or reach out of it.
FORBIDDEN: Final = (
    ("vbaproject", "The workbook holds macros. Save it as .xlsx without macros."),
    ("macrosheets/", "The workbook holds macros. Save it as .xlsx without macros."),
    ("externallinks/", "The workbook links to other workbooks. Break the links and save it again."),
    ("connections.xml", "The workbook holds data connections. Remove them and save it again."),
    ("activex/", "The workbook holds active controls. Remove them and save it again."),
    ("embeddings/", "The workbook holds embedded files. Remove them and save it again."),
    ("dialogsheets/", "The workbook holds dialog sheets. Remove them and save it again."),
)
_NOT_A_WORKBOOK: Final = "This file is not an .xlsx workbook, or it is damaged."


class UnsafeWorkbook(ValueError):
    """Why a file is not opened at all, in a sentence."""


class _Counter:
    """Counts the elements of an XML file, and stops at the limit."""

    def __init__(self, already: int) -> None:
        self.count = already

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        self.count += 1
        if self.count > MAX_ELEMENTS:
            raise UnsafeWorkbook("The workbook holds more cells than can be read at once.")

    def end(self, tag: str) -> None:
        pass

    def data(self, data: str) -> None:
        pass

    def close(self) -> int:
        return self.count


def open_workbook(content: bytes) -> Any:
    """The openpyxl workbook in these bytes, formulas unread.

    Raises UnsafeWorkbook with a sentence for anything that is too big, damaged, or holds more than data.
    """
    if len(content) > MAX_BYTES:
        raise UnsafeWorkbook(f"The file is larger than {MAX_BYTES // 1024**2} MB.")
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            _examine(archive)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            book = load_workbook(io.BytesIO(content), keep_links=False)
    except UnsafeWorkbook:
        raise
    except Exception as error:  # openpyxl meets damaged files with many kinds of exception
        raise UnsafeWorkbook(_NOT_A_WORKBOOK) from error
    _measure(book)
    return book


def _examine(archive: zipfile.ZipFile) -> None:
    members = archive.infolist()
    if len(members) > MAX_MEMBERS or sum(member.file_size for member in members) > MAX_UNPACKED_BYTES:
        raise UnsafeWorkbook(f"The workbook unpacks to more than {MAX_UNPACKED_BYTES // 1024**2} MB.")
    count = 0
    for member in members:
        name = member.filename.casefold()
        for part, sentence in FORBIDDEN:
            if part in name:
                raise UnsafeWorkbook(sentence)
        if name.endswith((".xml", ".rels", ".vml")):
            count = _count_elements(archive, member, count)


def _count_elements(archive: zipfile.ZipFile, member: zipfile.ZipInfo, already: int) -> int:
    counter = _Counter(already)
    parser = DefusedXMLParser(target=counter, forbid_dtd=True)
    try:
        with archive.open(member) as stream:
            while chunk := stream.read(1 << 16):
                parser.feed(chunk)
        parser.close()
    except (DefusedXmlException, ParseError) as error:
        raise UnsafeWorkbook(_NOT_A_WORKBOOK) from error
    return counter.count


def _measure(book: Any) -> None:
    if len(book.sheetnames) > MAX_SHEETS:
        raise UnsafeWorkbook(
            f"The workbook has {len(book.sheetnames)} sheets; at most {MAX_SHEETS} are read."
        )
    if sum(sheet.max_row for sheet in book.worksheets) > MAX_ROWS:
        raise UnsafeWorkbook(f"The workbook has more than {MAX_ROWS:,} rows; delete empty rows at the ends.")
    if sum(sheet.max_row * sheet.max_column for sheet in book.worksheets) > MAX_CELLS:
        raise UnsafeWorkbook("The sheets are too large; delete empty rows and columns at their ends.")
    for sheet in book.worksheets:
        if sheet.max_column > MAX_COLUMNS:
            raise UnsafeWorkbook(f"The sheet {sheet.title} has more than {MAX_COLUMNS} columns.")
