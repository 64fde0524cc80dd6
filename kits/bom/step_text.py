"""The text of a step: its placeholders, and what is wrong with a step whatever the car."""

import re
from collections.abc import Iterator

from kits.bom.catalogue import PREDICTED, KitSpec, ReadingSpec, StepSpec
from kits.bom.mending import row
from kits.bom.resolved import Finding
from kits.bom.step_patterns import NUMBER

PLACEHOLDER = re.compile(
    r"\{(position|joint|torque|bag|open|length|spacing):([^{}]+)\}"
    r"|\{(charge|oil|gas|kit|variant|joints|high_voltage)\}"
)
PLACEHOLDERS_TOLD = (
    "{position:110} names what stands there, {joint:J1} a joint, {torque:J1} its torque, {length:LIQ} the cut length"
    " of a route's hose, {spacing:405} how far apart the clips of a position hold the hoses, {bag:4} a bag; {open:4}"
    " says “Open bag 4”, and this step opens it. {charge}, {oil}, {gas}, {kit}, {variant} and {high_voltage} stand for"
    " themselves, {joints} for all joints of the circuit."
)
"""What a step's text may name, for the people who write it."""


def named(text: str) -> list[tuple[str, str]]:
    """The things a text speaks of, as (kind, name): ("position", "110"), ("bag", "2")."""
    return [(m.group(1), m.group(2)) for m in PLACEHOLDER.finditer(text) if m.group(1)]


def plain_names(text: str) -> frozenset[str]:
    """The placeholders of a text that stand for one thing of the whole kit: "charge", "joints"."""
    return frozenset(m.group(3) for m in PLACEHOLDER.finditer(text) if m.group(3))


def opened_bags(text: str) -> list[str]:
    """The bags a step opens, in the order of its text."""
    return [name for kind, name in named(text) if kind == "open"]


def step_findings(step: StepSpec, kit: KitSpec) -> Iterator[Finding]:
    """Placeholders for nothing, readings without a limit, and a fitting step that names nothing to fit."""
    where = f"step:{step.key}"
    have = {
        "position": {str(p.number) for p in kit.positions},
        "joint": {j.code for j in kit.joints},
        "torque": {j.code for j in kit.joints},
        "bag": {p.bag for p in kit.positions},
        "open": {p.bag for p in kit.positions},
        "length": {run.route for p in kit.positions for run in p.hose_runs},
        "spacing": {str(p.number) for p in kit.positions if p.hold_spacing_mm is not None},
    }
    for kind, name in named(step.text):
        if name not in have[kind]:
            thing = "bag" if kind == "open" else kind
            sentence = f"Step {step.key} speaks of {thing} {name}, which the kit does not have."
            yield Finding("step-placeholder", "blocks", where, sentence, row("Steps", "text", step.key))
    left = PLACEHOLDER.sub("", step.text)
    if "{" in left or "}" in left:
        sentence = f"Step {step.key} has a placeholder that is not known: “{step.text}”."
        yield Finding("step-placeholder", "blocks", where, sentence, row("Steps", "text", step.key))
    for reading in step.readings:
        has_limits = reading.low is not None or reading.high is not None
        if reading.writes == NUMBER and reading.limit_from == "fixed" and not has_limits:
            sentence = f"Reading “{reading.name}” of step {step.key} has fixed limits, but none is stated."
            mend = row("Readings", "high", step.key, reading.number)
            yield Finding(
                "reading-no-limits", "warns", f"reading:{step.key}/{reading.number}", sentence, mend
            )
        if reading.limit_from == "prediction" and PREDICTED.get(reading.predicted) != reading.unit:
            sentence = f"Reading “{reading.name}” of step {step.key} {_unpredicted(reading)}"
            mend = row("Readings", "unit" if reading.predicted else "predicted", step.key, reading.number)
            yield Finding(
                "reading-unpredicted", "warns", f"reading:{step.key}/{reading.number}", sentence, mend
            )
    names_something = step.positions or step.joints or step.circuits or named(step.text) or step.tool
    if step.kind == "fit" and not names_something:
        sentence = f"Step {step.key} fits something, but names no part, bag or tool."
        yield Finding("step-filler", "warns", where, sentence, row("Steps", "fits_positions", step.key))


def _unpredicted(reading: ReadingSpec) -> str:
    """Why a reading whose limits are from the prediction gets none."""
    if not reading.predicted:
        return f"has its limits from the prediction: say which it reads, of {', '.join(PREDICTED)}."
    unit = PREDICTED.get(reading.predicted, "")
    return f"is in {reading.unit}; the {reading.predicted} is predicted in {unit}: read it in {unit}."
