"""A defect that is put into a copy of the demonstration, and how it is put there."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from kits.editing.actions import edit_rows, remove_row
from kits.editing.changes import RowEdit
from kits.editing.queries import removal

LINE, KIT = "S4", "S4-DASH"
Spoil = Callable[[Any], None]


@dataclass(frozen=True)
class Defect:
    """What is spoilt, the code of the finding, where it must be found and where not, and the field that mends it.

    row: the address of the form, "sheet", then the key or the given fields; ``line`` when the row needs the line.
    """

    name: str
    spoil: Spoil
    code: str
    cars: str
    field: str
    sheet: str
    key: tuple[Any, ...] | None = None
    line: str = "-"
    spared: str = ""
    given: tuple[tuple[str, str], ...] = ()
    on_car: bool = False
    """whether the car's own page tells it, not the fitment's"""


def edits(*wanted: RowEdit) -> Spoil:
    """The rows written as a person writes them on screen, with the checks that are made there."""

    def spoil(manager: Any) -> None:
        written = edit_rows(actor=manager, line=LINE, edits=wanted, reason="a defect", meant=None)
        assert not written.problems, written.problems
        assert written.count

    return spoil


def change(sheet: str, *key: Any, **values: Any) -> Spoil:
    """One row with other values."""
    return edits(changed(sheet, *key, **values))


def changed(sheet: str, *key: Any, **values: Any) -> RowEdit:
    """The edit of one row."""
    return RowEdit("change", sheet, tuple(key), {name.replace("__", ":"): v for name, v in values.items()})


def add(sheet: str, **values: Any) -> Spoil:
    """One row more."""
    return edits(RowEdit("add", sheet, values=values))


def remove(sheet: str, *key: Any) -> Spoil:
    """One row less, with what belongs to it."""

    def spoil(manager: Any) -> None:
        count = len(removal(LINE, sheet, key))
        written = remove_row(
            actor=manager, line=LINE, sheet=sheet, key=key, seen={}, confirmed_count=count, reason="a defect"
        )
        assert not written.problems, written.problems
        assert written.count == count >= 1

    return spoil
