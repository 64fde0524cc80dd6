"""What a number can be at all and what it usually is, by model and field: read by importer, forms and sizing alike."""

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path

DATA_FILE = Path(__file__).with_name("ranges.json")


@dataclass(frozen=True)
class Range:
    """The least and most that is possible, and within it what is usual, in the unit of the field's name."""

    least: float
    most: float
    least_usual: float
    most_usual: float

    def holds(self, value: float) -> bool:
        """Whether the value is possible."""
        return self.least <= value <= self.most

    def is_usual(self, value: float) -> bool:
        """Whether nobody need be asked about the value."""
        return self.least_usual <= value <= self.most_usual


@cache
def ranges() -> dict[tuple[str, str], Range]:
    """All of the data file, by model and field."""
    table = json.loads(DATA_FILE.read_text(encoding="utf-8"))
    return {
        (model, field): Range(*map(float, limits))
        for model, fields in table.items()
        if model != "_"
        for field, limits in fields.items()
    }


def range_of(model: str, field: str) -> Range | None:
    """The range of a model's field ("Cabin", "volume_m3"); None where any number goes."""
    return ranges().get((model, field))


def possible(model: str, field: str) -> tuple[float, float]:
    """Least and most possible of a field that has a range. Raises KeyError for another."""
    found = ranges()[model, field]
    return found.least, found.most
