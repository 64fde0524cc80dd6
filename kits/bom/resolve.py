"""Resolve a compiled kit for one car on one date."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal

from kits.bom.catalogue import (
    EntrySpec,
    HoseRunSpec,
    Measured,
    PartSpec,
    PortSpec,
    PositionSpec,
    RevisionSpec,
    VariantSpec,
    in_force,
)
from kits.bom.compile import CompiledKit
from kits.bom.joints import WETTED_ROLES, loop_break, mismatch, needs
from kits.bom.lengths import cut_length
from kits.bom.resolved import Charge, Finding, Hose, HoseEnd, Item, Joint, ResolvedKit, Severity, Wire
from kits.bom.steps import resolve_steps
from vehicles.physics.origin import Origin

MAX_DEPTH = 12
NO_REVISION = RevisionSpec("-", "none")


class _Resolving:
    """The state of one resolution; it is thrown away when the value is made."""

    def __init__(
        self, kit: CompiledKit, variant: VariantSpec, lengths: Mapping[str, Measured], on: date
    ) -> None:
        self.kit, self.variant, self.lengths, self.on = kit, variant, lengths, on
        self.findings: list[Finding] = []
        self.items: list[Item] = []
        self.hoses: list[Hose] = []
        self.wires: list[Wire] = []
        self.ports: dict[int, dict[str, PortSpec]] = {}
        self.plant: dict[str, tuple[str, Mapping[str, object], tuple[Mapping[str, float], ...], Decimal]] = {}
        self.origins: dict[str, Origin] = {}

    def find(self, code: str, severity: Severity, where: str, sentence: str) -> None:
        """Note a finding once."""
        finding = Finding(code, severity, where, sentence)
        if finding not in self.findings:
            self.findings.append(finding)

    def part(self, number: str) -> tuple[PartSpec, RevisionSpec]:
        """The part and its revision in force, with findings for a prototype or none."""
        part = self.kit.parts[number]
        revision = part.revision_on(self.on)
        if revision is None:
            self.find(
                "part-no-revision",
                "blocks",
                f"part:{number}",
                f"{part.name} ({number}) has no revision in force.",
            )
            return part, NO_REVISION
        if revision.maturity in ("prototype", "trial"):
            state = "a prototype" if revision.maturity == "prototype" else "on trial"
            sentence = (
                f"{part.name} ({number} {revision.revision}) is still {state}: not for a production box."
            )
            self.find("part-prototype", "blocks", f"part:{number}", sentence)
        return part, revision

    def item(self, position: PositionSpec, number: str, quantity: Decimal, why: str, depth: int = 0) -> Item:
        """A line of the parts list with its content; the part's data join the plant."""
        part, revision = self.part(number)
        if depth > MAX_DEPTH:
            raise ValueError(f"Part {number} contains itself.")
        self._join_plant(part, revision, quantity, number)
        children = tuple(
            self.item(position, edge.child, edge.quantity, f"in {number}", depth + 1)
            for edge in revision.structure
        )
        return Item(
            position.number,
            position.zone,
            position.bag,
            position.role,
            number,
            revision.revision,
            part.name,
            part.unit,
            quantity,
            revision.maturity,
            revision.mass_g,
            why,
            children,
        )

    def _join_plant(self, part: PartSpec, revision: RevisionSpec, quantity: Decimal, number: str) -> None:
        if revision.data or revision.points:
            # several parts of a kind (four vents) stand under the kind with a counter of their own
            key = part.kind if part.kind not in self.plant else f"{part.kind}/{number}"
            held = self.plant.get(key)
            total = quantity + (held[3] if held and held[0] == number else Decimal(0))
            self.plant[key] = (number, revision.data, revision.points, total)
            if revision.data_origin:
                self.origins[f"part.{number}"] = revision.data_origin

    def add_ports(self, position: int, number: str, depth: int = 0) -> None:
        """The ports a position offers: those of its part and of what it is made of."""
        revision = self.kit.parts[number].revision_on(self.on) or NO_REVISION
        for port in revision.ports:
            self.ports.setdefault(position, {}).setdefault(port.code, port)
        for edge in revision.structure:
            if depth < MAX_DEPTH:
                self.add_ports(position, edge.child, depth + 1)


