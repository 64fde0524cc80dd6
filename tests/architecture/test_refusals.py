"""A calculation refuses what a row of the database can bring as a Refusal, which people are told in its sentence."""

import ast
from collections.abc import Iterator

from tests.architecture.test_imports import caught, found
from tests.architecture.tree import Module, app_modules

ROOMS = ("kits/sizing/", "kits/topics/", "vehicles/heatload/", "vehicles/physics/")
OUR_OWN_MISTAKE = {
    "kits/sizing/balance/balance.py:solve_balance": "no kit's row can name a gas that is known at saturation only",
    "kits/sizing/balance/balance.py:solve_point": "called with many points instead of one",
    "kits/sizing/balance/balance_input.py:flat": "arrays whose shapes don't fit together",
    "kits/sizing/run/batch.py:build": "points of several kinds given as one batch",
    "kits/sizing/case/case.py:plant": "asked without asking heats_only first",
    "kits/sizing/machine/compressor.py:fit_efficiency": "arrays whose shapes don't fit together",
    "kits/sizing/heat/effectiveness.py:_relation": "the flow is named in code, never in a row",
    "kits/sizing/gas/refrigerant.py:_load": "the gas is named in code, or by a row that is held to the known ones",
    "kits/sizing/gas/refrigerant.py:_look_up": "no kit's row can name a gas that is known at saturation only",
    "kits/sizing/study/study_gas.py:with_gas": "the gas is named in code, never in a row",
    "kits/sizing/balance/two_coils.py:solve_two_coils": "no kit's row can name a gas that is known at saturation only",
    "kits/sizing/verdict/winter.py:heat": "asked of a state without asking whether it has a matrix",
    "vehicles/physics/origin.py:best": "asked to choose from nothing",
    "kits/sizing/verdict/judge.py:_idle": "the sizing gives every point at idle its supply",
}
"""Functions that may raise a plain ValueError, with the reason: only our own mistake in code leads there."""


def value_errors(module: Module) -> Iterator[tuple[str, int]]:
    """Every plain ValueError that a calculation raises: the path with the function it stands in, and the line."""
    if not module.path.startswith(ROOMS):
        return
    functions = [
        node for node in ast.walk(module.tree) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
    ]
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Raise) and _names_value_error(node.exc):
            # of functions within each other the last one found is the innermost
            around = [f.name for f in functions if f.lineno <= node.lineno <= (f.end_lineno or f.lineno)]
            yield f"{module.path}:{around[-1] if around else ''}", node.lineno


def _names_value_error(raised: ast.expr | None) -> bool:
    called = raised.func if isinstance(raised, ast.Call) else raised
    return isinstance(called, ast.Name) and called.id == "ValueError"


def plain_value_errors(module: Module) -> Iterator[str]:
    """A ValueError where a Refusal is due: people would be told a reference to the log instead of the sentence."""
    for place, line in value_errors(module):
        if place not in OUR_OWN_MISTAKE:
            yield f"{place} raises a ValueError in line {line}: make it a Refusal, or give its reason here"


def test_a_calculation_refuses_rows_with_a_refusal():
    assert found(plain_value_errors) == []


def test_a_plain_value_error_in_a_calculation_is_caught():
    for text in (
        "def bore(mm):\n    raise ValueError('A hose needs a bore.')",
        "def bore(mm):\n    raise ValueError",
        "class Hose:\n    def __post_init__(self):\n        raise ValueError('A hose needs a bore.') from None",
        "raise ValueError('A hose needs a bore.')",
    ):
        assert caught(plain_value_errors, "kits/sizing/gas/hoses.py", text), text
        assert caught(plain_value_errors, "kits/topics/circuit/hoses.py", text), text
        assert caught(plain_value_errors, "vehicles/heatload/films.py", text), text
        assert not caught(plain_value_errors, "kits/documents/charts.py", text), text
    refusal = "def bore(mm):\n    raise Refusal('A hose needs a bore.')"
    assert not caught(plain_value_errors, "kits/sizing/gas/hoses.py", refusal)


def test_what_is_excused_is_excused_in_its_own_function_only():
    text = "def {}(matrix):\n    raise ValueError('This winter state has no heater matrix.')"
    assert not caught(plain_value_errors, "kits/sizing/verdict/winter.py", text.format("heat"))
    assert caught(plain_value_errors, "kits/sizing/verdict/winter.py", text.format("conductance"))


def test_what_is_excused_is_still_there():
    there = {place for module in app_modules() for place, _ in value_errors(module)}
    assert sorted(OUR_OWN_MISTAKE.keys() - there) == []
