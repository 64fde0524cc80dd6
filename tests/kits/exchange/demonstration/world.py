"""The whole demonstration as plain values: what tests of its lines look at."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date

from kits.bom.resolved import ResolvedKit, Step, explode
from kits.exchange.actions import import_demonstration
from kits.exchange.bridge import load_state
from kits.exchange.values import Rows
from kits.fitment.bridge import Catalogue, FitmentRow, case_of, load_catalogue, size_catalogue
from kits.sizing.case.case import Case
from kits.sizing.verdict.record import SizingRecord
from kits.sizing.words.gap import Gap

ON = date(2026, 11, 25)
Key = tuple[str, str, str]
ACCOUNTED = ("refitted", "kept", "scrapped")


@dataclass(frozen=True)
class Heated:
    """A fitment of a kit that heats only."""

    fitment: FitmentRow
    kit: ResolvedKit
    record: SizingRecord


@dataclass(frozen=True)
class World:
    """All lines loaded into one database: fitments, resolved kits and sizing records by fitment key.

    heaters: the fitments of kits that heat only, which stand nowhere else. unmeasured: pairs of kit and car without a
    length or a charge, which nobody works on. rows: of each line, the rows by sheet and natural key.
    """

    catalogue: Catalogue
    fitments: Mapping[Key, FitmentRow]
    kits: Mapping[Key, ResolvedKit]
    records: Mapping[Key, SizingRecord]
    heaters: Mapping[Key, Heated]
    unmeasured: Mapping[Key, SizingRecord]
    rows: Mapping[str, Rows] = field(repr=False)

    def of_line(self, line: str) -> list[Key]:
        """The fitments of a line."""
        return [key for key in self.fitments if key[1] == line]

    def parts_of_kit(self, kit: str) -> set[str]:
        """The part numbers that any car gets of a kit."""
        kits = {**self.kits, **{key: held.kit for key, held in self.heaters.items()}}
        return {number for key, found in kits.items() if key[0] == kit for number in parts_of(found)}

    def steps(self, key: Key) -> tuple[Step, ...]:
        """The steps of a fitment, in their order."""
        return self.kits[key].steps

    def originals(self, key: Key) -> Iterator[tuple[str, str]]:
        """Name and fate of each of the car's own things that this car's steps touch."""
        keys = {step.key.casefold() for step in self.steps(key)}
        for row in self.rows[key[1]]["Originals"].values():
            if str(row["kit"]) == key[0] and str(row["step_key"]).casefold() in keys:
                yield str(row["name"]), str(row["fate"])


def load_demonstration() -> Catalogue:
    """Import every workbook and load every fitment; the caller throws the rows away."""
    import_demonstration()
    return load_catalogue(None, ON)


def without_rows(catalogue: Catalogue) -> dict[Key, tuple[ResolvedKit, Case | None, tuple[Gap, ...]]]:
    """What sizing is given of each fitment: two catalogues that agree in it are sized alike."""
    kits = {fitment.key: catalogue.resolve(fitment) for fitment in catalogue.fitments}
    return {
        fitment.key: (kits[fitment.key], *case_of(fitment, kits[fitment.key]))
        for fitment in catalogue.fitments
    }


def load_world() -> World:
    """Import every workbook and size every fitment; the caller throws the rows away."""
    catalogue = load_demonstration()
    records = {f.key: s.record for f, s in zip(catalogue.fitments, size_catalogue(catalogue), strict=True)}
    heats_only = {f.key: f for f in catalogue.fitments if f.row.kit.heats_only}
    fitments = {f.key: f for f in catalogue.fitments if f.key not in heats_only and (f.lengths or f.charge)}
    return World(
        catalogue,
        fitments,
        {key: catalogue.resolve(fitment) for key, fitment in fitments.items()},
        {key: records[key] for key in fitments},
        {key: Heated(f, catalogue.resolve(f), records[key]) for key, f in heats_only.items()},
        {key: record for key, record in records.items() if key not in fitments and key not in heats_only},
        {line: load_state(line).rows for line in sorted({key[1] for key in fitments})},
    )


def entries(kit: ResolvedKit) -> dict[int, frozenset[tuple[str, str]]]:
    """What fills each position: part and quantity; of a hose its tag and ends, not its length."""
    hoses = {hose.position: hose for hose in kit.hoses}
    found: dict[int, set[tuple[str, str]]] = {}
    for item in kit.items:
        hose = hoses.get(item.position)
        what = (
            (hose.tag, f"{hose.hose} {hose.end_a.part} {hose.end_b.part}")
            if hose is not None
            else (item.part, f"{item.quantity.normalize():f}")
        )
        found.setdefault(item.position, set()).add(what)
    return {position: frozenset(parts) for position, parts in found.items()}


def differing(a: ResolvedKit, b: ResolvedKit) -> set[int]:
    """The positions that two cars fill differently."""
    one, other = entries(a), entries(b)
    return {position for position in {*one, *other} if one.get(position) != other.get(position)}


def parts_of(kit: ResolvedKit) -> set[str]:
    """Every part number of a kit in one car, to the last screw."""
    ends = {end.part for hose in kit.hoses for end in (hose.end_a, hose.end_b)}
    return {row.item.part for row in explode(kit)} | ends | {hose.hose for hose in kit.hoses}
