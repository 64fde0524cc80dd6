"""Parts of a topic's pictures from arrays: plain numbers, no longer than a drawing needs them."""

from collections.abc import Iterable
from typing import Literal

from kits.topics.figure import Line

DIGITS = 5
"""Significant digits kept: far finer than a line is thick, and a third of what a stored number would else take."""


def line(
    label: str,
    x: Iterable[float],
    y: Iterable[float],
    weight: Literal["main", "other", "thin"] = "main",
    *,
    dots: bool = False,
) -> Line:
    """A line of a picture through plain, short numbers."""
    return Line(label, short(x), short(y), weight, dots)


def short(values: Iterable[float]) -> tuple[float, ...]:
    """The numbers with as many digits as a drawing shows."""
    return tuple(float(f"{float(value):.{DIGITS}g}") for value in values)
