"""Values in a row for a function that takes them by name only."""

import inspect
from collections.abc import Callable
from typing import Any


def by_name(function: Callable[..., Any], *values: Any) -> Any:
    """What the function gives for the values in the order of its parameters."""
    parameters = inspect.signature(function).parameters
    if all(one.kind is not one.KEYWORD_ONLY for one in parameters.values()):
        return function(*values)
    return function(**dict(zip(parameters, values, strict=False)))
