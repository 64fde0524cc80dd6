"""The defaults of the sizing: one data file, each value with its unit and where it comes from."""

import json
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

DEFAULTS_FILE = Path(__file__).parent / "data" / "defaults.json"


@dataclass(frozen=True)
class Default:
    """A value that stands in where nothing better is known."""

    key: str
    value: float
    unit: str
    meaning: str
    source: str


@lru_cache(maxsize=1)
def defaults() -> dict[str, Default]:
    """All defaults by key."""
    rows = json.loads(DEFAULTS_FILE.read_text(encoding="utf-8"))
    return {row["key"]: Default(**row) for row in rows}


def default_value(key: str) -> float:
    """The value of one default; a KeyError names a key that is not in the file."""
    return defaults()[key].value
