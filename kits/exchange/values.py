"""One cell, one value: from the cell, to JSON and back, and the key that tells rows apart."""

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal, InvalidOperation
from typing import Any, Final

from kits.exchange.columns import (
    CHOICE,
    DATE,
    DECIMAL,
    LIST,
    NUMBER,
    NUMERIC,
    ONE_EACH,
    OPTIONS,
    TERMS,
    TEXT,
    YES_NO,
    Column,
    FeatureOptions,
    Sheet,
)

Value = str | float | int | Decimal | date | bool | None
Row = dict[str, Value]
Key = tuple[Value, ...]
Rows = dict[str, dict[Key, Row]]

NOT: Final = "not "
# Signs that show nothing or make a text look like another: controls, invisible spaces, turns of direction.
_CONTROL = re.compile(
    "[\\x00-\\x08\\x0b\\x0c\\x0e-\\x1f\\x7f-\\x9f\\u200b\\u2028-\\u202e\\u2060-\\u2069\\ufeff\\ufff9-\\uffff]"
)
CELL_MAX: Final = 32_767
_SHOWN_MAX: Final = 60
# Beyond this a number in a cell is no longer exact.
_EXACT_MAX: Final = 2**53
_FIRST_YEAR: Final = 1900


class CellProblem(ValueError):
    """What is wrong with one cell, in a sentence."""


@dataclass(frozen=True)
class Problem:
    """One thing that is wrong with the workbook, and where: column is the letter Excel shows."""

    sheet: str
    row: int | None
    column: str
    sentence: str

    def as_json(self) -> dict[str, Any]:
        """As it is stored in the plan."""
        return {"sheet": self.sheet, "row": self.row, "column": self.column, "sentence": self.sentence}


def clean_text(text: str) -> str:
    """Text without blanks around it, with plain line ends."""
    return text.replace("\r\n", "\n").replace("\r", "\n").strip()


def shortened(text: object) -> str:
    """What stands in a cell, as much of it as a sentence bears."""
    shown = f"{text}"
    return shown if len(shown) <= _SHOWN_MAX else f"{shown[:_SHOWN_MAX]}…"


def split_place(place: str) -> tuple[str, int]:
    """The column letters and the row of a cell's name: "B12"."""
    letters = place.rstrip("0123456789")
    return letters, int(place[len(letters) :])


def fold(value: Value) -> Value:
    """A value as keys compare it: capitals don't count, and 1 is 1.0."""
    return value.casefold() if isinstance(value, str) else value


def key_of(sheet: Sheet, row: Mapping[str, Value]) -> Key:
    """The row's key. Raises KeyError when a key column could not be read."""
    return tuple(fold(row[field]) for field in sheet.key)


def key_text(key: Iterable[Value]) -> str:
    """A key as people read it."""
    return " / ".join("–" if part in (None, "") else f"{part}" for part in key)


def label_of(sheet: Sheet, key: Key) -> str:
    """What people call the row with this key; of rows that are only added, what must be filled."""
    parts = zip(sheet.key, key, strict=True)
    columns = sheet.by_field
    return key_text(part for name, part in parts if columns[name].required or not sheet.append_only)


def parse_cell(column: Column, raw: object) -> Value:
    """The value of a cell. Blank gives the column's default. Raises CellProblem."""
    if isinstance(raw, str):
        raw = clean_text(raw)
    if raw is None or raw == "":
        if column.required:
            raise CellProblem(f"{_name(column)} must not be empty.")
        return blank(column)
    if column.kind in NUMERIC:
        return _number(column, raw)
    if column.kind == DATE:
        return _date(column, raw)
    if column.kind == YES_NO:
        return _yes_no(column, raw)
    if column.kind == LIST and isinstance(raw, int) and not isinstance(raw, bool):
        raw = str(raw)
    return _text(column, raw)


def _name(column: Column) -> str:
    return column.head[:1].upper() + column.head[1:]


def _number(column: Column, raw: object) -> Value:
    if isinstance(raw, bool) or not isinstance(raw, int | float):
        shown = f"“{shortened(raw)}”" if isinstance(raw, str) else shortened(raw)
        raise CellProblem(f"{_name(column)} must be a number, not {shown}.")
    if isinstance(raw, int) and abs(raw) > _EXACT_MAX:
        raise CellProblem(f"{_name(column)} is too large.")
    if not math.isfinite(raw):
        raise CellProblem(f"{_name(column)} must be a finite number.")
    if column.kind == NUMBER:
        return float(raw)
    if column.kind == DECIMAL:
        return _decimal(column, raw)
    if raw != int(raw):
        raise CellProblem(f"{_name(column)} must be a whole number, not {raw}.")
    low, high = column.low, column.high
    if (low is not None and raw < low) or (high is not None and raw > high):
        raise CellProblem(f"{_name(column)} must be from {low} to {high}, not {int(raw)}.")
    return int(raw)


def _decimal(column: Column, raw: float) -> Decimal:
    places = column.decimals or 0
    value = Decimal(repr(raw))
    try:
        exact = value.quantize(Decimal(1).scaleb(-places))
    except InvalidOperation:
        raise CellProblem(f"{_name(column)} is too large.") from None
    if exact != value:
        raise CellProblem(f"{_name(column)} has more than {places} decimals: {raw}.")
    if column.high is not None and abs(exact) > column.high:
        raise CellProblem(f"{_name(column)} is too large.")
    return exact


