"""The ports a kit has in one car and the joints made of them."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from kits.bom.catalogue import JointSpec, PortSpec, PositionSpec
from kits.bom.joints import WETTED_ROLES, eats, family, mismatch, needs
from kits.bom.mending import row
from kits.bom.resolved import Finding, Joint

HOSE = "hose"
Node = tuple[int, str]
"""position number and part number: a part in its place"""


@dataclass(frozen=True)
class HeldPort:
    """A port with the part that has it and the position where that part is. A hose's ends are "A" and "B"."""

    position: int
    part: str
    kind: str
    code: str
    port: PortSpec
    run: int = 0
    """the number of the hose run, of a hose"""

    @property
    def node(self) -> Node:
        """The part in its place."""
        return self.position, self.part

    @property
    def is_wetted(self) -> bool:
        """Whether refrigerant passes: a service port is a branch of its part, not a passage."""
        return self.port.role in WETTED_ROLES


@dataclass(frozen=True)
class Link:
    """Two ports that a joint brings together; an end on the car has no port of ours."""

    spec: JointSpec
    a: HeldPort | None
    b: HeldPort | None

    @property
    def held(self) -> tuple[HeldPort, ...]:
        """The ends that are ours."""
        return tuple(end for end in (self.a, self.b) if end is not None)


def ports_by_code(ports: Sequence[HeldPort]) -> dict[tuple[int, str], HeldPort]:
    """The ports by position and code; of two with one code the first."""
    found: dict[tuple[int, str], HeldPort] = {}
    for held in ports:
        found.setdefault((held.position, held.code), held)
    return found


def links(
    specs: Sequence[JointSpec],
    ports: Sequence[HeldPort],
    positions: Mapping[int, PositionSpec],
    filled: frozenset[int],
) -> tuple[list[Link], list[Finding]]:
    """The joints that can be made in this car, and those whose port is not there although the position is filled.

    A joint to a position that is empty in this car is none of this car's joints.
    """
    by_code = ports_by_code(ports)
    made, lost = [], []
    for spec in specs:
        ends = [(spec.position_a, spec.port_a), (spec.position_b, spec.port_b)]
        found = [by_code.get(end) for end in ends]
        on_car = [positions[number].is_on_car for number, _ in ends]
        if all(held or car for held, car in zip(found, on_car, strict=True)) and any(found):
            made.append(Link(spec, found[0], found[1]))
        elif all(number in filled or car for (number, _), car in zip(ends, on_car, strict=True)):
            lost += [
                _lost(spec, *end)
                for end, held, car in zip(ends, found, on_car, strict=True)
                if not held and not car
            ]
    return made, lost


def _lost(spec: JointSpec, position: int, port: str) -> Finding:
    sentence = (
        f"Joint {spec.code} needs port {port} at position {position}, which the part there does not have."
    )
    side = "port_a" if (position, port) == (spec.position_a, spec.port_a) else "port_b"
    return Finding("joint-port", "blocks", f"joint:{spec.code}", sentence, row("Joints", side, spec.code))


def torn_off(
    specs: Sequence[JointSpec], ports: Sequence[HeldPort], gapped: frozenset[int]
) -> tuple[HeldPort, ...]:
    """The ports whose joint leads to a position that must be filled and is empty."""
    by_code = ports_by_code(ports)
    ends = [
        (near, far[0])
        for s in specs
        for near, far in (
            ((s.position_a, s.port_a), (s.position_b, s.port_b)),
            ((s.position_b, s.port_b), (s.position_a, s.port_a)),
        )
    ]
    return tuple(by_code[near] for near, far in ends if far in gapped and near in by_code)


def joint_of(
    link: Link, positions: Mapping[int, PositionSpec], refrigerant: str, clips: Mapping[int, str]
) -> Joint:
    """The joint with its ring and torque. A joint to the car takes what our end asks for.

    clips  the kind of the clips at a position
    """
    first, second = link.held[0].port, link.held[-1].port
    spec = link.spec
    need = needs(first, second, refrigerant, clips.get(spec.clip_position or 0, ""))
    return Joint(
        code=spec.code,
        a=f"{positions[spec.position_a].name} {spec.port_a}",
        b=f"{positions[spec.position_b].name} {spec.port_b}",
        position_a=spec.position_a,
        position_b=spec.position_b,
        size=first.size,
        o_ring=need.o_ring,
        torque_low_nm=need.torque_low_nm,
        torque_high_nm=need.torque_high_nm,
        source=need.source,
        form=first.form,
        by=need.by,
        family=family(first.role),
        o_ring_size=need.o_ring_size,
        clip_position=spec.clip_position,
    )


def mating(made: Sequence[Link]) -> Iterator[Finding]:
    """Joints whose ports don't mate, and metals that don't like each other."""
    for link in made:
        if link.a is None or link.b is None:
            continue
        where, name = f"joint:{link.spec.code}", f"Joint {link.spec.code}"
        if why := mismatch(link.a.port, link.b.port):
            mend = row("Joints", "port_b", link.spec.code)
            yield Finding("joint-mismatch", "blocks", where, f"{name} does not mate: {why}.", mend)
        elif metals := eats(link.a.port, link.b.port):
            sentence = f"{name} brings {metals} together: it corrodes where it is wet; take other fittings."
            yield Finding("joint-material", "notes", where, sentence, row("Joints", "port_b", link.spec.code))
