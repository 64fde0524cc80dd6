"""What a joint needs (O-ring, torque), whether its ports mate, and whether the circuit is one closed loop."""

import json
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

from kits.bom.catalogue import PortSpec

SUCTION, DISCHARGE, LIQUID = WETTED_ROLES = ("suction", "discharge", "liquid")
SERVICE_SIDES = {"service high": "high", "service low": "low"}
"""Roles of service ports with the side of the circuit they are on."""
DRAIN_PORT = "drain"
FAMILIES = {
    **dict.fromkeys(SERVICE_SIDES, "service"),
    "suction": "refrigerant",
    "discharge": "refrigerant",
    "liquid": "refrigerant",
    "water in": "water",
    "water out": "water",
}
Node = TypeVar("Node", bound=Hashable)


@dataclass(frozen=True)
class Need:
    """What a joint takes: its ring by size and rubber, the torque, what is turned, and who says so."""

    o_ring_size: str = ""
    rubber: str = ""
    torque_low_nm: float | None = None
    torque_high_nm: float | None = None
    by: str = ""
    source: str = ""

    @property
    def o_ring(self) -> str:
        """The ring in words; empty when there is none."""
        return f"{self.o_ring_size} {self.rubber}".strip() if self.o_ring_size else ""


@cache
def table() -> Mapping[str, Any]:
    """Torque and O-ring by form and size, rubbers and materials, each with its source."""
    text = (Path(__file__).parent / "data" / "joints.json").read_text(encoding="utf-8")
    loaded: Mapping[str, Any] = json.loads(text)
    return loaded


def family(role: str) -> str:
    """What flows through a port of this role: refrigerant, water, air, drain, electrical, service."""
    return FAMILIES.get(role, role)


def rubbers(refrigerant: str) -> tuple[str, ...]:
    """The rubbers that bear the gas and its oil; empty when the table does not say."""
    return tuple(table()["rubber"]["by_gas"].get(refrigerant, ()))


def needs(a: PortSpec, b: PortSpec, refrigerant: str = "", clip: str = "") -> Need:
    """O-ring and torque for two ports of one form and size, from the table.

    A water hose on a stub takes what the kind of its ``clip`` takes. Steel on both sides takes the table's factor.
    A form or size without a row gives no torque, never a guess.
    """
    form = table()["form"].get(a.form)
    row = form and (form["sizes"].get(a.size) or form["sizes"].get("any"))
    if not row or a.form != b.form:
        return Need()
    if a.form == "beaded" and clip:
        closing = table()["clip"]["kinds"][clip]
        low, high, by = closing["torque_low_nm"], closing["torque_high_nm"], closing["by"]
        return Need("", "", low, high, by, table()["clip"]["source"])
    low, high = row["torque_low_nm"], row["torque_high_nm"]
    if low is not None and a.form == "O-ring thread" and {a.material, b.material} == {"steel"}:
        low, high = low * table()["steel_factor"], high * table()["steel_factor"]
    fits = rubbers(refrigerant)
    rubber = fits[0] if row["o_ring"] and fits else ""
    return Need(row["o_ring"], rubber, low, high, row["by"], form["source"])


def mismatch(a: PortSpec, b: PortSpec) -> str:
    """Why two ports don't mate, or an empty text."""
    if family(a.role) != family(b.role):
        return f"{_article(family(a.role))} port meets {_article(family(b.role))} port"
    if a.form != b.form:
        return f"{_article(a.form)} does not mate with {_article(b.form)}"
    if a.size != b.size:
        return f"{a.size} does not mate with {b.size}"
    if a.gender != "none" and a.gender == b.gender:
        return f"both ends are {a.gender}"
    if a.role != b.role and {a.role, b.role} <= set(WETTED_ROLES):
        return f"the {a.role} side meets the {b.role} side"
    return ""


def _article(word: str) -> str:
    return f"{'an' if word[0] in 'aeiouAEIOU' else 'a'} {word}"


def eats(a: PortSpec, b: PortSpec) -> str:
    """The pair of metals that corrode each other, or an empty text. Aluminium on steel is common and fine."""
    pairs = [set(pair) for pair in table()["apart"]["pairs"]]
    return " on ".join(sorted({a.material, b.material})) if {a.material, b.material} in pairs else ""


def loop_break(
    wetted: Mapping[Node, Sequence[str]], joints: Sequence[tuple[Node, str, Node, str]]
) -> list[Node]:
    """Nodes of the refrigerant circuit that stand outside the one closed loop; empty when it is closed.

    wetted: node -> codes of its refrigerant ports; joints: (node, port, node, port). The nodes come back in the
    order they were given. Each refrigerant port must be joined once, and all nodes must hang together.
    """
    degree = {node: dict.fromkeys(codes, 0) for node, codes in wetted.items()}
    near: dict[Node, set[Node]] = {node: set() for node in wetted}
    for a, port_a, b, port_b in joints:
        for node, port in ((a, port_a), (b, port_b)):
            if port in degree.get(node, {}):
                degree[node][port] += 1
        if a in near and b in near:
            near[a].add(b)
            near[b].add(a)
    if not wetted:
        return []
    bad = {node for node, ports in degree.items() if any(count != 1 for count in ports.values())}
    seen: set[Node] = set()
    queue = [next(iter(wetted))]
    while queue:
        node = queue.pop()
        if node not in seen:
            seen.add(node)
            queue.extend(near[node])
    return [node for node in wetted if node in bad or node not in seen]