def _date(column: Column, raw: object) -> date:
    found = _read_date(column, raw)
    if found.year < _FIRST_YEAR:
        raise CellProblem(
            f"{_name(column)} must be from {_FIRST_YEAR} on; a workbook knows no earlier dates."
        )
    return found


def _read_date(column: Column, raw: object) -> date:
    if isinstance(raw, datetime):
        if raw.time() != time():
            raise CellProblem(f"{_name(column)} must be a date without a time of day.")
        return raw.date()
    if isinstance(raw, date):
        return raw
    if isinstance(raw, str) and re.fullmatch(r"\d{4}-\d\d-\d\d", raw):
        try:
            return date.fromisoformat(raw)
        except ValueError:
            pass
    raise CellProblem(f"{_name(column)} must be a date, such as 1961-05-01, not “{shortened(raw)}”.")


def _yes_no(column: Column, raw: object) -> bool:
    if isinstance(raw, bool):
        return raw
    answer = {"yes": True, "no": False}.get(raw.casefold()) if isinstance(raw, str) else None
    if answer is None:
        raise CellProblem(f"{_name(column)} must be yes or no, not “{shortened(raw)}”.")
    return answer


def _text(column: Column, raw: object) -> str:
    if not isinstance(raw, str):
        raise CellProblem(
            f"{_name(column)} must be text, but the cell holds {shortened(raw)}. Format the cell as text and type it "
            "again, so that no leading zero is lost."
        )
    if _CONTROL.search(raw):
        raise CellProblem(f"{_name(column)} holds a character that can't be shown.")
    most = CELL_MAX if column.max_length is None else column.max_length
    if len(raw) > most:
        raise CellProblem(f"{_name(column)} has {len(raw)} characters; at most {most} fit.")
    if column.pattern_says and not re.search(column.pattern, raw):
        raise CellProblem(f"{column.pattern_says} Not “{shortened(raw)}”.")
    if column.pattern and not re.search(column.pattern, raw):
        raise CellProblem(
            f"{_name(column)} must start with a letter or digit and hold letters, digits, space and "
            f". / _ + # - only, not “{shortened(raw)}”."
        )
    if column.kind == CHOICE and raw not in column.choices:
        match = next((c for c in column.choices if c.casefold() == raw.casefold()), None)
        if match is None:
            raise CellProblem(
                f"{_name(column)} must be one of {', '.join(column.choices)}; not “{shortened(raw)}”."
            )
        return match
    if column.kind == LIST:
        return list_text(part.strip() for part in raw.split(","))
    return raw


def list_text(items: Iterable[str]) -> str:
    """Items as a list cell holds them, each once, in one order."""
    return ", ".join(sorted({item for item in items if item}, key=lambda item: (len(item), item)))


def list_items(cell: Value) -> list[str]:
    """The items of a list cell."""
    return [part for part in str(cell or "").split(", ") if part]


def terms_text(options: Iterable[str], *, excluded: bool = False) -> str:
    """Options of one feature as a cell holds them: "left", "left, right", "not electric"."""
    found = sorted(set(options), key=str.casefold)
    return (NOT if excluded and found else "") + ", ".join(found)


def terms_of(cell: Value) -> tuple[bool, list[str]]:
    """Whether the cell's options are excluded, and the options."""
    text = str(cell or "")
    excluded = text.startswith(NOT)
    return excluded, list_items(text.removeprefix(NOT))


def parse_options(cell: Value, feature: FeatureOptions, use: str) -> str:
    """The options in a cell, in the feature's own spelling. Raises CellProblem for an unknown option."""
    text = str(cell or "")
    if not text:
        return ""
    excluded = text.casefold().startswith(NOT) and text.casefold() not in feature.options
    names = [part.strip() for part in (text[len(NOT) :] if excluded else text).split(",")]
    unknown = [name for name in names if name.casefold() not in feature.options]
    if unknown:
        known = ", ".join(feature.options.values()) or "none yet"
        raise CellProblem(f"{feature.name} has no option “{shortened(unknown[0])}”; it has: {known}.")
    if excluded and use != TERMS:
        raise CellProblem("“not” has no meaning here; name the options themselves.")
    if len(names) > 1 and use == ONE_EACH:
        raise CellProblem(f"{feature.name} takes one option here, not {len(names)}.")
    return terms_text((feature.options[name.casefold()] for name in names), excluded=excluded)


def to_json(value: Value) -> Any:
    """The value as JSON holds it."""
    if isinstance(value, Decimal):
        return str(value)
    return value.isoformat() if isinstance(value, date) else value


def from_json(column: Column, value: Any) -> Value:
    """The value that `to_json` made of a cell of this column."""
    if value is None:
        return None
    if column.kind == DECIMAL:
        return Decimal(value)
    if column.kind == DATE:
        return date.fromisoformat(value)
    if column.kind == NUMBER:
        return float(value)
    found: str | int | bool = value
    return found


def blank(column: Column) -> Value:
    """What a new row holds where the workbook has no such column."""
    if column.default is None and column.kind in (TEXT, CHOICE, LIST, OPTIONS):
        return ""
    return column.default
