"""Bad input is refused with a sentence and never answered with a number, by every calculation (see bad_input.py)."""

import inspect
import re

import numpy as np
import pytest
from numpy.typing import ArrayLike

from kits.sizing.cabin import pulldown, spot
from kits.sizing.electrics import battery, electrics, idle_supply
from kits.sizing.gas import charge, gases, hoses, readings
from kits.sizing.heat import condensation, effectiveness, heating
from kits.sizing.mechanics import belt, fasteners
from tests.by_name import by_name
from tests.kits.sizing import bad_input
from tests.kits.sizing.bad_input import ROWS, Row
from vehicles.heatload import exchange, films, glass, people
from vehicles.physics.arrays import Refusal

SENTENCE = re.compile(r"^[A-Z“−0-9].{20,}\.$", re.DOTALL)
ALL = [(i, row) for i, row in enumerate(ROWS)]
CASES = [
    pytest.param(row, place, value, words, id=f"{i}-{row.name}-{place}-{value}")
    for i, row in ALL
    for place, value, words in row.bad
]
NOT_NUMBERS = [
    pytest.param(row, place, id=f"{i}-{row.name}-{place}") for i, row in ALL for place in range(len(row.good))
]
WHOLE = (
    battery, belt, charge, condensation, effectiveness, electrics, fasteners, gases, heating, hoses, idle_supply,
    pulldown, readings, spot, exchange, films, glass, people,
)  # fmt: skip
"""Modules of which every calculation stands in the table."""
ELSEWHERE = {
    "belt.plane_offset_mm_per_200": "one value per free length: a bad one marks its own (test_belt.py)",
    "charge.inventory_g": "takes all zones at once: held_g and receiver_g refuse each (test_charge.py)",
    "electrics.largest_current_a": "a wire thinner than the table has none: NaN by definition, refused by its users",
}
"""Calculations that stand elsewhere, with the reason."""


def with_bad(row: Row, place: int, value: float) -> tuple:
    return (*row.good[:place], value, *row.good[place + 1 :])


def refusal(row: Row, arguments: tuple) -> str:
    """The sentence that refuses the arguments; a number or NaN in its place is a failure."""
    with pytest.raises(Refusal, match=SENTENCE.pattern) as refused:
        by_name(row.function, *arguments)
    return str(refused.value)


@pytest.mark.parametrize("row", [pytest.param(row, id=f"{i}-{row.name}") for i, row in ALL])
def test_good_input_is_answered_with_a_number(row):
    assert np.isfinite(by_name(row.function, *row.good)).all()


@pytest.mark.parametrize(("row", "place", "value", "words"), CASES)
def test_what_cannot_be_is_refused_with_a_sentence(row, place, value, words):
    assert words in refusal(row, with_bad(row, place, value))


@pytest.mark.parametrize(("row", "place"), NOT_NUMBERS)
def test_what_is_no_number_is_refused_wherever_it_stands(row, place):
    refusal(row, with_bad(row, place, float("nan")))


def calculations() -> set[str]:
    """Every public calculation of the named rooms that takes numbers or arrays of them, as module.function."""
    found = set()
    for module in WHOLE:
        short = module.__name__.split(".")[-1]
        for name, function in vars(module).items():
            is_own = inspect.isfunction(function) and function.__module__ == module.__name__
            if is_own and not name.startswith("_") and takes_numbers(function):
                found.add(f"{short}.{name}")
    return found


def takes_numbers(function) -> bool:
    return any(p.annotation == ArrayLike for p in inspect.signature(function).parameters.values())


def test_every_calculation_stands_in_the_table_or_is_excused_with_a_reason():
    text = inspect.getsource(bad_input)
    missing = {name for name in calculations() if not re.search(rf"\b{re.escape(name)}\b", text)}
    assert sorted(missing - ELSEWHERE.keys()) == []
    assert sorted(ELSEWHERE.keys() - missing) == []
