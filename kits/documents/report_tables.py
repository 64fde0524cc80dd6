"""Tables of the report: numbers stand right, costs are left out, and narrow ones stand two beside each other."""

import re
from dataclasses import dataclass

from kits.topics.figure import Table

NO_BREAK_SPACE = "\N{NO-BREAK SPACE}"
HALF_WIDTH_LETTERS = 54
"""What half a sheet's width holds in the type of a table, the room between columns counted."""
BETWEEN_COLUMNS_LETTERS = 1.5
WRAPS_FROM_LETTERS = 24
SHORT_LETTERS = 10
_NUMBER = re.compile(r"[−+×]? ?\d[\d.,]*(?P<unit>\D{0,7})")
_NOTHING = ("", "–", "—")


@dataclass(frozen=True)
class Cell:
    """A text, and whether it stands right as a number does."""

    text: str
    is_number: bool


@dataclass(frozen=True)
class TableOnPaper:
    """A table as it is printed.

    ends_with_sum: the last row is a sum; is_even: all columns but the first are equally wide and stand right.
    """

    caption: str
    heads: tuple[Cell, ...]
    rows: tuple[tuple[Cell, ...], ...]
    ends_with_sum: bool = False
    is_even: bool = False

    @property
    def is_narrow(self) -> bool:
        """Whether half the sheet's width is enough."""
        columns = zip(self.heads, *self.rows, strict=True)
        wide = sum(_letters(head.text, cells) + BETWEEN_COLUMNS_LETTERS for head, *cells in columns)
        return wide <= HALF_WIDTH_LETTERS


def on_paper(table: Table, *, ends_with_sum: bool = False, is_even: bool = False) -> TableOnPaper:
    """The table as the report prints it.

    is_even: all columns but the first stand right, whatever they hold.
    """
    columns = range(len(table.heads))
    numeric = [(is_even and i > 0) or are_numbers([row[i] for row in table.rows]) for i in columns]
    return TableOnPaper(
        table.caption,
        tuple(Cell(table.heads[i], numeric[i]) for i in columns),
        tuple(tuple(Cell(_together(row[i]), numeric[i]) for i in columns) for row in table.rows),
        ends_with_sum,
        is_even,
    )


def are_numbers(texts: list[str]) -> bool:
    """Whether a column holds numbers of one unit, or a dash where there is none."""
    told = [text.strip() for text in texts if text.strip() not in _NOTHING]
    found = [_NUMBER.fullmatch(text) for text in told]
    return bool(told) and all(found) and len({match["unit"].strip() for match in found if match}) == 1


def _together(text: str) -> str:
    """A short text on one line: a number is not parted from its unit."""
    return text.replace(" ", NO_BREAK_SPACE) if len(text) <= SHORT_LETTERS else text


def _letters(head: str, cells: list[Cell]) -> int:
    longest_word = max((len(word) for word in head.split()), default=0)
    return max(longest_word, *(min(len(cell.text), WRAPS_FROM_LETTERS) for cell in cells), 0)
