"""Bands of values that a practitioner accepts, and what of a fitment lies outside them.

A fact is one number of a fitment with words that say where it was found. A band holds for the facts of its
quantity whose words agree with all of the band's. Several bands may hold for one fact: inside one is enough.
"""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

FILE = Path(__file__).parent / "data" / "bands.json"
REASONS_FILE = Path(__file__).parent / "data" / "bands_outside.json"


@dataclass(frozen=True)
class Band:
    """What is accepted for a quantity: from low to high, both included.

    mark: CP common practice, MEM from memory, CALC from a simple model.
    """

    quantity: str
    what: str
    low: float
    high: float
    unit: str
    mark: str
    note: str
    where: Mapping[str, str]


@dataclass(frozen=True)
class Fact:
    """A number of a fitment: its quantity, whose it is ("roof"), at which duty point, and words about it."""

    quantity: str
    value: float
    thing: str = ""
    duty: str = ""
    words: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Reason:
    """Why some numbers may lie outside: which fitments, things and duty points, and a sentence."""

    fitments: tuple[str, ...]
    duty_points: tuple[str, ...]
    quantity: str
    things: tuple[str, ...]
    reason: str


@lru_cache(maxsize=1)
def bands() -> tuple[Band, ...]:
    """All bands of the data file. Raises ValueError for one whose low end is above its high end."""
    rows = json.loads(FILE.read_text(encoding="utf-8"))["bands"]
    found = tuple(Band(**row) for row in rows)
    for band in found:
        if band.low > band.high:
            raise ValueError(f"The band of {band.quantity}, {band.what}, ends below its beginning.")
    return found


@lru_cache(maxsize=1)
def reasons() -> tuple[Reason, ...]:
    """All written reasons of the data file."""
    rows = json.loads(REASONS_FILE.read_text(encoding="utf-8"))["outside"]
    return tuple(
        Reason(
            tuple(row["fitments"]),
            tuple(row.get("duty_points", ("",))),
            row["quantity"],
            tuple(row.get("things", ("",))),
            row["reason"],
        )
        for row in rows
    )


def bodies() -> tuple[Mapping[str, str], ...]:
    """Which words a line's options stand for: rows of line, feature, option, body and layout."""
    found: list[Mapping[str, str]] = json.loads(REASONS_FILE.read_text(encoding="utf-8"))["bodies"]
    return tuple(found)


def holding(fact: Fact, known: Iterable[Band]) -> tuple[Band, ...]:
    """The bands that hold for a fact."""
    return tuple(
        band
        for band in known
        if band.quantity == fact.quantity
        and all(fact.words.get(word) == value for word, value in band.where.items())
    )


def is_outside(fact: Fact, known: Iterable[Band]) -> bool:
    """Whether bands hold for the fact and it lies in none of them; a fact without a band is not judged."""
    found = holding(fact, known)
    return bool(found) and not any(band.low <= fact.value <= band.high for band in found)


def sentence(fitment: str, fact: Fact, known: Iterable[Band]) -> str:
    """What lies outside, in words."""
    found = holding(fact, known)
    accepted = " or ".join(f"{band.low:g} to {band.high:g}" for band in found)
    place = ", ".join(word for word in (fact.thing, fact.duty) if word)
    return (
        f"{fitment}: {fact.quantity}{f' ({place})' if place else ''} is {fact.value:.4g}; "
        f"{found[0].what} {accepted} {found[0].unit}".rstrip()
    )
