"""A kit prepared once for all its cars: lookups and the findings that do not depend on one car."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from kits.bom.catalogue import KitSpec, PartSpec, PositionSpec
from kits.bom.coverage import Box, Universe, gaps, overlaps
from kits.bom.resolved import Finding

PLACEHOLDER = re.compile(r"\{(position|joint|torque|bag|length):([^{}]+)\}|\{(charge|oil|gas|kit|variant)\}")


@dataclass(frozen=True)
class CompiledKit:
    """A kit with its parts at hand and what is wrong with it whatever the car."""

    spec: KitSpec
    parts: Mapping[str, PartSpec]
    positions: Mapping[int, PositionSpec]
    universe: Universe
    findings: tuple[Finding, ...]


def compile_kit(spec: KitSpec, parts: Mapping[str, PartSpec]) -> CompiledKit:
    """Prepare a kit; ``parts`` holds every part it and its assemblies name."""
    universe = Universe(tuple((f, tuple(options)) for f, options in spec.universe.items()), spec.excluded)
    positions = {position.number: position for position in spec.positions}
    findings = [
        *(finding for position in spec.positions for finding in _coverage(position, universe)),
        *_steps(spec, positions),
    ]
    return CompiledKit(spec, parts, positions, universe, tuple(findings))


def _coverage(position: PositionSpec, universe: Universe) -> list[Finding]:
    owners = [
        (f"entry {e.number}", universe.box(e.terms, e.start, e.end))
        for e in position.entries
        if not e.alternate
    ] + [(f"hose run {h.number}", universe.box(h.terms)) for h in position.hose_runs]
    known = [(name, box) for name, box in owners if box is not None]
    boxes = [box for _, box in known]
    found = []
    if position.rule == "exactly one":
        for box in gaps(universe, boxes)[:1]:
            found.append(_coverage_finding("position-gap", position, universe, box, "has no entry for"))
    if position.rule != "any":
        for i, j, box in overlaps(universe, boxes)[:1]:
            text = f"has both {known[i][0]} and {known[j][0]} for"
            found.append(_coverage_finding("position-overlap", position, universe, box, text))
    return found


def _coverage_finding(code: str, position: PositionSpec, universe: Universe, box: Box, text: str) -> Finding:
    example = universe.witness(box) or {}
    car = ", ".join(f"{feature} {option}" for feature, option in example.items())
    when = ""
    if box.start > date.min.toordinal():
        when = f" from {date.fromordinal(box.start)}"
    elif box.end < date.max.toordinal():
        when = f" before {date.fromordinal(box.end)}"
    sentence = f"Position {position.number} {position.name} {text} a car such as {car or 'any'}{when}."
    return Finding(code, "notes", f"position:{position.number}", sentence)


def _steps(spec: KitSpec, positions: Mapping[int, PositionSpec]) -> list[Finding]:
    found = []
    joints = {joint.code for joint in spec.joints}
    for step in spec.steps:
        for match in PLACEHOLDER.finditer(step.text):
            kind, name = match.group(1), match.group(2)
            missing = (kind == "position" and not (name.isdigit() and int(name) in positions)) or (
                kind in ("joint", "torque") and name not in joints
            )
            if missing:
                sentence = f"Step {step.key} speaks of {kind} {name}, which the kit does not have."
                found.append(Finding("step-placeholder", "blocks", f"step:{step.key}", sentence))
        left = PLACEHOLDER.sub("", step.text)
        if "{" in left or "}" in left:
            sentence = f"Step {step.key} has a placeholder that is not known: “{step.text}”."
            found.append(Finding("step-placeholder", "blocks", f"step:{step.key}", sentence))
    return found
