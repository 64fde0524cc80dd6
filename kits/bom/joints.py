"""What a joint needs (O-ring, torque), whether its ports mate, and whether the circuit is one closed loop."""

import json
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

from kits.bom.catalogue import PortSpec

WETTED_ROLES = ("suction", "discharge", "liquid")


@cache
def table() -> Mapping[str, Any]:
    """Torque and O-ring by size, with the source."""
    text = (Path(__file__).parent / "data" / "joints.json").read_text(encoding="utf-8")
    loaded: Mapping[str, Any] = json.loads(text)
    return loaded


def needs(a: PortSpec, b: PortSpec) -> tuple[str, float | None, float | None, str]:
    """O-ring, torque low and high in N·m and the source, for an O-ring thread of two ports.

    Steel on both sides takes the table's factor; a form without a table gives no torque, never a guess.
    """
    if a.form != "O-ring thread" or a.size not in table()["o_ring_thread"]:
        return "", None, None, ""
    row = table()["o_ring_thread"][a.size]
    factor = table()["steel_factor"] if {a.material, b.material} == {"steel"} else 1.0
    return row["o_ring"], row["torque_low_nm"] * factor, row["torque_high_nm"] * factor, table()["source"]


def mismatch(a: PortSpec, b: PortSpec) -> str:
    """Why two ports don't mate, or an empty text."""
    if a.form != b.form:
        return f"a {a.form} does not mate with a {b.form}"
    if a.size != b.size:
        return f"{a.size} does not mate with {b.size}"
    if a.gender != "none" and a.gender == b.gender:
        return f"both ends are {a.gender}"
    if a.role != b.role and {a.role, b.role} <= set(WETTED_ROLES):
        return f"the {a.role} side meets the {b.role} side"
    return ""


def loop_break(wetted: Mapping[int, Sequence[str]], joints: Sequence[tuple[int, str, int, str]]) -> list[int]:
    """Positions of refrigerant parts that stand outside the one closed loop; empty when it is closed.

    wetted: position -> codes of its refrigerant ports; joints: (position, port, position, port).
    Each refrigerant port must be joined once, and all parts must hang together.
    """
    degree = {position: dict.fromkeys(codes, 0) for position, codes in wetted.items()}
    near: dict[int, set[int]] = {position: set() for position in wetted}
    for a, port_a, b, port_b in joints:
        for position, port in ((a, port_a), (b, port_b)):
            if port in degree.get(position, {}):
                degree[position][port] += 1
        if a in near and b in near:
            near[a].add(b)
            near[b].add(a)
    bad = {position for position, ports in degree.items() if any(count != 1 for count in ports.values())}
    if not wetted:
        return []
    seen, queue = set(), [min(wetted)]
    while queue:
        position = queue.pop()
        if position not in seen:
            seen.add(position)
            queue.extend(near[position])
    return sorted(bad | (set(wetted) - seen))
