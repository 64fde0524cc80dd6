"""Published and computed check values, one JSON file per topic, and the one rule by which they are judged.

Each case carries its source, its tolerance and its basis (published, computed, memory). `load` reads a
topic, `check` judges one output. Cases that no test uses are listed with the reason in not_used.json.
"""

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent


def load(topic_file: str) -> list[dict[str, Any]]:
    """The cases of one topic, e.g. load("solar.json")."""
    cases: list[dict[str, Any]] = json.loads((FOLDER / topic_file).read_text(encoding="utf-8"))
    return cases


def case(topic_file: str, case_id: str) -> dict[str, Any]:
    """One case by its id; a KeyError names the id that is not there."""
    for found in load(topic_file):
        if found["id"] == case_id:
            return found
    raise KeyError(f"{case_id} is not in tests/reference/{topic_file}")


def allowed_difference(expected: float, tolerance: dict[str, Any], output_name: str) -> float:
    """max(abs, rel * |expected|); an entry for the output under "per_output" replaces the general one."""
    own = tolerance.get("per_output", {}).get(output_name, tolerance)
    return float(max(own.get("abs", 0.0), own.get("rel", 0.0) * abs(expected)))


def check(got: Any, expected: Any, tolerance: dict[str, Any], output_name: str) -> None:
    """Assert that one output (a number or a row of numbers) lies within the tolerance of its case."""
    if isinstance(expected, Sequence) and not isinstance(expected, str):
        assert len(got) == len(expected), f"{output_name}: {len(got)} values, expected {len(expected)}"
        for one_got, one_expected in zip(got, expected, strict=True):
            check(one_got, one_expected, tolerance, output_name)
        return
    allowed = allowed_difference(float(expected), tolerance, output_name)
    # written so that a NaN fails
    assert abs(float(got) - float(expected)) <= allowed, (
        f"{output_name}: got {float(got):.8g}, expected {float(expected):.8g} within {allowed:.3g}"
    )
