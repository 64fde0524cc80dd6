"""What a topic is worked out from."""

from collections.abc import Callable, Iterable
from dataclasses import KW_ONLY, dataclass, replace

from kits.bom.resolved import Finding, ResolvedKit, explode
from kits.bom.roles import BLOWER, REAR_BLOWER
from kits.sizing.case.case import Case
from kits.sizing.case.coil_zones import Shares, shared_out
from kits.sizing.case.plant import RearCoil
from kits.sizing.case.plant_reader import all_of
from kits.sizing.gas.plateau import Trial
from kits.sizing.verdict.coil_answers import PLACES, of_coil
from kits.sizing.verdict.record import SizingRecord
from kits.topics.figure import Topic

WRAP = "insulation"


@dataclass(frozen=True)
class Context:
    """A fitment: the kit resolved for its car, what was sized, the answer, and fillings in steps, the newest first.

    zone     of the one of two coils that is told; empty where the whole is told, or there is one
    is_rear  whether that is the rear one: what belongs to the car and to both is told with the front one
    both     the case of both coils where one of them is told: what the car's supply sees
    """

    kit: ResolvedKit
    case: Case
    record: SizingRecord
    trials: tuple[Trial, ...] = ()
    _: KW_ONLY
    zone: str = ""
    is_rear: bool = False
    both: Case | None = None

    @property
    def whole(self) -> Case:
        """The case with all its coils, also where one of them is told."""
        return self.case if self.both is None else self.both

    @property
    def place(self) -> str:
        """Whether the coil that is told is the front or the rear one."""
        return PLACES[1] if self.is_rear else PLACES[0]

    @property
    def coil(self) -> str:
        """Which of two coils is told, such as "Front coil (dash)"; empty where there is one."""
        return f"{self.place.capitalize()} coil ({self.zone})" if self.zone else ""

    @property
    def blower(self) -> str:
        """What a circuit leads to that feeds the blower of the coil that is told."""
        return REAR_BLOWER if self.is_rear else BLOWER

    def vent_parts(self) -> dict[str, str]:
        """Part number of each vent by its code, of the one coil that is told."""
        numbers = [number for number, _ in all_of(self.kit, "vent")]
        return {o.code: n for o, n in zip(self.case.unit.air_path.outlets, numbers, strict=True)}

    def of_coils(self) -> tuple["Context", ...]:
        """The same for each coil alone, the front one first: its parts, its air side, its answers; itself with one."""
        if self.case.heats_only:
            return (self,)
        rear, shares = self.case.plant.rear, shared_out(self.kit)[0]
        if rear is None or shares is None or shares.rear is None:
            return (self,)
        kits = tuple(_kit_of(self.kit, shares, PLACES[k]) for k in range(len(PLACES)))
        cases = (replace(self.case, unit=replace(self.case.plant, rear=None)), _rear_case(self.case, rear))
        zones = (shares.front_zone, shares.rear_zone)
        return tuple(
            replace(
                self,
                kit=kits[k],
                case=cases[k],
                record=replace(self.record, duties=tuple(of_coil(a, k) for a in self.record.duties)),
                zone=zones[k],
                is_rear=k > 0,
                both=self.case,
            )
            for k in range(len(kits))
        )


def _kit_of(kit: ResolvedKit, shares: Shares, place: str) -> ResolvedKit:
    """What of a kit serves one coil: its parts, hoses and insulation, and all that stands in neither coil's zone.

    The hose from the junction on is told with the front coil.
    """
    zone, other = shares.front_zone, shares.rear_zone
    part, own, common = shares.front, shares.front_hose, shares.front.hoses
    if place == PLACES[1]:
        zone, other = other, zone
        part, own, common = shares.rear or part, shares.rear_hose, ()
    items = tuple(item for item in kit.items if item.zone != other)
    told = replace(kit, items=items, hoses=(*(() if own is None else (own,)), *common))
    zone_of = {row.item.part: row.item.zone for row in explode(told)}
    wraps = {k: held for k, held in kit.plant.items() if k.partition("/")[0] == WRAP and held.part in zone_of}
    # what stands in the coil's own zone is looked for first
    ordered = sorted(wraps, key=lambda k: zone_of[wraps[k].part] != zone)
    rest = {k: held for k, held in part.plant.items() if k.partition("/")[0] != WRAP}
    return replace(told, plant={**rest, **{k: wraps[k] for k in ordered}})


def _rear_case(case: Case, rear: RearCoil) -> Case:
    """The case with the rear coil in the front one's place; no trial measures its air."""
    volts = case.mounting.blower_voltage_v
    volts = None if volts is None else volts - (rear.circuit_loses_more_v or 0.0)
    plant = replace(
        case.plant,
        evaporator=rear.evaporator,
        air_path=rear.air_path,
        blower_steps=rear.blower_steps,
        blower_currents=rear.blower_currents,
        rear=None,
    )
    mounting = replace(case.mounting, blower_voltage_v=volts, air_trial=None, air_trial_origin="")
    return replace(case, unit=plant, mounting=mounting)


Worker = Callable[[Context], Topic | None]
"""Works out one topic; None where it does not apply to the fitment."""
Remarks = Callable[[Context], Iterable[Finding]]
"""What a calculation finds to be mended or known; it makes no figure, table or picture."""
