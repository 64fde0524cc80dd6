"""Which parts of a kit with two evaporators belong to which coil: told by the zones of their positions.

An evaporator and the blower, filter, heater matrix, ducts and vents of the same zone belong together, and so does an
expansion valve in the rear coil's zone. The front coil is the one that stands first in the parts list. Of the suction
hoses the one in the rear coil's zone leads from it to the junction, one in the front coil's zone from that one to the
junction, and the one that is left goes on to the compressor. Where the zones do not tell, what to enter is told and
nothing is guessed.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from kits.bom.joints import SUCTION
from kits.bom.resolved import ExplodedRow, Hose, PlantPart, ResolvedKit, explode
from kits.sizing.words.gap import Gap

COIL = "evaporator"
OF_A_COIL = (COIL, "blower", "filter", "heater matrix", "duct", "vent")
"""Kinds that the sizing needs to know the coil of."""
BESIDE = "expansion valve"


@dataclass(frozen=True)
class Shares:
    """The kit as the front coil sees it, and what only the rear coil has; rear is None with one coil.

    front  the kit without the rear coil's parts and without the hoses from the coils to the junction
    rear   the rear coil's parts alone
    """

    front: ResolvedKit
    rear: ResolvedKit | None = None
    front_zone: str = ""
    rear_zone: str = ""
    rear_hose: Hose | None = None
    front_hose: Hose | None = None


def shared_out(kit: ResolvedKit) -> tuple[Shares | None, tuple[Gap, ...]]:
    """The shares of both coils, or None with what stands against telling them apart."""
    kinds = {held.part: key.partition("/")[0] for key, held in kit.plant.items()}
    numbers = {number for number, kind in kinds.items() if kind == COIL}
    if len(numbers) < 2 and sum(held.quantity for held in kit.plant.values() if kinds[held.part] == COIL) < 2:
        return Shares(kit), ()
    rows = explode(kit)
    coils = [row.item for row in rows if row.item.part in numbers for _ in range(int(row.quantity))]
    zones = tuple(dict.fromkeys(item.zone for item in coils))
    if gap := _not_told(kit, len(coils), zones):
        return None, (gap,)
    strangers = [row for row in rows if kinds.get(row.item.part) in OF_A_COIL and row.item.zone not in zones]
    gaps = [_stranger(row, kinds[row.item.part], zones) for row in strangers]
    hoses, hose_gap = _suction_hoses(kit, zones)
    gaps += [hose_gap] if hose_gap else []
    if kit.settings.get("freeze_mode") not in (None, "cycling"):
        sentence = (
            "With two evaporators only a freeze control that cycles is sized: enter “cycling” where it does."
        )
        gaps.append(Gap("kit.freeze_mode", "kit", sentence))
    if gaps:
        return None, tuple(dict.fromkeys(gaps))
    front_zone, rear_zone = zones
    rear_hose, front_hose = hoses
    front, rear = (_plant_in(kit, rows, kinds, zone) for zone in zones)
    rear_valves = {held.part for key, held in rear.items() if key.partition("/")[0] == BESIDE}
    common = {
        key: held
        for key, held in kit.plant.items()
        if kinds[held.part] not in OF_A_COIL and held.part not in rear_valves
    }
    own = [hose for hose in hoses if hose is not None]
    return Shares(
        replace(kit, plant=common | front, hoses=tuple(h for h in kit.hoses if h not in own)),
        replace(kit, plant=rear, hoses=()),
        front_zone,
        rear_zone,
        rear_hose,
        front_hose,
    ), ()


def _not_told(kit: ResolvedKit, count: int, zones: Sequence[str]) -> Gap | None:
    if count > 2:
        sentence = f"{kit.variant_name} gets {count} evaporators: a kit with more than two is not sized."
        return Gap("plant.evaporator", "kit", sentence)
    if len(zones) != 2:
        sentence = (
            f"{kit.variant_name} gets two evaporators, both in zone “{''.join(zones[:1])}”: give the positions of "
            "each coil, with its blower, ducts and vents, a zone of its own."
        )
        return Gap("plant.evaporator", "kit", sentence)
    return None


def _stranger(row: ExplodedRow, kind: str, zones: Sequence[str]) -> Gap:
    item = row.item
    sentence = (
        f"With two evaporators it is not told which one the {kind} {item.part} serves: give position {item.position} "
        f"the zone of its coil, “{zones[0]}” or “{zones[1]}”, instead of “{item.zone}”."
    )
    return Gap(f"position.{item.position}.zone", f"position:{item.position}", sentence)


def _suction_hoses(
    kit: ResolvedKit, zones: Sequence[str]
) -> tuple[tuple[Hose | None, Hose | None], Gap | None]:
    """The rear coil's suction hose to the junction and the front one's, if it has one; or what is not told."""
    zone_of = {item.position: item.zone for item in kit.items}
    suction = [hose for hose in kit.hoses if hose.side == SUCTION]
    rear = [hose for hose in suction if zone_of.get(hose.position) == zones[1]]
    others = [hose for hose in suction if hose not in rear]
    front = [hose for hose in others if zone_of.get(hose.position) == zones[0]] if len(others) > 1 else []
    if len(rear) == 1 and len(others) - len(front) == 1 and len(front) < 2:
        return (rear[0], front[0] if front else None), None
    sentence = (
        f"With two evaporators the suction hoses are told apart by zone: one in “{zones[1]}” from the rear coil to "
        f"the junction, one elsewhere on to the compressor, and at most one in “{zones[0]}” from the front coil to "
        f"the junction. {kit.variant_name} gets {len(rear)} in “{zones[1]}” and {len(others)} elsewhere."
    )
    return (None, None), Gap("hose.suction", "kit", sentence)


def _plant_in(
    kit: ResolvedKit, rows: Sequence[ExplodedRow], kinds: Mapping[str, str], zone: str
) -> dict[str, PlantPart]:
    """The parts of a coil's own kinds in a zone, as often as the car gets them there, in their order."""
    data = {held.part: held for held in kit.plant.values()}
    found: dict[str, PlantPart] = {}
    for row in rows:
        number = row.item.part
        kind = kinds.get(number)
        if row.item.zone != zone or kind not in (*OF_A_COIL, BESIDE):
            continue
        key = kind if kind not in found or found[kind].part == number else f"{kind}/{number}"
        times = row.quantity + (found[key].quantity if key in found else 0)
        found[key] = replace(data[number], quantity=times)
    return found
