"""Whether a gas burns: its safety class."""

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any


@cache
def gas_limits() -> Mapping[str, Any]:
    """The data file: pressures by gas, safety classes, where high voltage begins; each with its source."""
    read: Mapping[str, Any] = json.loads(
        (Path(__file__).parent / "data" / "gases.json").read_text(encoding="utf-8")
    )
    return read


def safety_class(gas: str) -> str:
    """The safety class of a gas, such as A2L; empty for a gas whose class is not recorded."""
    return str(gas_limits()["safety_class"]["values"].get(gas, ""))


def burns(gas: str) -> bool | None:
    """Whether the gas burns, by its safety class; None where that is not recorded."""
    found = gas_limits()["safety_class"]["burns"].get(safety_class(gas))
    return None if found is None else bool(found)
