"""The values that stand in where nothing was measured, read once from defaults.json with their source."""

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from vehicles.physics.origin import Kind, Origin


@dataclass(frozen=True, kw_only=True)
class Default:
    """One row of the file; low and high are the band the value was chosen from."""

    key: str
    value: float
    low: float
    high: float
    unit: str
    kind: str
    source: str
    note: str

    def origin(self) -> Origin:
        """The origin to report when this value stands in for a missing one."""
        return Origin(Kind.DEFAULT, source=self.source, note=f"{self.value:g} {self.unit}, {self.note}")


@cache
def defaults() -> dict[str, Default]:
    """All defaults by key."""
    text = (Path(__file__).parent / "defaults.json").read_text(encoding="utf-8")
    return {row["key"]: Default(**row) for row in json.loads(text)}


def default_value(key: str) -> float:
    """The value of one default; a KeyError names a key that is not in the file."""
    return defaults()[key].value