def resolve(
    kit: CompiledKit,
    variant: VariantSpec,
    lengths: Mapping[str, Measured],
    charge: Measured | None,
    on: date,
) -> ResolvedKit:
    """Resolve a kit for one car: what goes in, how long each hose is, what joins what, which steps.

    Parameters: lengths (route code -> the winning length in mm), charge (the winning charge in g), on (in force).
    Returns a ResolvedKit; what is missing or wrong is in its findings, nothing is guessed.
    """
    work = _Resolving(kit, variant, lengths, on)
    for position in kit.spec.positions:
        _fill(work, position)
    joints = _joints(work)
    settings = kit.spec.settings
    if charge is None:
        work.find(
            "charge-missing", "blocks", "charge", f"No refrigerant charge is recorded for {variant.name}."
        )
    amounts = Charge(
        charge.value if charge else None,
        charge.tolerance if charge else None,
        charge.origin if charge else None,
        str(settings["oil"]),
        settings["oil_ml"],
    )
    filled = {item.position for item in work.items}
    steps = resolve_steps(
        work.kit, variant, on, work.items, joints, work.hoses, work.wires, amounts, work.find
    )
    fitted = {number for step in steps[1] for number in step}
    for position in kit.spec.positions:
        if position.number in filled and position.number not in fitted:
            sentence = f"Position {position.number} {position.name} is filled, but no step fits it."
            work.find("position-no-step", "warns", f"position:{position.number}", sentence)
    return ResolvedKit(
        kit.spec.code,
        kit.spec.name,
        variant.line,
        variant.code,
        variant.name,
        on,
        variant.options,
        settings,
        tuple(work.items),
        tuple(work.hoses),
        joints,
        tuple(work.wires),
        amounts,
        steps[0],
        work.plant,
        work.origins,
        (*work.findings, *kit.findings),
    )


def _fill(work: _Resolving, position: PositionSpec) -> None:
    options = work.variant.options
    entries = [
        e
        for e in position.entries
        if not e.alternate and in_force(e.start, e.end, work.on) and e.terms.applies(options)
    ]
    runs = [run for run in position.hose_runs if run.terms.applies(options)]
    count = len(entries) + len(runs)
    name = f"Position {position.number} {position.name}"
    if count == 0 and position.rule == "exactly one":
        sentence = f"{name} is empty: no entry applies to {work.variant.name}."
        work.find("position-gap", "blocks", f"position:{position.number}", sentence)
    if count > 1 and position.rule != "any":
        sentence = f"{name} has {count} entries for {work.variant.name}; it takes one."
        work.find("position-overlap", "blocks", f"position:{position.number}", sentence)
    for entry in entries:
        _fill_entry(work, position, entry)
    for run in runs:
        _fill_hose(work, position, run)


def _fill_entry(work: _Resolving, position: PositionSpec, entry: EntrySpec) -> None:
    work.items.append(work.item(position, entry.part, entry.quantity, entry.terms.text()))
    work.add_ports(position.number, entry.part)
    for c in position.circuits:
        work.wires.append(
            Wire(
                position.number,
                c.number,
                f"{c.from_connector}/{c.from_cavity}",
                f"{c.to_connector}/{c.to_cavity}",
                c.colour,
                c.section_mm2,
                c.length_mm,
                c.terminal,
                c.seal,
                c.fuse_a,
                c.current_a,
            )
        )


