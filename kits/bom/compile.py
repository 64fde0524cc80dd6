"""A kit prepared once for all its cars: lookups and the findings that do not depend on one car."""

from collections.abc import Mapping
from dataclasses import dataclass

from kits.bom.catalogue import KitSpec, PartSpec, PositionSpec, VariantSpec
from kits.bom.coverage_checks import coverage_findings, dead_terms, offered
from kits.bom.resolved import Finding
from kits.bom.step_text import step_findings


@dataclass(frozen=True)
class CompiledKit:
    """A kit with its parts at hand and what is wrong with it whatever the car."""

    spec: KitSpec
    parts: Mapping[str, PartSpec]
    positions: Mapping[int, PositionSpec]
    in_lines: Mapping[str, tuple[Finding, ...]]
    """line code -> gaps and overlaps over its combinations"""
    in_steps: Mapping[str, tuple[Finding, ...]]
    """step key -> what is wrong with the step itself"""
    dead: tuple[Finding, ...]
    """terms that apply to no car"""

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings whatever the car."""
        found = [f for several in (*self.in_lines.values(), *self.in_steps.values()) for f in several]
        return tuple(dict.fromkeys((*found, *self.dead)))

    def findings_for(self, variant: VariantSpec, steps: frozenset[str]) -> tuple[Finding, ...]:
        """The findings that concern one car with its steps.

        What blocks a built car of the line is left out: each car says itself whether it is the one.
        """
        noted = [f for f in self.in_lines.get(variant.line, ()) if f.severity != "blocks"]
        spoken = [f for key, several in self.in_steps.items() if key in steps for f in several]
        return tuple(dict.fromkeys((*noted, *spoken, *self.dead)))


def compile_kit(spec: KitSpec, parts: Mapping[str, PartSpec]) -> CompiledKit:
    """Prepare a kit; ``parts`` holds every part it and its assemblies name."""
    offers = offered(spec)
    return CompiledKit(
        spec,
        parts,
        {position.number: position for position in spec.positions},
        {
            offer.line.code: tuple(f for p in spec.positions for f in coverage_findings(p, offer))
            for offer in offers
        },
        {step.key: tuple(step_findings(step, spec)) for step in spec.steps},
        tuple(dead_terms(spec, offers)),
    )
