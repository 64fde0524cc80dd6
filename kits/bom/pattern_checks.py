"""Whether one car's steps have what safety asks of them: each pattern where it applies, in order, with its blanks."""

from collections.abc import Iterator, Sequence
from itertools import product

from kits.bom.catalogue import ReadingSpec, StepSpec
from kits.bom.mending import Mend, new_row, row
from kits.bom.resolved import Finding
from kits.bom.step_checks import CIRCUIT_ORDER
from kits.bom.step_patterns import NUMBER, Blank, Pattern, patterns
from kits.bom.step_text import plain_names

OPENED, CLOSED, OPEN_FOR = "drier-open", "circuit-closed", "open-for"


def pattern_findings(steps: Sequence[StepSpec], involves: frozenset[str]) -> Iterator[Finding]:
    """What the steps of one car lack; ``steps`` stand in their order, ``involves`` as `kits.bom.involved` tells."""
    places: dict[str, list[int]] = {}
    for i, step in enumerate(steps):
        places.setdefault(step.pattern, []).append(i)
    for code, pattern in patterns().items():
        if pattern.asked in involves and code not in places:
            yield _missing(pattern)
        for i in places.get(code, ()):
            yield from _of_step(steps[i], pattern, involves)
        for before in pattern.after:
            yield from _order(steps, places.get(before, []), places.get(code, []))
    yield from _drier_time(steps, places)


def _missing(pattern: Pattern) -> Finding:
    sentence = f"The checklist has no step “{pattern.name}”, by which {pattern.why}: add it."
    mend = new_row("Steps", "pattern", kind=pattern.kind, pattern=pattern.code, text=pattern.text)
    return Finding("pattern-missing", "blocks", f"pattern:{pattern.code}", sentence, mend)


def _of_step(step: StepSpec, pattern: Pattern, involves: frozenset[str]) -> Iterator[Finding]:
    where, name = f"step:{step.key}", f"Step {step.key} ({pattern.name.lower()})"
    if step.kind != pattern.kind:
        sentence = f"{name} is of the kind “{step.kind}”; it must be of the kind “{pattern.kind}”."
        yield Finding("pattern-kind", "blocks", where, sentence, row("Steps", "kind", step.key))
    if pattern.hold_point and not step.hold_point:
        sentence = f"{name} must be a hold point: the work goes on only when it is signed."
        yield Finding("pattern-no-hold", "blocks", where, sentence, row("Steps", "hold_point", step.key))
    for wanted in pattern.names:
        if wanted not in plain_names(step.text):
            sentence = f"{name} does not say {{{wanted}}}: put the placeholder back into its text."
            yield Finding("pattern-text", "blocks", where, sentence, row("Steps", "text", step.key))
    held: dict[str, list[ReadingSpec]] = {}
    for reading in step.readings:
        held.setdefault(reading.answers, []).append(reading)
    for blank in pattern.asked_blanks(involves):
        readings = held.get(blank.code, [])
        if not readings:
            sentence = (
                f"{name} has no blank for “{blank.name}”{_limits(blank)}: what is asked must have its place."
            )
            yield Finding("blank-missing", "blocks", where, sentence, _new_blank(step, blank))
        for reading in readings:
            yield from _of_blank(step, name, reading, blank)


def _new_blank(step: StepSpec, blank: Blank) -> Mend:
    number = max((r.number for r in step.readings), default=0) + 1
    given = {name: f"{value}" for name, value in blank.row().items() if value not in ("", None)}
    return new_row("Readings", "name", step_key=step.key, number=number, **given)


def _limits(blank: Blank) -> str:
    ends = [f"at least {blank.low:g}"] if blank.low is not None else []
    ends += [f"at most {blank.high:g}"] if blank.high is not None else []
    return f" ({' and '.join(ends)} {blank.unit})" if ends else ""


def _of_blank(step: StepSpec, name: str, reading: ReadingSpec, blank: Blank) -> Iterator[Finding]:
    where = f"reading:{step.key}/{reading.number}"
    if (reading.writes, reading.unit) != (blank.writes, blank.unit):
        unit = f" in {blank.unit}" if blank.unit else ""
        sentence = f"{name} asks for “{reading.name}” otherwise than it must: {_thing(blank)}{unit}."
        field = "writes" if reading.writes != blank.writes else "unit"
        yield Finding(
            "blank-other", "blocks", where, sentence, row("Readings", field, step.key, reading.number)
        )
        return
    if blank.limit_from != reading.limit_from and blank.limit_from in ("charge", "prediction"):
        sentence = (
            f"{name}: the limits of “{reading.name}” come from the {blank.limit_from}, not from the row."
        )
        mend = row("Readings", "limit_from", step.key, reading.number)
        yield Finding("blank-other", "blocks", where, sentence, mend)
    elif blank.predicted != reading.predicted:
        sentence = (
            f"{name}: “{reading.name}” is limited by the predicted {blank.predicted}; say so in its row."
        )
        mend = row("Readings", "predicted", step.key, reading.number)
        yield Finding("blank-other", "blocks", where, sentence, mend)
    looser = [
        field
        for field, mine, least in (("low", reading.low, blank.low), ("high", reading.high, blank.high))
        if least is not None and (mine is None or (mine < least if field == "low" else mine > least))
    ]
    if looser:
        sentence = f"{name} takes more for “{reading.name}” than may be taken{_limits(blank)}."
        mend = row("Readings", looser[0], step.key, reading.number)
        yield Finding("blank-looser", "blocks", where, sentence, mend)


def _thing(blank: Blank) -> str:
    return (
        "a number" if blank.writes == NUMBER else "words" if blank.writes == "words" else f"a {blank.writes}"
    )


def _order(steps: Sequence[StepSpec], before: Sequence[int], after: Sequence[int]) -> Iterator[Finding]:
    """What stands before a step that must come first; stages of the circuit are told by their kinds."""
    wrong = next(
        ((b, a) for b, a in product(before, after) if a < b and not _are_stages(steps[b], steps[a])), None
    )
    if wrong:
        first, late = steps[wrong[1]], steps[wrong[0]]
        sentence = f"Step {first.key} stands before {late.key}, without which it is not safe: move it behind."
        mend = row("Steps", "step_order", first.key)
        yield Finding("pattern-order", "blocks", f"step:{first.key}", sentence, mend)


def _are_stages(one: StepSpec, other: StepSpec) -> bool:
    return one.kind != other.kind and {one.kind, other.kind} <= set(CIRCUIT_ORDER)


def _drier_time(steps: Sequence[StepSpec], places: dict[str, list[int]]) -> Iterator[Finding]:
    """The drier's bag is opened and the circuit closed within the minutes that the last joint's step allows."""
    if not places.get(OPENED) or not places.get(CLOSED):
        return
    first, last = places[OPENED][0], places[CLOSED][-1]
    allowed = next((r.high for r in steps[last].readings if r.answers == OPEN_FOR), None)
    minutes = sum(step.minutes_min or 0.0 for step in steps[first : last + 1])
    if allowed is not None and minutes > allowed:
        sentence = (
            f"From the opened drier ({steps[first].key}) to the closed circuit ({steps[last].key}) the steps take"
            f" {minutes:g} min by their own times, but {allowed:g} min are allowed: prepare more before it."
        )
        mend = row("Steps", "minutes_min", steps[first].key)
        yield Finding("drier-minutes", "blocks", f"step:{steps[first].key}", sentence, mend)
