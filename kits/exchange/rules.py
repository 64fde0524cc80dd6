"""Rules a row must keep, as the database's own checks say, so that the dry run finds what the database would.

A condition is a small tree in tuples: ("and" | "or", *conditions), ("not", condition) or
(field, lookup, value); a value is a constant, a `Field` or a `Minus` of them. As in SQL an empty value makes
a comparison unknown, and a rule is broken only when it is false.
"""

import operator
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from kits.exchange.values import Value, fold
from vehicles.physics.ranges import Range
from vehicles.physics.slips import hint


@dataclass(frozen=True)
class Field:
    """The value of another field of the row."""

    name: str


@dataclass(frozen=True)
class Minus:
    """One value less another."""

    left: Any
    right: Any


@dataclass(frozen=True)
class Rule:
    """A condition on the fields of one row, with the sentence that says it.

    span: the range of the one field, where that is what the rule holds.
    """

    fields: tuple[str, ...]
    condition: tuple[Any, ...]
    sentence: str
    span: Range | None = None

    def broken_by(self, row: Mapping[str, Value]) -> bool:
        """Whether the row breaks the rule; a row that lacks one of the fields does not."""
        if any(name not in row for name in self.fields):
            return False
        return _truth(self.condition, row) is False

    def told(self, row: Mapping[str, Value]) -> str:
        """The sentence for a row that breaks the rule, with what most likely went wrong."""
        value = row[self.fields[0]]
        if self.span is None or not isinstance(value, int | float):
            return self.sentence
        return f"{self.sentence} {hint(self.fields[0], value, self.span)}".rstrip()


@dataclass(frozen=True)
class Unique:
    """Columns that are unique together, among the rows that meet a condition or among all."""

    fields: tuple[str, ...]
    among: tuple[Any, ...] | None = None

    def value_of(self, row: Mapping[str, Value]) -> tuple[Value, ...] | None:
        """What no other row may have, or None for a row that the rule leaves alone; as in SQL nulls differ."""
        if any(row.get(name) is None for name in self.fields):
            return None
        if self.among is not None and _truth(self.among, row) is not True:
            return None
        return tuple(fold(row[name]) for name in self.fields)


_COMPARE: Final[Mapping[str, Callable[[Any, Any], bool]]] = {
    "gt": operator.gt,
    "gte": operator.ge,
    "lt": operator.lt,
    "lte": operator.le,
    "exact": lambda value, other: fold(value) == fold(other),
    "in": lambda value, known: value in known,
}


def _value(term: Any, row: Mapping[str, Value]) -> Any:
    if isinstance(term, Field):
        return row[term.name]
    if isinstance(term, Minus):
        left, right = _value(term.left, row), _value(term.right, row)
        return None if left is None or right is None else left - right
    return term


def _truth(condition: tuple[Any, ...], row: Mapping[str, Value]) -> bool | None:
    head, *rest = condition
    if head == "not":
        inner = _truth(rest[0], row)
        return None if inner is None else not inner
    if head in ("and", "or"):
        decisive = head == "or"
        answers = [_truth(part, row) for part in rest]
        if decisive in answers:
            return bool(decisive)
        return None if None in answers else not decisive
    lookup, other = rest
    left = row[head]
    if lookup == "isnull":
        # an empty cell that names another row is "", where the database has no row
        return (left is None or left == "") is bool(other)
    right = _value(other, row)
    if left is None or right is None:
        return None
    return bool(_COMPARE[lookup](left, right))
