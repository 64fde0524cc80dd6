"""A kit's positions as a grid: which options take which entry, and what each car gets in a position."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from kits.bom.catalogue import KitSpec, LineSpec, PartSpec, PositionSpec, VariantSpec
from kits.bom.filling import chosen
from kits.bom.resolved import Finding, Severity
from vehicles.records.terms import Terms

ANY = "any"
GRAVEST: tuple[Severity, ...] = ("blocks", "warns", "notes")
WORDS = {"position-gap": "gap", "position-overlap": "overlap"}


@dataclass(frozen=True, kw_only=True)
class GridRow:
    """An entry or a hose run of a position: what it is, and its terms, one cell a feature."""

    kind: str
    """"entry" or "hose" """
    number: int
    part: str
    name: str
    quantity: Decimal | None
    unit: str
    cells: tuple[str, ...]
    start: date | None = None
    end: date | None = None
    alternate: bool = False


@dataclass(frozen=True)
class GridPosition:
    """A position with its rows and what is wrong with it."""

    spec: PositionSpec
    rows: tuple[GridRow, ...]
    findings: tuple[Finding, ...] = ()

    @property
    def severity(self) -> str:
        """How bad the gravest finding is, or nothing."""
        return next((s for s in GRAVEST if any(f.severity == s for f in self.findings)), "")

    @property
    def word(self) -> str:
        """The state in a word: gap, overlap, both, or "look" for anything else."""
        words = sorted({WORDS[f.code] for f in self.findings if f.code in WORDS})
        return " and ".join(words) or ("look" if self.findings else "")


@dataclass(frozen=True)
class Grid:
    """The features that are columns, and the positions."""

    features: tuple[str, ...]
    positions: tuple[GridPosition, ...]


def features_of(spec: KitSpec) -> tuple[str, ...]:
    """The features of the lines a kit is offered for, and whatever else its entries and hoses speak of."""
    offered = (feature for line in spec.lines for feature in line.features)
    spoken = (f for p in spec.positions for terms in _terms_of(p) for f in _features(terms))
    return tuple(dict.fromkeys((*offered, *spoken)))


def _terms_of(position: PositionSpec) -> list[Terms]:
    return [e.terms for e in position.entries] + [h.terms for h in position.hose_runs]


def _features(terms: Terms) -> tuple[str, ...]:
    return tuple(feature for feature, _ in (*terms.only, *terms.excluded))


def built_cars(lines: Iterable[LineSpec]) -> tuple[VariantSpec, ...]:
    """The built cars of a kit's lines, each once, though several offers may mean it."""
    return tuple({(car.line, car.code): car for line in lines for car in line.built}.values())


def cell(terms: Terms, feature: str) -> str:
    """What the terms say of a feature: "left", "not electric", "any"."""
    said = [", ".join(sorted(options)) for name, options in terms.only if name == feature]
    said += [f"not {', '.join(sorted(options))}" for name, options in terms.excluded if name == feature]
    return "; ".join(said) or ANY


def grid_of(spec: KitSpec, parts: Mapping[str, PartSpec], findings: Iterable[Finding]) -> Grid:
    """The grid of a kit; findings about a position, an entry or a hose run stand at their position."""
    features = features_of(spec)
    about: dict[str, list[Finding]] = {}
    for finding in findings:
        kind, _, place = finding.where.partition(":")
        if kind in ("position", "entry", "hose"):
            about.setdefault(place.partition("/")[0], []).append(finding)
    return Grid(
        features,
        tuple(
            GridPosition(p, tuple(_rows(p, features, parts)), tuple(about.get(f"{p.number}", ())))
            for p in spec.positions
        ),
    )


def _rows(
    position: PositionSpec, features: Sequence[str], parts: Mapping[str, PartSpec]
) -> Iterable[GridRow]:
    for e in position.entries:
        part = parts[e.part]
        cells = tuple(cell(e.terms, feature) for feature in features)
        yield GridRow(
            kind="entry",
            number=e.number,
            part=e.part,
            name=part.name,
            quantity=e.quantity,
            unit=part.unit,
            cells=cells,
            start=e.start,
            end=e.end,
            alternate=e.alternate,
        )
    for h in position.hose_runs:
        cells = tuple(cell(h.terms, feature) for feature in features)
        yield GridRow(
            kind="hose",
            number=h.number,
            part=h.hose,
            name=f"{parts[h.hose].name}, tag {h.tag}",
            quantity=None,
            unit="m",
            cells=cells,
        )


@dataclass(frozen=True)
class Got:
    """What the cars with one combination of options get in a position."""

    options: tuple[str, ...]
    cars: tuple[str, ...]
    rows: tuple[str, ...]
    """the entries and hose runs that fill it, in words"""
    word: str
    """"gap" or "overlap" when the position's rule is broken, else nothing"""


@dataclass(frozen=True)
class WhatCarsGet:
    """The features a position asks about, and what each combination of them gets."""

    features: tuple[str, ...]
    combinations: tuple[Got, ...]


def what_cars_get(
    position: PositionSpec, lines: Iterable[LineSpec], parts: Mapping[str, PartSpec], on: date
) -> WhatCarsGet:
    """What fills a position in the cars that are built, one line for each combination it tells apart.

    The choice is the one that resolving a kit makes (`kits.bom.filling.chosen`).
    """
    spoken = {f for terms in _terms_of(position) for f in _features(terms)}
    lines = tuple(lines)
    features = tuple(dict.fromkeys(f for line in lines for f in line.features if f in spoken))
    cars: dict[tuple[str, ...], list[str]] = {}
    options: dict[tuple[str, ...], Mapping[str, str]] = {}
    for car in built_cars(lines):
        key = tuple(car.options.get(feature, "") for feature in features)
        cars.setdefault(key, []).append(car.name)
        options.setdefault(key, car.options)
    found = []
    for key, names in cars.items():
        entries, runs = chosen(position, options[key], on)
        rows = [f"entry {e.number}: {e.part} {parts[e.part].name}" for e in entries]
        rows += [f"hose run {h.number}: {h.hose}, tag {h.tag}" for h in runs]
        found.append(Got(key, tuple(names), tuple(rows), _broken(position.rule, len(rows))))
    return WhatCarsGet(features, tuple(found))


def _broken(rule: str, count: int) -> str:
    if count == 0 and rule == "exactly one":
        return "gap"
    return "overlap" if count > 1 and rule != "any" else ""
