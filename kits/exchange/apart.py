"""Opens a workbook in a process of its own: whatever is in it, it takes no more than its share of time and memory.

The process reads the bytes, looks through them as `safety` does, and hands back plain values; should it be ended on the
way, the workbook is refused with a sentence, and nobody else notices.
"""

import io
import pickle
import resource
import subprocess
import sys
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from itertools import islice
from pathlib import Path
from typing import IO, Any, Final, NamedTuple
from xml.parsers import expat  # nosec - for its errors only

from kits.exchange.safety import open_workbook
from kits.exchange.scan import SheetFacts, UnsafeWorkbook

MOST_BYTES: Final = 300 * 1024**2
MOST_CPU_S: Final = 30
MOST_S: Final = 90
"""By the clock, on a machine that does other things as well."""
TOO_LARGE: Final = (
    "The workbook needs more time or memory than one workbook is given. "
    "Copy its rows into the empty workbook, or bring them in parts."
)
_ROWS_AT_ONCE: Final = 500
# One thread for arithmetic: each of many would ask for its own memory.
_START: Final = (
    "import os; os.environ['OPENBLAS_NUM_THREADS'] = '1'; from kits.exchange import apart; apart.run()"
)
_NO_MEMORY: Final = expat.errors.codes[expat.errors.XML_ERROR_NO_MEMORY]
_ROOT: Final = Path(__file__).resolve().parent.parent.parent


class Cell(NamedTuple):
    """A cell as the reader looks at it: its value, and the letter of its kind (f: formula, e: error)."""

    value: Any
    data_type: str


# All that the process may hand back beside texts, numbers, lists and the like. Whatever a workbook made of it, nothing
# else is brought to life here.
_PLAIN: Final[dict[tuple[str, str], Any]] = {
    (kind.__module__, kind.__qualname__): kind
    for kind in (Cell, SheetFacts, date, datetime, time, timedelta, Decimal)
}


class _PlainValues(pickle.Unpickler):
    """Reads what the process told, and nothing but plain values."""

    def find_class(self, module: str, name: str) -> Any:
        """The class of this name. Raises UnpicklingError when it is none of a plain value."""
        try:
            return _PLAIN[module, name]
        except KeyError:
            raise pickle.UnpicklingError(f"{module}.{name} is no plain value.") from None


def plain(told: IO[bytes]) -> Any:
    """The next value that was told. Raises UnpicklingError for what is no plain value."""
    return _PlainValues(told).load()


@dataclass
class ReadSheet:
    """A sheet that was read: its rows lie packed, some hundred together."""

    title: str
    visible: bool
    facts: SheetFacts
    packed: list[bytes] = field(default_factory=list)

    def rows(self) -> Iterator[Sequence[Cell]]:
        """The rows from the first on, empty ones too."""
        for some in self.packed:
            yield from plain(io.BytesIO(some))


def open_apart(content: bytes) -> list[ReadSheet]:
    """The sheets of the workbook in these bytes. Raises UnsafeWorkbook with a sentence."""
    try:
        ran = subprocess.run(  # noqa: S603 - our own, and the file goes in as its input
            [sys.executable, "-c", _START], input=content, capture_output=True, timeout=MOST_S,
            cwd=_ROOT, check=False,
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        raise UnsafeWorkbook(TOO_LARGE) from None
    told = io.BytesIO(ran.stdout)
    if ran.returncode:  # ended by a limit, or by the system
        raise UnsafeWorkbook(TOO_LARGE)
    sheets: list[ReadSheet] = []
    while told.tell() < len(ran.stdout):
        part = plain(told)
        if isinstance(part, str):
            raise UnsafeWorkbook(part)
        if isinstance(part, bytes):
            sheets[-1].packed.append(part)
        else:
            sheets.append(ReadSheet(*part))
    return sheets


def tell(content: bytes, out: IO[bytes]) -> None:
    """Write what is in a workbook: each sheet's title, whether it shows, its facts, then its rows; or a sentence."""
    try:
        for sheet in open_workbook(content):
            pickle.dump((sheet.title, sheet.visible, sheet.facts), out)
            rows = ([_told(cell) for cell in row] for row in sheet.rows())
            while some := list(islice(rows, _ROWS_AT_ONCE)):
                pickle.dump(pickle.dumps(some), out)
    except UnsafeWorkbook as refused:
        pickle.dump(TOO_LARGE if _is_for_want_of_memory(refused.__cause__) else str(refused), out)
    except MemoryError:
        pickle.dump(TOO_LARGE, out)


def _told(cell: Any) -> Cell:
    # a formula over many cells is an object of the library; the reader asks for its kind only
    is_formula = cell.data_type == "f"
    return Cell(f"{cell.value}" if is_formula else cell.value, cell.data_type)


def _is_for_want_of_memory(cause: BaseException | None) -> bool:
    """Whether a library took its own want of memory for a damaged file; each says so in its own way."""
    if cause is None:
        return False
    if isinstance(cause, expat.ExpatError) and cause.code == _NO_MEMORY:
        return True
    # zlib gives its code in words only
    if isinstance(cause, MemoryError) or (
        isinstance(cause, zlib.error) and str(cause).startswith("Error -4 ")
    ):
        return True
    return _is_for_want_of_memory(cause.__cause__ or cause.__context__)


def run() -> None:
    """What the process does: read from standard input, tell on standard output, within its limits."""
    resource.setrlimit(resource.RLIMIT_DATA, (MOST_BYTES, MOST_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (MOST_CPU_S, MOST_CPU_S))
    tell(sys.stdin.buffer.read(), sys.stdout.buffer)
