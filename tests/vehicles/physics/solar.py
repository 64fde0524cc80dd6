"""What the tests of the sun share: the check values and the angle between two directions."""

from typing import Any

import numpy as np

from tests.reference import case, check, load

CASES = load("solar.json")
PVLIB_CASES = [c for c in CASES if c["id"].startswith("sol-pvlib")]


def ids(cases: list[dict[str, Any]]) -> list[str]:
    """Names of test cases."""
    return [c["id"] for c in cases]


def hold(case_id: str, got: dict[str, Any]) -> None:
    """Hold all outputs of a case."""
    one = case("solar.json", case_id)
    assert set(got) == set(one["outputs"])
    for name, expected in one["outputs"].items():
        check(got[name], expected, one["tolerance"], name)


def arc_deg(first: tuple[Any, Any], second: tuple[Any, Any]) -> Any:
    """Angle between two directions (altitude, azimuth), degrees."""
    (b1, a1), (b2, a2) = (tuple(np.radians(v) for v in pair) for pair in (first, second))
    # by the half angle: exact for small angles too
    half = np.sin((b1 - b2) / 2) ** 2 + np.cos(b1) * np.cos(b2) * np.sin((a1 - a2) / 2) ** 2
    return np.degrees(2 * np.arcsin(np.sqrt(half)))
