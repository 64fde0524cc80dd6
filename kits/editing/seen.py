"""The state of a row as a form carries it, so that a change by somebody else is noticed."""

import json
import re
from collections.abc import Mapping
from typing import Any, Final

from kits.exchange.columns import DATE, DECIMAL, NUMBER, WHOLE, YES_NO, Column
from kits.exchange.values import Value, from_json
from vehicles.records.asked import Unreadable, json_value

_KINDS: Final[Mapping[str, tuple[type, ...]]] = {NUMBER: (int, float), WHOLE: (int,), YES_NO: (bool,)}
# An exponent of many digits would be written out as as many noughts.
_DECIMAL: Final = re.compile(r"-?\d{1,30}(\.\d{1,30})?(E[+-]?\d{1,2})?")


def packed(seen: dict[str, Any]) -> str:
    """The values as one text for a hidden field."""
    return json.dumps(seen, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def unpacked(text: str, columns: Mapping[str, Column]) -> dict[str, Any] | None:
    """The values of one row, or None when it is not such a text."""
    try:
        return _row(json_value(text), columns) if text else {}
    except Unreadable:
        return None


def unpacked_rows(text: str, columns: Mapping[str, Column]) -> dict[str, dict[str, Any]] | None:
    """The values of several rows by what names them in the form, or None when it is not such a text."""
    try:
        found = json_value(text) if text else {}
        if not isinstance(found, dict):
            return None
        return {name: _row(row, columns) for name, row in found.items()}
    except Unreadable:
        return None


def unpacked_numbers(text: str) -> dict[str, int] | None:
    """Whole numbers by name, or None when it is not such a text."""
    try:
        found = json_value(text) if text else {}
    except Unreadable:
        return None
    return found if isinstance(found, dict) and all(type(n) is int for n in found.values()) else None


def value_of(column: Column, found: Any) -> Value:
    """The value of a column that somebody sent as JSON. Raises Unreadable for what such a column never holds."""
    if found is None:
        return None
    wanted = _KINDS.get(column.kind, (str,))
    if not isinstance(found, wanted) or isinstance(found, bool) != (column.kind == YES_NO):
        raise Unreadable(f"{column.head} can't be that.")
    if column.kind == DECIMAL and not _DECIMAL.fullmatch(f"{found}"):
        raise Unreadable(f"{column.head} must be a number.")
    try:
        return from_json(column, found)
    except (ValueError, ArithmeticError) as error:
        what = "date" if column.kind == DATE else "value"
        raise Unreadable(f"{column.head} must be a {what}.") from error


def _row(found: Any, columns: Mapping[str, Column]) -> dict[str, Any]:
    """The row as it was sent, once each of its values can be read. Raises Unreadable."""
    if not isinstance(found, dict) or not set(found) <= set(columns):
        raise Unreadable("This is no row.")
    for name, value in found.items():
        value_of(columns[name], value)
    return found
