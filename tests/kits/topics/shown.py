"""A figure as it is shown, held against the calls of the calculation that it names."""

import re
from collections.abc import Container
from typing import Final

import numpy as np

from kits.topics.figure import Figure
from tests.kits.topics.calls import Call

RESULT: Final = "the figure itself"
NOT_CALLED: Final = "no call"
NUMBER = re.compile(r"×?\s*(?P<number>[-\N{MINUS SIGN}+]?\d[\d,]*(?:\.\d+)?)\s?(?P<unit>[^\s\d,;:]*(?: g)?)")
# Calculations count in the unit of a name, people read the one that suits.
SCALES: Final = {
    "%": (100.0,), "kJ/kg": (1e-3,), "kW": (1e-3,), "kJ/K": (1e-3,), "g/s": (1e3,), "g": (1e3,), "g/kg": (1e3,),
    "cm²": (1e4,), "mm²": (1e6,), "mm": (1e3,), "ml": (1e6,), "cm³": (1e6,), "bar": (1e-5,),
    "m³/h": (3600.0,), "kg/h": (3600.0,), "km/h": (3.6,), "min": (1 / 60,), "h": (1 / 3600,),
}  # fmt: skip
SIGNIFICANT = 5e-4  # a number without a unit is shown with four digits


def stands_in(text: str, numbers: np.ndarray) -> bool | None:
    """Whether the number that a text is, with its unit, is one of these as it would be shown; None: it is none."""
    found = NUMBER.fullmatch(text)
    if not found:
        return None
    digits, unit = found["number"].replace(",", "").replace("\N{MINUS SIGN}", "-"), found["unit"]
    value = float(digits)
    near = 0.5 * 10.0 ** -len(digits.partition(".")[2]) + 1e-9 * abs(value)
    if not unit:
        near = max(near if "." in digits else 0.0, SIGNIFICANT * abs(value))
    known = numbers[np.isfinite(numbers)]
    return any(bool((abs(known * scale - value) <= near).any()) for scale in (1.0, *SCALES.get(unit, ())))


def differing(
    figure: Figure, called: list[Call], others: list[Call], known: Container[str] = ()
) -> list[str]:
    """The labels of what is shown and was not in the call that fits best.

    called: calls of the figure's calculation; others: calls of the calculations of other figures, whose results may
    have been the arguments; known: labels that are told but count nothing in finding the call.
    """
    if not called:
        return [] if figure.text == "not known" else [NOT_CALLED]
    best: list[str] = []
    least = None
    for call in called:
        found = _differing(figure, call, others)
        rest = sum(label not in known for label in found), len(found)
        if least is None or rest < least:
            best, least = found, rest
        if not best:
            break
    return best


def _differing(figure: Figure, call: Call, others: list[Call]) -> list[str]:
    found = [] if stands_in(figure.text, call.numbers("given")) in (True, None) else [RESULT]
    left = [i for i in figure.inputs if stands_in(i.text, call.flowed()) is False]
    if left:
        fed = [feeder.flowed() for feeder in _feeders(call, others)]
        left = [i for i in left if not any(stands_in(i.text, numbers) for numbers in fed)]
    return [*found, *(i.label for i in left)]


def _feeders(call: Call, others: list[Call]) -> list[Call]:
    """The calls whose results went into this one, over as many steps as there are."""
    found, waiting, left = [], [call], [other for other in others if other is not call]
    while waiting:
        fed = waiting.pop()
        more = [other for other in left if other.feeds(fed)]
        left = [other for other in left if other not in more]
        found += more
        waiting += more
    return found
