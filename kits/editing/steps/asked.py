"""The steps and blanks that safety asks for and a kit lacks, and the rows that add them."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from kits.bom.resolved import ResolvedKit
from kits.bom.step_patterns import Blank, Pattern, patterns
from kits.editing.changes import RowEdit
from kits.exchange.layout import STEPS
from kits.exchange.values import Row

APART, NAMED = 1, 3
LONGEST_KEY = 30


@dataclass(frozen=True)
class Held:
    """A step that is there, as far as a new one is placed by it."""

    key: str
    order: int
    zone: str
    pattern: str


@dataclass(frozen=True)
class LackingStep:
    """A step that is asked for, with the cars that lack it and all blanks it needs in them."""

    pattern: Pattern
    cars: tuple[str, ...]
    blanks: tuple[Blank, ...]
    is_everywhere: bool
    """whether no car that was looked at has it"""

    @property
    def token(self) -> str:
        """What stands for it in a form."""
        return self.pattern.code

    @property
    def label(self) -> str:
        """How it is offered."""
        told = f"{self.pattern.name}: {self.pattern.why}."
        if self.is_everywhere:
            return told
        named, more = ", ".join(self.cars[:NAMED]), len(self.cars) - NAMED
        others = f" and {more} more" if more > 0 else ""
        return f"{told} Lacking only in {named}{others}: it is added for all cars, limit it by its options."


@dataclass(frozen=True)
class LackingBlank:
    """A blank that a step lacks, and the number its row may have."""

    step: str
    number: int
    blank: Blank

    @property
    def token(self) -> str:
        """What stands for it in a form."""
        return f"{self.step}/{self.blank.code}"

    @property
    def label(self) -> str:
        """How it is offered."""
        return f"{self.step}: {self.blank.name}"


@dataclass(frozen=True)
class Lacking:
    """All that a kit lacks."""

    steps: tuple[LackingStep, ...] = ()
    blanks: tuple[LackingBlank, ...] = ()


def lacking(cars: Iterable[tuple[str, ResolvedKit]]) -> Lacking:
    """What the findings of these cars, each with its name, say that the kit's steps lack."""
    cars = list(cars)
    names: dict[str, list[str]] = {}
    involves: dict[str, set[str]] = {}
    blanks: dict[tuple[str, str], LackingBlank] = {}
    for name, kit in cars:
        followed = {step.key: patterns().get(step.pattern) for step in kit.steps}
        for finding in kit.findings:
            given = dict(finding.mend.given) if finding.mend else {}
            if finding.code == "pattern-missing":
                code = given["pattern"]
                names.setdefault(code, []).append(name)
                involves.setdefault(code, set()).update(kit.involves)
            elif finding.code == "blank-missing":
                key = given["step_key"]
                pattern = followed[key]
                blank = pattern.blank(given["answers"]) if pattern else None
                if blank:
                    blanks.setdefault((key, blank.code), LackingBlank(key, int(given["number"]), blank))
    steps = tuple(
        LackingStep(
            pattern,
            tuple(names[code]),
            pattern.asked_blanks(frozenset(involves[code])),
            len(names[code]) == len(cars),
        )
        for code, pattern in patterns().items()
        if code in names
    )
    return Lacking(steps, tuple(blanks.values()))


def added(kit: str, lacks: Lacking, chosen: Collection[str], held: Sequence[Held]) -> list[RowEdit]:
    """The rows of what is chosen by its tokens; each new step stands behind what its pattern comes after."""
    standing, edits = list(held), []
    for lack in lacks.steps:
        if lack.token in chosen:
            new = _placed(lack.pattern, standing)
            standing.append(new)
            edits.append(RowEdit("add", STEPS, values=_step(kit, lack.pattern, new)))
            edits += [
                RowEdit("add", "Readings", values=_reading(kit, new.key, i, blank))
                for i, blank in enumerate(lack.blanks, 1)
            ]
    by_step: dict[str, int] = {}
    for missing in lacks.blanks:
        if missing.token in chosen:
            ahead = by_step.get(missing.step, 0)
            by_step[missing.step] = ahead + 1
            row = _reading(kit, missing.step, missing.number + ahead, missing.blank)
            edits.append(RowEdit("add", "Readings", values=row))
    return edits


def _placed(pattern: Pattern, standing: Sequence[Held]) -> Held:
    """A key, a place and a zone: behind the last step of a pattern that is offered before it, else at the end."""
    codes = list(patterns())
    before = [held for held in standing if held.pattern in codes[: codes.index(pattern.code)]]
    behind = max(before or standing, key=lambda held: (held.order, held.key), default=None)
    taken = {held.key.casefold() for held in standing}
    key = base = pattern.code.upper()
    count = 1
    while key.casefold() in taken:
        count += 1
        key = f"{base[: LONGEST_KEY - 4]}-{count}"
    order, zone = (behind.order + APART, behind.zone) if behind else (APART, "")
    return Held(key, order, pattern.zone or zone or "car", pattern.code)


def _step(kit: str, pattern: Pattern, place: Held) -> Row:
    return {
        "kit": kit, "key": place.key, "step_order": place.order, "zone": place.zone, "kind": pattern.kind,
        "text": pattern.text, "minutes_min": pattern.minutes_min, "tool": pattern.tool, "pattern": pattern.code,
        "hold_point": pattern.hold_point,
    }  # fmt: skip


def _reading(kit: str, step: str, number: int, blank: Blank) -> Row:
    return {"kit": kit, "step_key": step, "number": number, **blank.row()}
