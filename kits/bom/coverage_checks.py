"""What is wrong with a kit's option terms, in sentences: gaps, overlaps, and terms that never apply."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import chain

from kits.bom.catalogue import KitSpec, LineSpec, PositionSpec
from kits.bom.coverage import FOREVER, Box, Universe, gaps, overlaps
from kits.bom.mending import Mend, filled_by, option_of
from kits.bom.resolved import Finding, Severity
from vehicles.records.terms import Terms

TOLD = 6
"""So many gaps of a position are told one by one; that there are more is said."""


@dataclass(frozen=True)
class Offered:
    """A line a kit is offered for, with its universe; ``is_only`` when there is no other."""

    line: LineSpec
    universe: Universe
    is_only: bool


@dataclass(frozen=True)
class Told:
    """A finding about a box of combinations and days of a line; no box when it is about the position at all."""

    finding: Finding
    universe: Universe
    box: Box | None = None

    def is_news(self, options: Mapping[str, str], on: date) -> bool:
        """Whether it says something that a car of the line does not say itself, and is not past."""
        if self.box is None:
            return True
        return self.box.end > on.toordinal() and not self.universe.holds(self.box, options)


def offered(spec: KitSpec) -> tuple[Offered, ...]:
    """The lines of a kit with their universes: what one line excludes says nothing about another's cars."""
    return tuple(
        Offered(line, Universe(tuple(line.features.items()), line.excluded), len(spec.lines) == 1)
        for line in spec.lines
    )


def coverage_findings(position: PositionSpec, offer: Offered) -> Iterator[Told]:
    """Gaps and overlaps of a position over all combinations of a line and all days from its first entry on.

    A gap or overlap that a built car falls into blocks, another one is noted. A position that takes at most one
    may stay empty; one that takes any number may also be filled twice.
    """
    universe = offer.universe
    owners = _owners(position, universe)
    boxes = [owner.box for owner in owners]
    if position.rule == "exactly one":
        whole, fill = universe.whole(), filled_by(position.number, bool(position.hose_runs))
        start = min((box.start for box in boxes), default=FOREVER[0])
        found = gaps(universe, boxes, Box(whole.masks, start, whole.end), TOLD + 1)
        for box in found[:TOLD]:
            yield _finding("position-gap", position, offer, box, "has no entry for", fill)
        if len(found) > TOLD:
            sentence = f"{_name(position)} has more gaps than the {TOLD} that are told: mend those first."
            finding = Finding("position-gap", "notes", f"position:{position.number}", sentence, fill)
            yield Told(finding, universe)
    if position.rule != "any":
        yield from _overlaps(position, offer, owners)


@dataclass(frozen=True)
class _Owner:
    """An entry or hose run by its name, the box it fills, and its options."""

    name: str
    box: Box
    options: Mend


def _owners(position: PositionSpec, universe: Universe) -> list[_Owner]:
    features = [name for name, _ in universe.features]
    found = [
        (f"entry {e.number}", universe.box(e.terms, e.start, e.end), ("Entries", e.terms, e.number))
        for e in position.entries
        if not e.alternate
    ]
    found += [
        (f"hose run {h.number}", universe.box(h.terms), ("Hose runs", h.terms, h.number))
        for h in position.hose_runs
    ]
    return [
        _Owner(name, box, option_of(sheet, terms, features, position.number, number))
        for name, box, (sheet, terms, number) in found
        if box is not None
    ]


def _overlaps(position: PositionSpec, offer: Offered, owners: Sequence[_Owner]) -> Iterator[Told]:
    # the owner that meets most others is told first, with all of them: one wrong entry is one sentence
    pairs = overlaps(offer.universe, [owner.box for owner in owners])
    while pairs:
        ends = list(chain.from_iterable((i, j) for i, j, _ in pairs))
        worst = max(dict.fromkeys(sorted(ends)), key=ends.count)
        mine = [(i + j - worst, box) for i, j, box in pairs if worst in (i, j)]
        pairs = [pair for pair in pairs if worst not in pair[:2]]
        built = [box for _, box in mine if _built(offer, box)]
        others = " and ".join(owners[k].name for k, _ in mine)
        text = f"has {owners[worst].name} as well as {others} for"
        box = built[0] if built else mine[0][1]
        yield _finding("position-overlap", position, offer, box, text, owners[worst].options)


def _built(offer: Offered, box: Box) -> str:
    """The name of a built car in the box, or an empty text."""
    return next((car.name for car in offer.line.built if offer.universe.holds(box, car.options)), "")


def _finding(code: str, position: PositionSpec, offer: Offered, box: Box, text: str, mend: Mend) -> Told:
    built = _built(offer, box)
    severity: Severity = "blocks" if built else "notes"
    example = ", ".join(f"{f} {option}" for f, option in (offer.universe.witness(box) or {}).items())
    cars = "any car" if offer.is_only else f"any {offer.line.name}"
    if limits := _limits(offer.universe, box):
        cars = f"{cars.replace('any', 'a', 1)} with {limits}"
    such = f", such as {built or example}" if built or (limits and example != limits) else ""
    sentence = f"{_name(position)} {text} {cars}{_days(box)}{such}."
    return Told(Finding(code, severity, f"position:{position.number}", sentence, mend), offer.universe, box)


def _limits(universe: Universe, box: Box) -> str:
    whole = universe.whole().masks
    return ", ".join(
        f"{feature} {' or '.join(universe.chosen(i, box.masks[i]))}"
        for i, (feature, _) in enumerate(universe.features)
        if box.masks[i] != whole[i]
    )


def _days(box: Box) -> str:
    first = f" from {date.fromordinal(box.start)}" if box.start > FOREVER[0] else ""
    last = f" until {date.fromordinal(box.end)}" if box.end < FOREVER[1] else ""
    return first + last


def _name(position: PositionSpec) -> str:
    return f"Position {position.number} {position.name}"


def dead_terms(spec: KitSpec, offers: Sequence[Offered]) -> Iterator[Finding]:
    """Entries, hose runs, circuits and steps whose terms apply to no car of any line the kit is offered for."""
    owners: list[tuple[str, str, Terms, Mend]] = [
        (f"step:{s.key}", f"Step {s.key}", s.terms, option_of("Steps", s.terms, (), s.key))
        for s in spec.steps
    ]
    for p in spec.positions:
        of = f"of position {p.number} {p.name}"
        rows = [("entry", "Entries", "Entry", e.number, e.terms) for e in p.entries]
        rows += [("hose", "Hose runs", "Hose run", h.number, h.terms) for h in p.hose_runs]
        rows += [("circuit", "Circuits", "Circuit", c.number, c.terms) for c in p.circuits]
        owners += [
            (f"{kind}:{p.number}/{n}", f"{name} {n} {of}", terms, option_of(sheet, terms, (), p.number, n))
            for kind, sheet, name, n, terms in rows
        ]
    for where, name, terms, mend in owners:
        boxes = [(offer.universe, offer.universe.box(terms)) for offer in offers]
        if offers and not any(box is not None and universe.witness(box) for universe, box in boxes):
            sentence = f"{name} applies to no car of the lines offered: mend its options ({terms.text()}) or remove it."
            yield Finding("terms-dead", "warns", where, sentence, mend)
