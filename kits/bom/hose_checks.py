"""Whether a hose can be made from its parts and laid on its route."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from kits.bom.catalogue import CRIMPED_AT_CAR, HoseRunSpec, PartSpec, PortSpec, PositionSpec, RevisionSpec
from kits.bom.joints import SERVICE_SIDES, WETTED_ROLES
from kits.bom.mending import new_row, row
from kits.bom.resolved import Crimp, Finding


@dataclass(frozen=True)
class EndParts:
    """An end of a hose: "A" or "B", its part and revision."""

    code: str
    part: PartSpec
    revision: RevisionSpec

    @property
    def mating(self) -> PortSpec | None:
        """The port that meets another part: not the tail in the hose, not a service port."""
        outer = [p for p in self.revision.ports if p.role in WETTED_ROLES and p.form != "hose tail"]
        return outer[0] if outer else None

    @property
    def service(self) -> tuple[PortSpec, ...]:
        """Its service ports."""
        return tuple(p for p in self.revision.ports if p.role in SERVICE_SIDES)


def side_of(ends: Sequence[EndParts]) -> str:
    """The refrigerant side that the ports of both ends are on; empty where they are on several, or on none."""
    sides = {end.mating.role if end.mating else "" for end in ends}
    return sides.pop() if len(sides) == 1 else ""


def crimp_of(end: EndParts, hose: RevisionSpec) -> Crimp | None:
    """How the end is crimped on the hose; None where nobody has recorded it."""
    for spec in end.revision.data.get("crimps", ()):
        if spec.wall_family.casefold() == str(hose.data.get("wall_family", "")).casefold():
            return Crimp(
                spec.ferrule, spec.die, spec.insertion_depth_mm, spec.low_mm, spec.high_mm, spec.origin
            )
    return None


def hose_findings(
    position: PositionSpec,
    run: HoseRunSpec,
    hose: RevisionSpec,
    ends: Sequence[EndParts],
    cut_out_bar_g: float | None,
) -> Iterator[Finding]:
    """Ends that fit in size and wall, crimps that the fitter makes, a barrier, bend, pressure, the service port."""
    where = f"hose:{position.number}/{run.number}"
    key = position.number, run.number
    name = f"Hose run {run.number} of position {position.number} {position.name}"
    size, wall = hose.data.get("size"), hose.data.get("wall_family")
    for end in ends:
        yield from _end(end)
        end_field = row("Hose runs", f"end_{end.code.lower()}", *key)
        end_size, ferrule = end.revision.data.get("size"), end.revision.data.get("ferrule_family")
        if size and end_size and size != end_size:
            sentence = (
                f"{name}: end {end.code} ({end.part.number}) is {end_size}, the hose {run.hose} is {size}."
            )
            yield Finding("hose-end-size", "blocks", where, sentence, end_field)
        if ferrule and wall and ferrule != wall:
            sentence = (
                f"{name}: the ferrule of end {end.code} ({end.part.number}) is for {ferrule} hose;"
                f" {run.hose} is {wall}."
            )
            yield Finding("hose-ferrule", "blocks", where, sentence, end_field)
        if end.code in CRIMPED_AT_CAR.get(run.crimp_place, "") and crimp_of(end, hose) is None:
            sentence = (
                f"{name}: end {end.code} ({end.part.number}) is crimped at the car, but ferrule, die, depth and"
                f" diameter on {wall or 'its'} hose are not recorded."
            )
            mend = new_row(
                "Crimps", "die", part_number=end.part.number, part_revision=end.revision.revision,
                wall_family=wall or "",
            )  # fmt: skip
            yield Finding("crimp-missing", "blocks", where, sentence, mend)
    if hose.data.get("barrier") is False:
        sentence = f"{name}: {run.hose} is no barrier hose, refrigerant seeps through its wall."
        yield Finding("hose-barrier", "warns", where, sentence, row("Hose runs", "hose", *key))
    radius = hose.data.get("bend_radius_mm")
    if radius is not None and run.tightest_bend_mm is not None and run.tightest_bend_mm < radius:
        sentence = (
            f"{name}: route {run.route} bends to {run.tightest_bend_mm:g} mm,"
            f" the hose bears {radius:g} mm and kinks: lay it wider or take an angled end."
        )
        yield Finding("hose-bend", "blocks", where, sentence, row("Routes", "tightest_bend_mm", run.route))
    rated = hose.data.get("rated_pressure_bar_g")
    if rated is not None and cut_out_bar_g is not None and rated < cut_out_bar_g:
        sentence = (
            f"{name}: {run.hose} is rated for {rated:g} bar g, the plant may reach {cut_out_bar_g:g} bar g"
            " before it is cut out: take a stronger hose."
        )
        yield Finding("hose-pressure", "blocks", where, sentence, row("Hose runs", "hose", *key))
    sides = [end.mating.role for end in ends if end.mating]
    if len(sides) == len(ends) and not side_of(ends):
        sentence = (
            f"{name}: end A is for the {sides[0]} side and end B for the {sides[1]} side, so it is not told what the "
            "hose carries."
        )
        yield Finding("hose-sides", "blocks", where, sentence, row("Hose runs", "end_b", *key))
    stated, there = bool(run.service_port), any(end.service for end in ends)
    if stated != there:
        wrong = (
            "has an end with a service port, but names none",
            "names a service port, but neither end has one",
        )
        sentence = f"{name} {wrong[stated]}: the hose sheet would be wrong."
        yield Finding("hose-service-port", "warns", where, sentence, row("Hose runs", "service_port", *key))


def _end(end: EndParts) -> Iterator[Finding]:
    where, name = f"part:{end.part.number}", f"{end.part.name} ({end.part.number})"
    if end.revision.data.get("adds_mm") is None:
        sentence = f"{name} does not say what it adds to the length."
        yield Finding(
            "hose-end-length", "blocks", where, sentence, row("Hose ends", "adds_mm", end.part.number)
        )
    if end.mating is None:
        sentence = f"{name} has no refrigerant port: nothing can be joined to it."
        yield Finding(
            "part-no-ports", "blocks", where, sentence, new_row("Ports", "code", part_number=end.part.number)
        )
