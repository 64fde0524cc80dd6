"""Which circuits of a harness feed the blowers of two coils, and what one loses more than the other."""

from collections.abc import Sequence

from kits.bom.resolved import Wire
from kits.bom.roles import BLOWER, REAR_BLOWER
from kits.sizing.case.wire_paths import circuits, device
from kits.sizing.electrics.electrics import voltage_drop_v


def circuit_loses_more_v(wires: Sequence[Wire]) -> float | None:
    """What the rear blower's circuit loses more than the front one's, with everything on and the wires warm.

    Formula: Σ I·R(T) over the rear circuit's wires − the same over the front one's; what both share cancels out.
    Parameters: wires of the harness.
    Returns: V, negative where the rear one loses less; None where a circuit is not told, or a wire's loss isn't known.
    Validity: currents as the wires state them, at full speed.
    Source: Ohm's law.
    Check: equal circuits lose the same; a longer wire of the rear one loses what that length does.
    """
    front, rear = (_loss_v(wires, blower) for blower in (BLOWER, REAR_BLOWER))
    return None if front is None or rear is None else rear - front


def _loss_v(wires: Sequence[Wire], blower: str) -> float | None:
    inner = [w for w in wires if device(w.start) != device(w.end)]
    found = [c for c in circuits(inner) if c.leads_to == blower]
    if len(found) != 1:
        return None
    lost = 0.0
    for wire in found[0].wires:
        if wire.current_a is None or wire.length_mm is None:
            return None
        try:
            lost += float(voltage_drop_v(wire.current_a, wire.section_mm2, wire.length_mm / 1000))
        except ValueError:
            return None
    return lost
