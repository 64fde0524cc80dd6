"""Whether the refrigerant circuit is one closed loop in the right order, and what else a circuit needs."""

from collections.abc import Collection, Iterator, Mapping, Sequence

from kits.bom.catalogue import PartSpec, PositionSpec
from kits.bom.circuit import HeldPort, Link, Node
from kits.bom.joints import SERVICE_SIDES, SUCTION, family, loop_break
from kits.bom.mending import Mend, new_row, row
from kits.bom.resolved import Finding, Severity

ORDER = ("compressor", "condenser", "receiver-drier", "expansion valve", "evaporator")
MUST_HAVE = {
    **dict.fromkeys((*ORDER, "pressure switch"), "refrigerant"),
    "heater matrix": "water",
    "water valve": "water",
    "duct": "air",
    "vent": "air",
}
PLUGGED = ("condenser fan", "blower", "pressure switch")
JOINED = ("water", "air", "drain")


def circuit_findings(
    ports: Sequence[HeldPort],
    made: Sequence[Link],
    positions: Mapping[int, PositionSpec],
    torn: Collection[HeldPort],
) -> Iterator[Finding]:
    """Closed loop, order of the flow, service ports, and ports of water, air and drain that lead nowhere.

    torn: ports whose joint leads to a position that must be filled and is empty; that gap is told already, and
    what follows from it is not told again.
    """
    wetted = _wetted(ports)
    pairs = [
        (link.a.node, link.a.code, link.b.node, link.b.code)
        for link in made
        if link.a and link.b and link.a.is_wetted and link.b.is_wetted
    ]
    if wetted and not any(held.is_wetted for held in torn):
        if broken := loop_break(wetted, pairs):
            yield _open(broken, wetted, pairs, positions)
        else:
            yield from _order(ports, made, positions)
        yield from _service(ports, positions)
    yield from _ambiguous(ports, positions)
    yield from _unjoined(ports, made, positions, torn)


def _wetted(ports: Sequence[HeldPort]) -> dict[Node, list[str]]:
    wetted: dict[Node, list[str]] = {}
    for held in ports:
        if held.is_wetted:
            wetted.setdefault(held.node, []).append(held.code)
    return wetted


def _open(
    broken: Sequence[Node],
    wetted: Mapping[Node, Sequence[str]],
    pairs: Sequence[tuple[Node, str, Node, str]],
    positions: Mapping[int, PositionSpec],
) -> Finding:
    used = [end for a, port_a, b, port_b in pairs for end in ((a, port_a), (b, port_b))]
    said = []
    for node in broken:
        name = f"{node[0]} {positions[node[0]].name}"
        free = [port for port in wetted[node] if (node, port) not in used]
        twice = [port for port in wetted[node] if used.count((node, port)) > 1]
        why = [f"{', '.join(free)} open"] * bool(free) + [f"{', '.join(twice)} joined twice"] * bool(twice)
        said.append(f"{name} ({'; '.join(why) or 'hangs apart'})")
    sentence = f"The refrigerant circuit is not one closed loop at: {', '.join(said)}."
    return Finding(
        "circuit-open", "blocks", f"position:{broken[0][0]}", sentence, _joined(broken, wetted, used)
    )


def _joined(
    broken: Sequence[Node], wetted: Mapping[Node, Sequence[str]], used: Sequence[tuple[Node, str]]
) -> Mend | None:
    """The joint that is missing at the first open port, if one is open."""
    free = [(node[0], port) for node in broken for port in wetted[node] if (node, port) not in used]
    if not free:
        return None
    return new_row("Joints", "position_b", position_a=free[0][0], port_a=free[0][1])


def _order(
    ports: Sequence[HeldPort], made: Sequence[Link], positions: Mapping[int, PositionSpec]
) -> Iterator[Finding]:
    start = next((h for h in ports if h.kind == "compressor" and h.port.role == "discharge"), None)
    if start is None:
        sentence = "The refrigerant circuit has no compressor with a discharge port."
        yield Finding("circuit-order", "blocks", "kit", sentence)
        return
    told = set()
    for path in _paths(start, ports, made):
        passed = list({held.node: held for held in path if held.kind in ORDER}.values())
        kinds = tuple(held.kind for held in passed)
        if kinds == ORDER or kinds in told:
            continue
        told.add(kinds)
        k = next((k for k, kind in enumerate(kinds) if kind != ORDER[min(k, len(ORDER) - 1)]), len(kinds) - 1)
        sentence = (
            f"The refrigerant runs {' → '.join(kinds)} and back; it must run {' → '.join(ORDER)}:"
            f" look at {positions[passed[k].position].name}."
        )
        yield Finding("circuit-order", "blocks", f"position:{passed[k].position}", sentence)