def _fill_hose(work: _Resolving, position: PositionSpec, run: HoseRunSpec) -> None:
    _, hose_revision = work.part(run.hose)
    ends = []
    for number, port in ((run.end_a, "A"), (run.end_b, "B")):
        part, revision = work.part(number)
        adds = revision.data.get("adds_mm")
        ends.append(HoseEnd(number, part.name, float(revision.data.get("angle_deg") or 0), adds))
        if revision.ports:
            work.ports.setdefault(position.number, {})[port] = revision.ports[0]
        if adds is None:
            sentence = f"{part.name} ({number}) does not say what it adds to the length."
            work.find("hose-end-length", "blocks", f"part:{number}", sentence)
        family, wall = revision.data.get("ferrule_family"), hose_revision.data.get("wall_family")
        if family and wall and family != wall:
            sentence = f"The ferrule of {number} is for {family} hose; {run.hose} is {wall}."
            work.find("hose-ferrule", "blocks", f"position:{position.number}", sentence)
    measured = work.lengths.get(run.route)
    cut = None
    if measured is None:
        sentence = f"Route {run.route} has no length for {work.variant.name}: the hose can't be cut."
        work.find("length-missing", "blocks", f"length:{run.route}", sentence)
    elif ends[0].adds_mm is not None and ends[1].adds_mm is not None:
        try:
            cut = cut_length(
                measured.value,
                run.slack_share,
                run.slack_min_mm,
                run.rock_mm,
                ends[0].adds_mm,
                ends[1].adds_mm,
            )
        except ValueError as error:
            work.find("length-impossible", "blocks", f"length:{run.route}", f"Route {run.route}: {error}")
    if measured is not None:
        work.origins[f"length.{run.route}"] = measured.origin
    work.hoses.append(
        Hose(
            position.number,
            position.name,
            run.tag,
            run.route,
            run.hose,
            str(hose_revision.data.get("size", "")),
            hose_revision.data.get("bore_mm"),
            ends[0],
            ends[1],
            run.clocking_deg,
            measured.value if measured else None,
            measured.origin if measured else None,
            cut.slack_mm if cut else None,
            cut.cut_mm if cut else None,
            cut.tolerance_mm if cut else None,
            run.sleeve,
            run.service_port,
            run.crimp_place,
        )
    )
    metres = Decimal(cut.cut_mm) / 1000 if cut else Decimal(0)
    content = [(run.hose, metres), (run.end_a, Decimal(1)), (run.end_b, Decimal(1))]
    for number, quantity in content if cut else content[1:]:
        work.items.append(work.item(position, number, quantity, run.terms.text()))


def _joints(work: _Resolving) -> tuple[Joint, ...]:
    made, links = [], []
    for spec in work.kit.spec.joints:
        a = work.ports.get(spec.position_a, {}).get(spec.port_a)
        b = work.ports.get(spec.position_b, {}).get(spec.port_b)
        if a is None or b is None:
            _lost_port(work, spec.code, spec.position_a, spec.port_a, a)
            _lost_port(work, spec.code, spec.position_b, spec.port_b, b)
            continue
        if why := mismatch(a, b):
            work.find(
                "joint-mismatch", "blocks", f"joint:{spec.code}", f"Joint {spec.code} does not mate: {why}."
            )
        o_ring, low, high, source = needs(a, b)
        names = [work.kit.positions[n].name for n in (spec.position_a, spec.position_b)]
        made.append(
            Joint(
                spec.code,
                f"{names[0]} {spec.port_a}",
                f"{names[1]} {spec.port_b}",
                spec.position_a,
                spec.position_b,
                a.size,
                o_ring,
                low,
                high,
                source,
            )
        )
        links.append((spec.position_a, spec.port_a, spec.position_b, spec.port_b))
    wetted = {
        position: [code for code, port in ports.items() if port.role in WETTED_ROLES]
        for position, ports in work.ports.items()
    }
    broken = loop_break({position: codes for position, codes in wetted.items() if codes}, links)
    if broken:
        names = [f"{n} {work.kit.positions[n].name}" for n in broken]
        sentence = f"The refrigerant circuit is not one closed loop at: {', '.join(names)}."
        work.find("circuit-open", "blocks", f"position:{broken[0]}", sentence)
    return tuple(made)


def _lost_port(work: _Resolving, code: str, position: int, port: str, found: PortSpec | None) -> None:
    filled = any(item.position == position for item in work.items)
    if found is None and filled:
        sentence = (
            f"Joint {code} needs port {port} at position {position}, which the part there does not have."
        )
        work.find("joint-port", "blocks", f"joint:{code}", sentence)
