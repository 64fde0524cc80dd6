"""What fills the positions of a kit in one car: parts with their content, hoses with their cut, wires, ports."""

from collections.abc import Iterator, Mapping
from datetime import date
from decimal import Decimal

from kits.bom.catalogue import (
    EntrySpec,
    HoseRunSpec,
    Measured,
    PartSpec,
    PositionSpec,
    RevisionSpec,
    StructureSpec,
    VariantSpec,
    in_force,
)
from kits.bom.circuit import HOSE, HeldPort
from kits.bom.compile import CompiledKit
from kits.bom.hose_checks import EndParts, crimp_of, hose_findings, side_of
from kits.bom.joints import DRAIN_PORT, WETTED_ROLES
from kits.bom.lengths import CutLength, cut_length
from kits.bom.mending import Mend, filled_by, new_row, option_of, row
from kits.bom.resolved import Finding, Hose, HoseEnd, Item, PlantPart, Severity, Wire
from kits.bom.roles import DRAIN, TRAP
from kits.parts.loops import way_in_words
from vehicles.physics.origin import Origin

MOST_ITEMS, MOST_LEVELS = 5_000, 40
"""Lines and levels of one car's parts list; no kit of a car comes near, and a page of more can't be read."""
NO_REVISION = RevisionSpec("-", "none")


class Filling:
    """The state of one resolution; it is thrown away when the value is made."""

    def __init__(
        self, kit: CompiledKit, variant: VariantSpec, lengths: Mapping[str, Measured], on: date
    ) -> None:
        self.kit, self.variant, self.lengths, self.on = kit, variant, lengths, on
        self.findings: list[Finding] = []
        self.items: list[Item] = []
        self.hoses: list[Hose] = []
        self.wires: list[Wire] = []
        self.ports: list[HeldPort] = []
        self.plant: dict[str, PlantPart] = {}
        self.origins: dict[str, Origin] = {}
        self.used: dict[str, tuple[PartSpec, RevisionSpec]] = {}
        self.days: set[date] = set(kit.days)
        self._item_count = 0

    @property
    def gapped(self) -> frozenset[int]:
        """The positions that must be filled and are empty."""
        filled = {item.position for item in self.items}
        must = {p.number for p in self.kit.spec.positions if p.rule == "exactly one"}
        return frozenset(must - filled)

    def find(
        self, code: str, severity: Severity, where: str, sentence: str, mend: Mend | None = None
    ) -> None:
        """Note a finding."""
        self.findings.append(Finding(code, severity, where, sentence, mend))

    def part(self, number: str, where: str) -> tuple[PartSpec, RevisionSpec]:
        """The part and its revision in force, with what stands against using it; ``where`` it is chosen."""
        part = self.kit.parts[number]
        self.days |= part.days
        revision = part.revision_on(self.on)
        name = f"{part.name} ({number})"
        if (new := part.superseded_on(self.on)) is not None:
            since = f" since {new.start}" if new.start else ""
            sentence = f"{name} has been superseded by {new.new}{since}: choose that one."
            self.find("part-superseded", "notes" if new.both_ways else "warns", where, sentence)
        if revision is None:
            withdrawn = [r for r in part.revisions if r.maturity == "withdrawn"]
            was = f": revision {withdrawn[-1].revision} is withdrawn" if withdrawn else ""
            code = "part-withdrawn" if withdrawn else "part-no-revision"
            mend = new_row("Revisions", "part_revision", part_number=number)
            if withdrawn:
                mend = row("Revisions", "maturity", number, withdrawn[-1].revision)
            elif part.revisions:
                mend = row("Revisions", "in_force_from", number, part.revisions[-1].revision)
            self.find(code, "blocks", f"part:{number}", f"{name} has no revision in force{was}.", mend)
            return part, NO_REVISION
        if revision.maturity in ("prototype", "trial"):
            state = "a prototype" if revision.maturity == "prototype" else "on trial"
            sentence = (
                f"{part.name} ({number} {revision.revision}) is still {state}: not for a production box."
            )
            mend = row("Revisions", "maturity", number, revision.revision)
            self.find("part-prototype", "blocks", f"part:{number}", sentence, mend)
        self.used[number] = part, revision
        return part, revision

    def _content(self, revision: RevisionSpec, around: tuple[str, ...]) -> Iterator[StructureSpec]:
        """What the last of the assemblies is made of, without what would never end."""
        number = around[-1]
        for edge in revision.structure:
            if edge.child in around:
                way = (*around[around.index(edge.child) :], edge.child)
                sentence = f"Part {edge.child} contains itself: {way_in_words(way)}. It is left out there."
                mend = row("Structure", "child", number, revision.revision, edge.number)
                self.find("structure-loop", "blocks", f"part:{number}", sentence, mend)
            elif self._item_count >= MOST_ITEMS or len(around) > MOST_LEVELS:
                if not any(f.code == "structure-too-large" for f in self.findings):
                    sentence = (
                        f"The parts list would have more than {MOST_ITEMS:,} lines or {MOST_LEVELS} levels: the "
                        f"content of {number} and of what comes after it is left out. Look for an assembly used too "
                        "often."
                    )
                    self.find("structure-too-large", "blocks", f"part:{number}", sentence)
                return
            else:
                yield edge

    def item(
        self,
        position: PositionSpec,
        number: str,
        quantity: Decimal,
        why: str,
        where: str,
        *,
        inside: tuple[str, ...] = (),
        told: frozenset[str] = frozenset(),
    ) -> Item:
        """A line of the parts list with its content; the part's data join the plant, its ports the circuit.

        inside  the assemblies around it, from outside
        told    kinds of the assemblies around it that have data: a pair of fans is told as a whole, not its fans too
        """
        part, revision = self.part(number, where)
        self._item_count += 1
        if part.kind not in told:
            self._join_plant(part, revision, quantity, number)
            if revision.data or revision.points:
                told |= {part.kind}
        if part.kind != "hose end":  # an end's ports are those of its hose
            self.ports += [
                HeldPort(position.number, number, part.kind, port.code, port) for port in revision.ports
            ]
        around = (*inside, number)
        children = tuple(
            self.item(
                position=position,
                number=edge.child,
                quantity=edge.quantity,
                why=f"in {number}",
                where=f"part:{number}",
                inside=around,
                told=told,
            )
            for edge in self._content(revision, around)
        )
        return Item(
            position=position.number,
            zone=position.zone,
            bag=position.bag,
            role=position.role,
            part=number,
            revision=revision.revision,
            name=part.name,
            unit=part.unit,
            quantity=quantity,
            maturity=revision.maturity,
            mass_g=revision.mass_g,
            why=why,
            children=children,
            inner_volume_ml=revision.inner_volume_ml,
            flow=tuple(sorted({port.role for port in revision.ports if port.role in WETTED_ROLES})),
            is_drain=position.role in (DRAIN, TRAP)
            or any(port.role == DRAIN_PORT for port in revision.ports),
        )

    def _join_plant(self, part: PartSpec, revision: RevisionSpec, quantity: Decimal, number: str) -> None:
        if revision.data or revision.points:
            # several parts of a kind (four vents) stand under the kind with a counter of their own
            key = part.kind if part.kind not in self.plant else f"{part.kind}/{number}"
            held = self.plant.get(key)
            total = quantity + (held.quantity if held and held.part == number else Decimal(0))
            self.plant[key] = PlantPart(number, revision.data, revision.points, total)
            if revision.data_origin:
                self.origins[f"part.{number}"] = revision.data_origin