def _paths(start: HeldPort, ports: Sequence[HeldPort], made: Sequence[Link]) -> Iterator[list[HeldPort]]:
    """Every way from the compressor's discharge back to it, as the ports by which each part is left.

    Inside a part the flow keeps its role where it can: a block valve is passed twice, once as liquid and once as
    suction gas; a condenser has no second discharge port, so there the role changes.
    """
    across = {}
    for link in made:
        if link.a and link.b:
            across[link.a] = link.b
            across[link.b] = link.a
    stack = [[start]]
    while stack:
        path = stack.pop()
        entered = across.get(path[-1])
        if entered is None or any(entered in (held, across.get(held)) for held in path[:-1]):
            continue
        if entered.node == start.node:
            yield path
            continue
        others = [p for p in ports if p.node == entered.node and p.is_wetted and p != entered]
        same = [p for p in others if p.port.role == entered.port.role]
        stack += [[*path, held] for held in same or others]


def _service(ports: Sequence[HeldPort], positions: Mapping[int, PositionSpec]) -> Iterator[Finding]:
    sides: dict[str, list[HeldPort]] = {"high": [], "low": []}
    for held in ports:
        if held.port.role in SERVICE_SIDES:
            sides[SERVICE_SIDES[held.port.role]].append(held)
    for side, found in sides.items():
        if not found:
            sentence = f"The {side} side has no service port: the car could not be tested or charged there."
            hoses = [
                h
                for h in ports
                if h.run and h.is_wetted and side == ("low" if h.port.role == SUCTION else "high")
            ]
            mend = row("Hose runs", "end_a", hoses[0].position, hoses[0].run) if hoses else None
            yield Finding("service-port-missing", "blocks", "kit", sentence, mend)
        for held in found[1:]:
            sentence = (
                f"The {side} side has a second service port, at position {held.position}"
                f" {positions[held.position].name}: one is enough, each more is a leak to come."
            )
            yield Finding("service-port-twice", "warns", f"position:{held.position}", sentence)


def _ambiguous(ports: Sequence[HeldPort], positions: Mapping[int, PositionSpec]) -> Iterator[Finding]:
    seen: dict[tuple[int, str], HeldPort] = {}
    for held in ports:
        first = seen.setdefault((held.position, held.code), held)
        if first is not held and family(held.port.role) in ("refrigerant", *JOINED):
            sentence = (
                f"Two parts at position {held.position} {positions[held.position].name} have a port"
                f" {held.code} ({first.part} and {held.part}): a joint can't tell them apart."
            )
            yield Finding("port-twice", "warns", f"position:{held.position}", sentence)


def _unjoined(
    ports: Sequence[HeldPort],
    made: Sequence[Link],
    positions: Mapping[int, PositionSpec],
    torn: Collection[HeldPort],
) -> Iterator[Finding]:
    used = {(held.position, held.code) for held in (*torn, *(h for link in made for h in link.held))}
    free: dict[int, list[str]] = {}
    for held in ports:
        if family(held.port.role) in JOINED and (held.position, held.code) not in used:
            free.setdefault(held.position, []).append(f"{held.code} ({held.port.role})")
    for position, codes in free.items():
        sentence = (
            f"Position {position} {positions[position].name} has ports that no joint takes:"
            f" {', '.join(codes)}. Join them, to the car where they lead there."
        )
        mend = new_row("Joints", "position_b", position_a=position, port_a=codes[0].partition(" (")[0])
        yield Finding("port-unjoined", "warns", f"position:{position}", sentence, mend)


def port_findings(parts: Sequence[PartSpec], ports: Sequence[HeldPort]) -> Iterator[Finding]:
    """Parts that carry refrigerant, water or air but have no port for it, and electrical parts without a plug."""
    have: dict[str, set[str]] = {}
    for held in ports:
        have.setdefault(held.part, set()).add(family(held.port.role))
    for part in parts:
        flows = have.get(part.number, set())
        must = MUST_HAVE.get(part.kind)
        if must and must not in flows:
            sentence = f"{part.name} ({part.number}) has no {must} port: nothing can be joined to it."
            severity: Severity = "blocks" if must == "refrigerant" else "warns"
            mend = new_row("Ports", "code", part_number=part.number)
            yield Finding("part-no-ports", severity, f"part:{part.number}", sentence, mend)
        if part.kind in PLUGGED and "electrical" not in flows:
            sentence = f"{part.name} ({part.number}) has no electrical port: its plug is not known."
            mend = new_row("Ports", "code", part_number=part.number, role="electrical")
            yield Finding("part-no-plug", "notes", f"part:{part.number}", sentence, mend)


def upright_findings(parts: Sequence[PartSpec], upright: Mapping[str, object]) -> Iterator[Finding]:
    """Receiver-driers that don't stand upright: only then does liquid alone leave them."""
    for part in parts:
        if part.kind == "receiver-drier" and upright.get(part.number) is False:
            sentence = f"{part.name} ({part.number}) is not upright: gas would leave it with the liquid."
            yield Finding(
                "drier-lying", "warns", f"part:{part.number}", sentence, row("Driers", "upright", part.number)
            )
