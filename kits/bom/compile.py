"""A kit prepared once for all its cars: lookups and the findings that do not depend on one car."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property

from kits.bom.catalogue import KitSpec, PartSpec, PositionSpec, StepSpec, VariantSpec, days_of
from kits.bom.coverage_checks import Offered, Told, coverage_findings, dead_terms, offered
from kits.bom.resolved import Finding
from kits.bom.step_text import step_findings
from vehicles.records.guard import Fault, guarded


@dataclass(frozen=True)
class CompiledKit:
    """A kit with its parts at hand and what is wrong with it whatever the car."""

    spec: KitSpec
    parts: Mapping[str, PartSpec]
    positions: Mapping[int, PositionSpec]
    in_lines: Mapping[str, tuple[Told, ...]]
    """line code -> gaps and overlaps over its combinations"""
    in_steps: Mapping[str, tuple[Finding, ...]]
    """step key -> what is wrong with the step itself"""
    dead: tuple[Finding, ...]
    """terms that apply to no car"""

    @cached_property
    def days(self) -> frozenset[date]:
        """The days on which an entry or a step of it begins or ends, whatever the car."""
        return days_of(*(e for p in self.spec.positions for e in p.entries), *self.spec.steps)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings whatever the car."""
        lines = [told.finding for several in self.in_lines.values() for told in several]
        steps = [finding for several in self.in_steps.values() for finding in several]
        return tuple(dict.fromkeys((*lines, *steps, *self.dead)))

    def findings_for(self, variant: VariantSpec, steps: Iterable[str], on: date) -> tuple[Finding, ...]:
        """What else is to be known in one car with its steps: other cars' gaps and overlaps are only noted."""
        others = [
            replace(told.finding, severity="notes")
            for told in self.in_lines.get(variant.line, ())
            if told.is_news(variant.options, on)
        ]
        spoken = [finding for key in steps for finding in self.in_steps.get(key, ())]
        return tuple(dict.fromkeys((*others, *spoken, *self.dead)))


def compile_kit(spec: KitSpec, parts: Mapping[str, PartSpec]) -> CompiledKit:
    """Prepare a kit; ``parts`` holds every part it and its assemblies name."""
    offers = offered(spec)
    return CompiledKit(
        spec,
        parts,
        {position.number: position for position in spec.positions},
        {
            offer.line.code: tuple(told for p in spec.positions for told in _of_position(p, offer))
            for offer in offers
        },
        {step.key: _of_step(step, spec) for step in spec.steps},
        tuple(dead_terms(spec, offers)),
    )


def _of_position(position: PositionSpec, offer: Offered) -> tuple[Told, ...]:
    what = f"Who gets what in position {position.number} {position.name}"
    found = guarded(what, lambda: tuple(coverage_findings(position, offer)))
    if isinstance(found, Fault):
        return (Told(_unworked(found, f"position:{position.number}"), offer.universe),)
    return found


def _of_step(step: StepSpec, spec: KitSpec) -> tuple[Finding, ...]:
    found = guarded(f"What step {step.key} lacks", lambda: tuple(step_findings(step, spec)))
    return (_unworked(found, f"step:{step.key}"),) if isinstance(found, Fault) else found


def _unworked(fault: Fault, where: str) -> Finding:
    """What could not be worked out of one row stops the kit, and no page."""
    return Finding("not-worked-out", "blocks", where, fault.sentence)
