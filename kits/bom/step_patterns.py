"""Steps that a checklist must have where they apply, as data: offered to a new kit, and asked of every kit."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

PATTERNS_FILE = Path(__file__).parent / "data" / "step_patterns.json"
NUMBER = "number"
WRITES = (NUMBER, "words", "tick", "date", "time")
"""What is written into a blank."""
WRITTEN = "written"
"""Limits of a number that has none: it is kept with the record."""


@dataclass(frozen=True, kw_only=True)
class Blank:
    """What a step must leave room for: a number in its unit with its limits, or words, a tick, a date, a time.

    asked: the condition under which it is asked for; empty for always. predicted: which working figure of the plant
    limits it, where its limits come from the prediction. counts: "joints" where it is as many as the circuit has.
    """

    code: str
    name: str
    writes: str
    unit: str
    low: Decimal | None
    high: Decimal | None
    limit_from: str
    predicted: str
    asked: str
    counts: str = ""

    def row(self) -> dict[str, str | Decimal | None]:
        """The fields of a reading that answers it, by the columns of the sheet."""
        return {
            "name": self.name, "writes": self.writes, "unit": self.unit, "low": self.low, "high": self.high,
            "limit_from": self.limit_from, "answers": self.code, "predicted": self.predicted,
        }  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Pattern:
    """A step that safety asks for, under a condition.

    asked: the condition of the installation, of `kits.bom.involved`. after: patterns whose steps stand before its own.
    names: placeholders its text must keep. caution: code of the caution it is printed with.
    """

    code: str
    name: str
    asked: str
    after: tuple[str, ...]
    kind: str
    zone: str
    hold_point: bool
    second_person: bool
    why: str
    text: str
    tool: str
    minutes_min: float | None
    caution: str
    names: tuple[str, ...]
    source: str
    blanks: tuple[Blank, ...]

    def blank(self, code: str) -> Blank | None:
        """Its blank by the code; None where it has none such."""
        return next((blank for blank in self.blanks if blank.code == code), None)

    def asked_blanks(self, involves: frozenset[str]) -> tuple[Blank, ...]:
        """Its blanks in an installation that involves these conditions."""
        return tuple(blank for blank in self.blanks if not blank.asked or blank.asked in involves)


@cache
def patterns() -> Mapping[str, Pattern]:
    """The patterns by code, in the order in which they are offered."""
    read = json.loads(PATTERNS_FILE.read_text(encoding="utf-8"))["patterns"]
    return {code: _pattern(code, given) for code, given in read.items()}


def pattern_choices() -> list[tuple[str, str]]:
    """Code and name of each pattern, as choices of a field."""
    return [(code, pattern.name) for code, pattern in patterns().items()]


def _pattern(code: str, given: Mapping[str, Any]) -> Pattern:
    return Pattern(
        code=code,
        name=given["name"],
        asked=given["asked"],
        after=tuple(given.get("after", ())),
        kind=given["kind"],
        zone=given["zone"],
        hold_point=given["hold_point"],
        second_person=given["second_person"],
        why=given["why"],
        text=given["text"],
        tool=given["tool"],
        minutes_min=given.get("minutes_min"),
        caution=given.get("caution", ""),
        names=tuple(given.get("names", ())),
        source=given["source"],
        blanks=tuple(_blank(blank) for blank in given["blanks"]),
    )


def _blank(given: Mapping[str, Any]) -> Blank:
    default = "fixed" if given["writes"] == NUMBER else WRITTEN
    return Blank(
        code=given["code"],
        name=given["name"],
        writes=given["writes"],
        unit=given["unit"],
        low=_decimal(given.get("low")),
        high=_decimal(given.get("high")),
        limit_from=given.get("limit_from", default),
        predicted=given.get("predicted", ""),
        asked=given.get("asked", ""),
        counts=given.get("counts", ""),
    )


def _decimal(value: float | None) -> Decimal | None:
    return None if value is None else Decimal(str(value))