def _meant(position: PositionSpec, options: Mapping[str, str]) -> list[EntrySpec]:
    return [e for e in position.entries if not e.alternate and e.terms.applies(options)]


def chosen(
    position: PositionSpec, options: Mapping[str, str], on: date
) -> tuple[list[EntrySpec], list[HoseRunSpec]]:
    """The entries and hose runs that fill a position of a car with these options on a date; alternates never do."""
    entries = [e for e in _meant(position, options) if in_force(e.start, e.end, on)]
    return entries, [run for run in position.hose_runs if run.terms.applies(options)]


def fill(work: Filling, position: PositionSpec) -> None:
    """Fill a position with the entries or hose runs that apply to the car, with what is wrong with them."""
    options = work.variant.options
    entries, runs = chosen(position, options, work.on)
    count = len(entries) + len(runs)
    name, where = f"Position {position.number} {position.name}", f"position:{position.number}"
    if count == 0 and position.rule == "exactly one":
        sentence = f"{name} is empty: no entry applies to {work.variant.name}."
        work.find("position-gap", "blocks", where, sentence, _filled_by(position))
    if count > 1 and position.rule != "any":
        sentence = f"{name} has {count} entries for {work.variant.name}; it takes one."
        work.find("position-overlap", "blocks", where, sentence, _one_too_many(work, position, entries, runs))
    if count == 1 and not runs:
        _look_ahead(work, position, _meant(position, options))
    for entry in entries:
        where = f"entry:{position.number}/{entry.number}"
        work.items.append(work.item(position, entry.part, entry.quantity, entry.terms.text(), where))
    for run in runs:
        _fill_hose(work, position, run)
    if entries:
        _wire(work, position)


def _filled_by(position: PositionSpec) -> Mend:
    return filled_by(position.number, bool(position.hose_runs))


def _one_too_many(
    work: Filling, position: PositionSpec, entries: list[EntrySpec], runs: list[HoseRunSpec]
) -> Mend:
    """The options of the last of them: who added it is the one who looks."""
    last = runs[-1] if runs else entries[-1]
    sheet = "Hose runs" if runs else "Entries"
    return option_of(sheet, last.terms, sorted(work.variant.options), position.number, last.number)


