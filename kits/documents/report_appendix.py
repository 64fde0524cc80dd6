"""The report's appendix: how figures are found, each explanation once, and each input once, both numbered.

A figure in the report names these numbers, so it can be traced without being told at length.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from kits.sizing.words.explain import explanation_of, named
from kits.topics.figure import Input, Topic

PARTS_TOLD = ("formula", "validity", "source", "check")
EN_DASH = "\N{EN DASH}"


@dataclass(frozen=True)
class Explained:
    """What the docstring of one function says: (part, text) in order."""

    number: int
    what: str
    told: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class NumberedInput:
    """A value that figures were made from."""

    number: int
    label: str
    text: str


@dataclass(frozen=True)
class InputsOfOrigin:
    """Inputs that follow each other and have one origin; an empty one is not recorded."""

    origin: str
    inputs: tuple[NumberedInput, ...]


@dataclass(frozen=True)
class InputsOfTopic:
    """The inputs that a topic is the first to use, in order."""

    title: str
    origins: tuple[InputsOfOrigin, ...]


def explanations(topics: Iterable[Topic]) -> dict[str, Explained]:
    """The explanation of each function the figures name, numbered in the order of their first figure."""
    functions = dict.fromkeys(figure.function for topic in topics for figure in topic.figures)
    return {function: _explained(number, function) for number, function in enumerate(functions, 1)}


def _explained(number: int, reference: str) -> Explained:
    why = explanation_of(named(reference))
    told = ((part.capitalize(), str(getattr(why, part)).rstrip(".")) for part in PARTS_TOLD)
    return Explained(number, why.what, tuple((part, text) for part, text in told if text))


def inputs_by_topic(topics: Iterable[Topic]) -> tuple[InputsOfTopic, ...]:
    """Every input once, under the first topic that uses it, numbered through the whole report."""
    seen: set[tuple[str, str, str]] = set()
    found: list[InputsOfTopic] = []
    for topic in topics:
        own: list[tuple[str, NumberedInput]] = []
        for one in (one for figure in topic.figures for one in figure.inputs):
            if _key(one) not in seen:
                seen.add(_key(one))
                own.append((one.origin, NumberedInput(len(seen), one.label, one.text)))
        if own:
            found.append(InputsOfTopic(topic.title, _by_origin(own)))
    return tuple(found)


def _by_origin(inputs: Iterable[tuple[str, NumberedInput]]) -> tuple[InputsOfOrigin, ...]:
    return tuple(
        InputsOfOrigin(origin, tuple(one for _, one in some))
        for origin, some in groupby(inputs, key=lambda told: told[0])
    )


def numbers_of(told: Iterable[InputsOfTopic]) -> dict[tuple[str, str, str], int]:
    """The number of each input by what is printed of it: label, text and origin."""
    return {
        (one.label, one.text, group.origin): one.number
        for topic in told
        for group in topic.origins
        for one in group.inputs
    }


def made_from(inputs: Sequence[Input], numbers: Mapping[tuple[str, str, str], int]) -> str:
    """The numbers of a figure's inputs as people write them: 3–8, 11."""
    return in_runs(numbers[_key(one)] for one in inputs)


def in_runs(numbers: Iterable[int]) -> str:
    """Numbers in order, three or more in a row as a run: 1, 2, 5–9."""
    runs: list[list[int]] = []
    for number in sorted(set(numbers)):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(
        f"{run[0]}{EN_DASH}{run[-1]}" if len(run) > 2 else ", ".join(map(str, run)) for run in runs
    )


def _key(one: Input) -> tuple[str, str, str]:
    return one.label, one.text, one.origin
