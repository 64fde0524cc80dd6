"""The parts list of one kit in one car: by zone and bag, summed, with the hoses to make and the wires to lay.

Every quantity is one that `explode` or `consolidate` gave; here they are only put in order.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby

from kits.bom.resolved import Crimp, Finding, Hose, ResolvedKit, SummedRow, Wire, consolidate, explode
from kits.documents.source import DocumentSource
from kits.documents.title_block import NOT_RECORDED, ChargeBlock, TitleBlock, charge_block, plain, title_block

NOT_RELEASED_WORDS = {
    "prototype": "PROTOTYPE: not for production",
    "trial": "ON TRIAL: not for production",
    "withdrawn": "WITHDRAWN: do not fit",
    "none": "NO REVISION IN FORCE",
}
"""What is said of a part that is not released."""


@dataclass(frozen=True, kw_only=True)
class PartsRow:
    """A line of the structured list. `level` is 0 for what stands at a position, 1 for what is in that."""

    level: int
    position: int
    zone: str
    bag: str
    quantity: Decimal
    unit: str
    part: str
    revision: str
    name: str
    maturity: str
    why: str
    is_assembly: bool

    @property
    def amount(self) -> str:
        """Quantity with its unit."""
        return amount(self.quantity, self.unit)

    @property
    def flag(self) -> str:
        """What is said of a part that is not released, else nothing."""
        return maturity_flag(self.maturity)


@dataclass(frozen=True)
class PartsGroup:
    """The lines of one bag of one zone."""

    zone: str
    bag: str
    rows: tuple[PartsRow, ...]


@dataclass(frozen=True, kw_only=True)
class HoseLine:
    """A hose to make, as text."""

    tag: str
    name: str
    hose: str
    size: str
    cut: str
    tolerance: str
    end_a: str
    end_b: str
    clocking: str
    crimp_place: str
    note: str
    crimps: tuple[str, ...] = ()
    """how each end is crimped that the fitter crimps"""


@dataclass(frozen=True, kw_only=True)
class PartsList:
    """The whole document."""

    title: TitleBlock
    charge: ChargeBlock | None
    groups: tuple[PartsGroup, ...]
    summed: tuple[SummedRow, ...]
    hoses: tuple[Hose, ...]
    wires: tuple[Wire, ...]
    law: tuple[Finding, ...] = ()

    @property
    def rows(self) -> tuple[PartsRow, ...]:
        """All lines of the structured list in the order of the groups."""
        return tuple(row for group in self.groups for row in group.rows)

    @property
    def hose_lines(self) -> tuple[HoseLine, ...]:
        """The hoses as text."""
        return tuple(_hose_line(hose) for hose in self.hoses)

    @property
    def summed_lines(self) -> tuple[tuple[SummedRow, str, str, str], ...]:
        """The summed rows with amount, positions and flag as text."""
        return tuple(
            (row, amount(row.quantity, row.unit), positions(row), maturity_flag(row.maturity))
            for row in self.summed
        )

    @property
    def flagged_count(self) -> int:
        """How many different parts are not released."""
        return len({(r.part, r.revision) for r in self.rows if r.flag})


def amount(quantity: Decimal, unit: str) -> str:
    """A quantity with its unit, as on every document: "4 pc", "1.24 m"."""
    return f"{plain(quantity)} {unit}"


def positions(row: SummedRow) -> str:
    """The positions of a summed row as text."""
    return ", ".join(str(number) for number in row.positions)


def maturity_flag(maturity: str) -> str:
    """What is said of a part that is not released; an unknown word is said as it is."""
    return "" if maturity == "released" else NOT_RELEASED_WORDS.get(maturity, maturity.upper())


def parts_list(source: DocumentSource, by: str) -> PartsList:
    """The parts list of a fitment. `by`: who had it made."""
    kit = source.kit
    return PartsList(
        title=title_block(source, "Parts list", by),
        charge=charge_block(kit),
        groups=_groups(_blocks(kit)),
        summed=consolidate(kit),
        hoses=kit.hoses,
        wires=kit.wires,
        law=kit.law,
    )


def _blocks(kit: ResolvedKit) -> list[list[PartsRow]]:
    """An item of a position and all it is made of, one list each, in the order of the kit."""
    blocks: list[list[PartsRow]] = []
    for exploded in explode(kit):
        item = exploded.item
        row = PartsRow(
            level=exploded.level,
            position=item.position,
            zone=item.zone,
            bag=item.bag,
            quantity=exploded.quantity,
            unit=item.unit,
            part=item.part,
            revision=item.revision,
            name=item.name,
            maturity=item.maturity,
            why=item.why,
            is_assembly=bool(item.children),
        )
        if exploded.level == 0:
            blocks.append([])
        blocks[-1].append(row)
    return blocks


def _groups(blocks: Iterable[list[PartsRow]]) -> tuple[PartsGroup, ...]:
    """Blocks by zone and bag; an assembly stays with its content."""

    def place(block: list[PartsRow]) -> tuple[str, str]:
        return block[0].zone, block[0].bag

    ordered = sorted(blocks, key=lambda block: (*place(block), block[0].position))
    return tuple(
        PartsGroup(zone, bag, tuple(row for block in found for row in block))
        for (zone, bag), found in groupby(ordered, key=place)
    )


def crimp_text(crimp: Crimp | None) -> str:
    """How an end is crimped, as on every document."""
    return crimp.text() if crimp else f"ferrule, die, depth and diameter {NOT_RECORDED}"


def _hose_line(hose: Hose) -> HoseLine:
    ends = [f"{end.name} ({end.part}), {plain(end.angle_deg)}°" for end in (hose.end_a, hose.end_b)]
    cut = f"{NOT_RECORDED}: do not cut" if hose.cut_mm is None else f"{plain(hose.cut_mm)} mm"
    tolerance = "" if hose.tolerance_mm is None else f"± {plain(hose.tolerance_mm)} mm"
    note = [f"sleeve {hose.sleeve}"] if hose.sleeve else []
    note += [f"service port {hose.service_port}"] if hose.service_port else []
    at_car = [code for code, _ in hose.crimped_at_car]
    place = "crimp at the works"
    if at_car:
        place = "crimp at the car" if len(at_car) > 1 else f"crimp end {at_car[0]} at the car"
    return HoseLine(
        tag=hose.tag,
        name=hose.name,
        hose=hose.hose,
        size=hose.size,
        cut=cut,
        tolerance=tolerance,
        end_a=ends[0],
        end_b=ends[1],
        clocking=f"{plain(hose.clocking_deg)}°",
        crimp_place=place,
        note="; ".join(note),
        crimps=tuple(f"End {code}: {crimp_text(end.crimp)}" for code, end in hose.crimped_at_car),
    )