def _look_ahead(work: Filling, position: PositionSpec, meant: list[EntrySpec]) -> None:
    """Days to come on which this car's position has no entry, or two: a change that was only half made."""
    days = sorted({day for e in meant for day in (e.start, e.end) if day and day > work.on})
    name, where = f"Position {position.number} {position.name}", f"position:{position.number}"
    for day in days:
        count = sum(in_force(e.start, e.end, day) for e in meant)
        if count == 0 and position.rule == "exactly one":
            sentence = f"{name} will be empty in {work.variant.name} from {day}: no entry follows."
            work.find("position-gap", "warns", where, sentence, _filled_by(position))
            return
        if count > 1 and position.rule != "any":
            sentence = f"{name} will have {count} entries in {work.variant.name} from {day}; it takes one."
            mend = row("Entries", "in_force_until", position.number, meant[0].number)
            work.find("position-overlap", "warns", where, sentence, mend)
            return


def _wire(work: Filling, position: PositionSpec) -> None:
    branches = {branch.number: branch for branch in position.branches}
    for c in position.circuits:
        if not c.terms.applies(work.variant.options):
            continue
        branch = branches.get(c.branch) if c.branch is not None else None
        work.wires.append(
            Wire(
                position=position.number,
                number=c.number,
                start=f"{c.from_connector}/{c.from_cavity}",
                end=f"{c.to_connector}/{c.to_cavity}",
                colour=c.colour,
                section_mm2=c.section_mm2,
                length_mm=c.length_mm,
                terminal=c.terminal,
                seal=c.seal,
                fuse_a=c.fuse_a,
                current_a=c.current_a,
                diode_band=c.diode_band,
                branch=c.branch,
                route=branch.route if branch else "",
                covering=branch.covering if branch else "",
                leads_to=c.leads_to,
                high_voltage=c.high_voltage,
            )
        )


def _fill_hose(work: Filling, position: PositionSpec, run: HoseRunSpec) -> None:
    where = f"hose:{position.number}/{run.number}"
    _, hose = work.part(run.hose, where)
    ends = [
        EndParts(code, *work.part(number, where)) for code, number in (("A", run.end_a), ("B", run.end_b))
    ]
    cut_out = work.kit.spec.settings.get("high_cut_out_bar_g")
    work.findings += hose_findings(position, run, hose, ends, cut_out)
    for end in ends:
        if end.mating:
            work.ports.append(HeldPort(position.number, run.hose, HOSE, end.code, end.mating, run.number))
        work.ports += [HeldPort(position.number, run.hose, HOSE, port.code, port) for port in end.service]
    measured, cut = work.lengths.get(run.route), _cut(work, run, ends)
    a, b = (
        HoseEnd(
            end.part.number,
            end.part.name,
            float(end.revision.data.get("angle_deg") or 0),
            end.revision.data.get("adds_mm"),
            end.revision.data.get("loss_factor"),
            crimp_of(end, hose),
        )
        for end in ends
    )
    work.hoses.append(
        Hose(
            position=position.number,
            name=position.name,
            tag=run.tag,
            route=run.route,
            hose=run.hose,
            size=str(hose.data.get("size", "")),
            bore_mm=hose.data.get("bore_mm"),
            end_a=a,
            end_b=b,
            clocking_deg=run.clocking_deg,
            routed_mm=measured.value if measured else None,
            routed_origin=measured.origin if measured else None,
            slack_mm=cut.slack_mm if cut else None,
            cut_mm=cut.cut_mm if cut else None,
            tolerance_mm=cut.tolerance_mm if cut else None,
            sleeve=run.sleeve,
            service_port=run.service_port,
            crimp_place=run.crimp_place,
            run=run.number,
            rated_pressure_bar_g=hose.data.get("rated_pressure_bar_g"),
            side=side_of(ends),
        )
    )
    content = [(run.end_a, Decimal(1)), (run.end_b, Decimal(1))]
    if cut:
        content.insert(0, (run.hose, Decimal(cut.cut_mm) / 1000))
    for number, quantity in content:
        work.items.append(work.item(position, number, quantity, run.terms.text(), where))


def _cut(work: Filling, run: HoseRunSpec, ends: list[EndParts]) -> CutLength | None:
    measured = work.lengths.get(run.route)
    where = f"length:{run.route}"
    if measured is None:
        sentence = f"Route {run.route} has no length for {work.variant.name}: the hose can't be cut."
        work.find("length-missing", "blocks", where, sentence)
        return None
    work.origins[f"length.{run.route}"] = measured.origin
    adds_a, adds_b = (end.revision.data.get("adds_mm") for end in ends)
    if adds_a is None or adds_b is None:
        return None
    try:
        return cut_length(
            measured.value, run.slack_share, run.slack_min_mm, run.rock_mm, float(adds_a), float(adds_b)
        )
    except ValueError as error:
        work.find("length-impossible", "blocks", where, f"Route {run.route}: {error}")
        return None
