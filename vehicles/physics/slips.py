"""What most likely went wrong with a number that is not usual: another unit, or the decimal point."""

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Final

from vehicles.physics.quantities import quantity_of
from vehicles.physics.ranges import Range

DATA_FILE = Path(__file__).with_name("slips.json")
FAR: Final = 3
"""Less than so many times beyond what is usual the decimal point explains nothing."""

Slip = tuple[str, float, float]


@cache
def slips() -> Mapping[str, tuple[Slip, ...]]:
    """All of the data file, by the unit of a field's name."""
    table = json.loads(DATA_FILE.read_text(encoding="utf-8"))
    return {
        unit: tuple((words, float(factor), float(added)) for words, factor, added in found)
        for unit, found in table.items()
        if unit != "_"
    }


def hint(field: str, value: float, span: Range) -> str:
    """The question that explains a value which is not usual ("Were these litres?"); empty when nothing explains it."""
    quantity = quantity_of(field)
    unit = quantity.key if quantity else "share" if span.most <= 1 else ""
    for words, factor, added in slips().get(unit, ()):
        if span.is_usual(value * factor + added):
            return f"Were these {words}?"
    low, high = span.least_usual, span.most_usual
    is_far = value > FAR * high if value > high else value * FAR < low
    if value > 0 and is_far and (span.is_usual(value * 10) or span.is_usual(value / 10)):
        return "Has the decimal point slipped?"
    return ""
