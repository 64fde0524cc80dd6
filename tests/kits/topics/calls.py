"""What calculations were called with while something was worked out, and what they gave."""

import dataclasses
import re
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from functools import cached_property, wraps
from itertools import chain
from typing import Any

import numpy as np

PLAIN = re.compile(r"\d+(\.\d+)?")  # a property class is a text
OURS = ("kits.", "vehicles.")
# Longer arrays are tables and courses: any number might be found in them.
LONGEST = 400
# What gives more numbers than this is no single answer that could be traced into another call.
MOST_TRACED = 60


class Call:
    """One call: its arguments, what it gave, the calls made within it."""

    def __init__(self, arguments: tuple[Any, ...]) -> None:
        self.arguments, self.given, self.within = arguments, None, list[Call]()
        self._numbers: dict[str, np.ndarray] = {}

    def numbers(self, what: str) -> np.ndarray:
        """Every number in its "arguments" or in what was "given"."""
        if what not in self._numbers:
            self._numbers[what] = np.unique(np.fromiter(_numbers(getattr(self, what)), float))
        return self._numbers[what]

    def flowed(self) -> np.ndarray:
        """Every number that went into it and into the calls within it, or came out of those."""
        if "flowed" not in self._numbers:
            inner = ((call.flowed(), call.numbers("given")) for call in self.within)
            self._numbers["flowed"] = np.unique(np.concatenate([self.numbers("arguments"), *chain(*inner)]))
        return self._numbers["flowed"]

    def feeds(self, other: "Call") -> bool:
        """Whether a number that it gave is an argument of the other."""
        return not self._traced.isdisjoint(other._taken)

    @cached_property
    def _traced(self) -> frozenset[float]:
        given = self.numbers("given")
        # 0 and 1 are numbers of anything
        return frozenset(given.tolist()) - {0.0, 1.0} if len(given) <= MOST_TRACED else frozenset()

    @cached_property
    def _taken(self) -> frozenset[float]:
        return frozenset(self.numbers("arguments").tolist())


def _numbers(value: Any, depth: int = 8) -> Iterator[float]:
    if isinstance(value, bool | np.bool_) or value is None or not depth:
        return
    if isinstance(value, str):
        value = float(value) if PLAIN.fullmatch(value) else ()
    if isinstance(value, int | float | np.number):
        yield float(value)
    elif isinstance(value, np.ndarray):
        if value.dtype.kind in "if" and value.size <= LONGEST:
            yield from map(float, value.ravel())
    else:
        if dataclasses.is_dataclass(value) and not isinstance(value, type):
            value = [getattr(value, field.name) for field in dataclasses.fields(value)]
        elif isinstance(value, Mapping):
            value = [*value, *value.values()]
        if isinstance(value, list | tuple | set | frozenset):
            for one in value:
                yield from _numbers(one, depth - 1)


@contextmanager
def recorded(functions: Mapping[str, Callable[..., Any]]) -> Iterator[dict[str, list[Call]]]:
    """The calls of these functions by the names they are given here; whoever imported them calls what records."""
    calls: dict[str, list[Call]] = {name: [] for name in functions}
    open_calls: list[Call] = []

    def recording(name: str, function: Callable[..., Any]) -> Callable[..., Any]:
        @wraps(function)
        def told(*given: Any, **named: Any) -> Any:
            call = Call((*given, *named.values()))
            calls[name].append(call)
            if open_calls:
                open_calls[-1].within.append(call)
            open_calls.append(call)
            try:
                call.given = function(*given, **named)
            finally:
                open_calls.pop()
            return call.given

        return told

    recordings = {id(f): recording(name, f) for name, f in functions.items()}
    replaced = [
        (module, name, value)
        for module in list(sys.modules.values())
        if getattr(module, "__name__", "").startswith(OURS)
        for name, value in list(vars(module).items())
        if id(value) in recordings
    ]
    for module, name, value in replaced:
        setattr(module, name, recordings[id(value)])
    try:
        yield calls
    finally:
        for module, name, value in replaced:
            setattr(module, name, value)
