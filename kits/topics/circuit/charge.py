"""The refrigerant charge of a fitment: what each zone holds, beside the charge that was recorded."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from kits.bom.mending import row
from kits.bom.resolved import Finding, Item, ResolvedKit
from kits.sizing.case.coil_zones import COIL, shared_out
from kits.sizing.gas.charge import (
    Densities,
    Inventory,
    Volumes,
    inventory_g,
    zone_densities,
)
from kits.sizing.gas.hoses import hose_volume_ml
from kits.sizing.gas.refrigerant import known_refrigerants, refrigerant
from kits.sizing.verdict.checks_gas import gas_of
from kits.sizing.verdict.coil_answers import PLACES
from kits.sizing.verdict.mends import MISSING_PART, of_part
from kits.sizing.verdict.record import DutyAnswer
from kits.sizing.words.defaults import default_value, defaults
from kits.topics.circuit.charge_recorded import compared, compared_figures, compared_remarks
from kits.topics.circuit.plateau import plateau_remarks, plateau_told
from kits.topics.context import Context
from kits.topics.figure import Figure, Input, Table, Topic, figure, given
from kits.topics.origins import of_kit
from vehicles.physics.arrays import FloatArray
from vehicles.physics.quantities import in_unit

CODE, TITLE = "charge", "Charge"

ZONES = {
    "compressor": "Compressor", "discharge": "Discharge line", "desuperheated": "Condenser, superheated gas",
    "condensing": "Condenser, condensing", "subcooled": "Condenser, subcooled liquid",
    "receiver": "Receiver-drier", "liquid": "Liquid lines, valve", "evaporating": "Coil, evaporating",
    "superheated": "Coil, superheated gas", "suction": "Suction line, valve",
}  # fmt: skip
CAUTIONS = (
    "Refrigerant is under pressure: frostbite, and asphyxiation in pits and closed rooms. Never vent it: it is"
    " recovered, by people who hold the licence the law asks for.",
    "An estimate does not charge a car: charge by mass on a scale, after pressure test and vacuum.",
)
SHARES = (
    "condenser_desuperheated_volume_share",
    "condenser_subcooled_volume_share",
    "evaporator_superheated_volume_share",
)


@dataclass(frozen=True)
class _Estimate:
    """What the circuit holds at every duty point that has an answer; chosen: the row of the one that is named."""

    volumes: Volumes
    parts_ml: list[tuple[str, str, float]]
    duties: list[DutyAnswer]
    densities: Densities
    held: Inventory
    chosen: int

    @property
    def duty(self) -> DutyAnswer:
        """The duty point that is named."""
        return self.duties[self.chosen]

    @property
    def total_g(self) -> float:
        """The charge there."""
        return float(self.held.total[self.chosen])


def _total_g(estimate: _Estimate | None) -> float | None:
    return None if estimate is None else estimate.total_g


def charge(context: Context) -> Topic | None:
    """The charge by zones at a named duty point, beside the recorded one that wins."""
    kit, (estimate, lacks) = context.kit, _estimated(context)
    figures: list[Figure] = []
    tables: list[Table] = []
    answer = "The charge can't be estimated: what is missing is named below."
    if estimate is not None:
        answer = (
            f"The circuit holds about {in_unit('g', estimate.total_g)} of {gas_of(kit)}"
            f" (±{100 * default_value('charge_uncertainty_share'):.0f} %) at “{estimate.duty.name}”."
        )
        inputs = _inputs(context, estimate.duty, estimate.parts_ml)
        figures.append(figure("Estimated charge", "g", estimate.total_g, inventory_g, *inputs))
        tables += [_zone_table(estimate), _duty_table(estimate.duties, estimate.held), *_coils_table(context)]
    recorded_g, estimated_g = kit.charge.charge_g, _total_g(estimate)
    if recorded_g is None:
        answer += " No charge is recorded."
    else:
        answer += compared(kit, estimated_g, recorded_g)
        figures += compared_figures(kit, estimated_g, recorded_g)
    trial = plateau_told(context)
    return Topic(
        CODE,
        TITLE,
        f"{answer.strip()}{trial.words}",
        figures=(*figures, *trial.figures),
        tables=tuple(tables),
        remarks=tuple(_remarks(context, estimate, lacks)),
        cautions=CAUTIONS,
        pictures=trial.pictures,
    )


def remarks(context: Context) -> Iterator[Finding]:
    """What the estimate lacks, how it and a trial compare with the record, and what the record lacks."""
    yield from _remarks(context, *_estimated(context))


def _remarks(context: Context, estimate: _Estimate | None, lacks: list[Finding]) -> Iterator[Finding]:
    yield from lacks
    recorded_g = context.kit.charge.charge_g
    if recorded_g is None:
        sentence = "No charge is recorded to compare the estimate with."
        yield Finding("charge-missing", "warns", "charge", sentence)
    else:
        yield from compared_remarks(context.kit, _total_g(estimate), recorded_g)
    yield from plateau_remarks(context)


def _estimated(context: Context) -> tuple[_Estimate | None, list[Finding]]:
    """The estimated charge, None where it can't be, and what it lacks."""
    volumes, parts_ml, found = _volumes(context.kit)
    duties = [
        d for d in context.record.duties if None not in (d.evaporating_c, d.condensing_c, d.discharge_c)
    ]
    if not duties:
        sentence = "No duty point is answered: the densities are not known."
        found.append(Finding("charge-state", "warns", "fitment", sentence))
    gas = gas_of(context.kit)
    if volumes is None or not duties or gas not in known_refrigerants():
        return None, found
    plant, gain_k = context.case.plant, context.case.mounting.suction_gain_k
    densities = zone_densities(
        refrigerant(gas),
        evaporating_c=np.array([d.evaporating_c for d in duties], dtype=float),
        condensing_c=np.array([d.condensing_c for d in duties], dtype=float),
        discharge_c=np.array([d.discharge_c for d in duties], dtype=float),
        superheat_k=plant.superheat_k,
        subcooling_k=plant.subcooling_k,
        suction_gain_k=gain_k or 0.0,
    )
    reserve_g, small = _reserve_g(volumes, densities, context.kit)
    found += small
    held = inventory_g(volumes, densities, reserve_g)
    chosen = _named_point(duties, held.total)
    if chosen is None:
        sentence = "No duty point's state lies inside the property tables."
        found.append(Finding("charge-state", "warns", "fitment", sentence))
        return None, found
    return _Estimate(volumes, parts_ml, duties, densities, held, chosen), found


def _named_point(duties: list[DutyAnswer], total_g: FloatArray) -> int | None:
    """The required one that comes first, else the first required, else the first whose state is inside the tables."""
    rows = [i for i in range(len(duties)) if np.isfinite(total_g[i])]
    ranked = sorted(rows, key=lambda i: (not duties[i].required, not duties[i].of_kind.comes_first, i))
    return ranked[0] if ranked else None


def _volumes(
    kit: ResolvedKit,
) -> tuple[Volumes | None, list[tuple[str, str, float]], list[Finding]]:
    """Inner volumes by zone, ml, None when one is not known; those of the parts (number, name, ml); what is missing."""
    found: list[Finding] = []
    kinds = {held.part: kind.split("/")[0] for kind, held in kit.plant.items()}
    sums = dict.fromkeys(
        ("compressor", "condenser", "receiver", "evaporator", "liquid", "discharge", "suction"), 0.0
    )
    parts: list[tuple[str, str, float]] = []
    is_known = True
    for item, quantity in _wetted(kit.items):
        if item.inner_volume_ml is None:
            is_known = False
            sentence = f"{item.name} ({item.part}) has no inner volume."
            mend = of_part(kit, "Revisions", "inner_volume_ml", item.part)
            found.append(Finding("charge-volume", "warns", f"part:{item.part}", sentence, mend))
            continue
        volume = item.inner_volume_ml * float(quantity)
        for zone, share in _zones(item.flow, kinds.get(item.part, "")):
            sums[zone] += share * volume
        if kinds.get(item.part) != "hose end":
            parts.append((item.part, item.name, volume))
    for hose in kit.hoses:
        if hose.cut_mm is None or hose.bore_mm is None:
            is_known = False
            if hose.cut_mm is None:
                sentence = f"{hose.name} has no length: its volume is not known."
                found.append(Finding("length-missing", "warns", f"length:{hose.route}", sentence))
            else:
                sentence = f"{hose.name} has no bore: its volume is not known."
                mend = of_part(kit, "Hoses", "bore_mm", hose.hose)
                found.append(Finding("hose-bore", "warns", f"part:{hose.hose}", sentence, mend))
            continue
        if not hose.side:
            is_known = False
            sentence = f"{hose.name}: what it carries is not told, as its ends are not both for one side."
            mend = row("Hose runs", "end_b", hose.position, hose.run)
            found.append(Finding("hose-sides", "warns", f"hose:{hose.position}/{hose.run}", sentence, mend))
            continue
        sums[hose.side] += float(hose_volume_ml(hose.bore_mm, hose.cut_mm / 1000))
    for zone in ("condenser", "receiver", "evaporator"):
        if is_known and sums[zone] == 0.0:
            is_known = False
            sentence = f"The kit has no {zone} with an inner volume."
            found.append(Finding("charge-volume", "warns", "kit", sentence, MISSING_PART))
    return (_by_state(sums) if is_known else None), parts, found


def _by_state(sums: dict[str, float]) -> Volumes:
    desuperheated, subcooled, superheated = (default_value(key) for key in SHARES)
    condenser, evaporator = sums["condenser"], sums["evaporator"]
    return Volumes(
        compressor=sums["compressor"],
        discharge=sums["discharge"],
        desuperheated=condenser * desuperheated,
        condensing=condenser * (1 - desuperheated - subcooled),
        subcooled=condenser * subcooled,
        receiver=sums["receiver"],
        liquid=sums["liquid"],
        evaporating=evaporator * (1 - superheated),
        superheated=evaporator * superheated,
        suction=sums["suction"],
    )


def _wetted(items: tuple[Item, ...], times: Decimal = Decimal(1)) -> Iterator[tuple[Item, Decimal]]:
    """What holds refrigerant; the volume of an assembly that has one includes that of its content."""
    for item in items:
        quantity = item.quantity * times
        if item.flow:
            yield item, quantity
        if not (item.flow and item.inner_volume_ml is not None):
            yield from _wetted(item.children, quantity)


def _zones(flow: tuple[str, ...], kind: str) -> tuple[tuple[str, float], ...]:
    """The zones a part's volume belongs to by the sides its ports are on, with its shares."""
    if kind == "expansion valve":  # a block valve: liquid to one side, suction gas through the other
        return (("liquid", 0.5), ("suction", 0.5))
    if kind == "receiver-drier":
        return (("receiver", 1.0),)
    if len(flow) == 1:
        return ((flow[0], 1.0),)
    by_sides: dict[tuple[str, ...], str] = {
        ("discharge", "liquid"): "condenser",
        ("liquid", "suction"): "evaporator",
        ("discharge", "suction"): "compressor",
    }
    zone = by_sides.get(flow)
    return ((zone, 1.0),) if zone else tuple((side, 1 / len(flow)) for side in flow)


def _reserve_g(volumes: Volumes, densities: Densities, kit: ResolvedKit) -> tuple[float, list[Finding]]:
    """The reserve, or what the receiver holds at most when that is less, which is then said."""
    wanted = default_value("receiver_reserve_g")
    if not np.isfinite(densities.liquid).any():
        return wanted, []  # every state lies beyond the tables: there is nothing to fill
    most = float(np.nanmin(densities.liquid)) * float(np.asarray(volumes.receiver)) / 1000
    if most >= wanted:
        return wanted, []
    sentence = f"The receiver holds {most:.0f} g of liquid at most: less than the reserve of {wanted:g} g."
    number = kit.plant["receiver-drier"].part if "receiver-drier" in kit.plant else ""
    mend = of_part(kit, "Revisions", "inner_volume_ml", number) if number else MISSING_PART
    return most, [Finding("receiver-small", "warns", f"part:{number}" if number else "kit", sentence, mend)]


def _inputs(context: Context, duty: DutyAnswer, parts: list[tuple[str, str, float]]) -> Iterator[Input]:
    kit, plant = context.kit, context.case.plant
    for number, name, volume in parts:
        # the origin that the kit carries is the one of the part's technical data, not of its revision
        yield given(f"{name} ({number})", "ml", volume, "stated by the part's revision", f"part:{number}")
    for hose in kit.hoses:
        yield given(
            f"{hose.name}, cut",
            "mm",
            hose.cut_mm,
            hose.routed_origin or "not measured",
            f"length:{hose.route}",
        )
    at = f"answer at “{duty.name}”"
    yield given("Evaporating", "c", duty.evaporating_c, at)
    yield given("Condensing", "c", duty.condensing_c, at)
    yield given("Gas leaving the compressor", "c", duty.discharge_c, at)
    yield given("Superheat", "k", plant.superheat_k, of_kit(context), "kit")
    yield given("Subcooling", "k", plant.subcooling_k, of_kit(context), "kit")
    gain_k = context.case.mounting.suction_gain_k
    yield given("Warming along the suction hose", "k", gain_k, "fitment", "fitment")
    for key in SHARES:
        default = defaults()[key]
        yield given(default.meaning, "pct", 100 * default.value, f"assumed: {default.source}")
    reserve = defaults()["receiver_reserve_g"]
    yield given("Reserve in the receiver", "g", reserve.value, f"assumed: {reserve.source}")


def _zone_table(estimate: _Estimate) -> Table:
    volumes, densities, held, row = estimate.volumes, estimate.densities, estimate.held, estimate.chosen
    rows = []
    for zone, words in ZONES.items():
        volume, mass = float(np.asarray(getattr(volumes, zone))), float(getattr(held, zone)[row])
        # the receiver's density is the one of its liquid and vapour together
        density = 1000 * mass / volume if zone == "receiver" else float(_at(getattr(densities, zone), row))
        rows.append((words, f"{volume:,.0f}", f"{density:,.0f}", f"{mass:,.0f}"))
    heads = ("Zone", "Volume, ml", "Mean density, kg/m³", "Holds, g")
    return Table(f"What the circuit holds at “{estimate.duty.name}”", heads, tuple(rows))


def _coils_table(context: Context) -> list[Table]:
    """The volumes of each of two coils and of its own suction hose, which the zones above hold together."""
    shares = shared_out(context.kit)[0]
    if shares is None or shares.rear is None:
        return []
    rows = []
    for place, own, hose in zip(
        PLACES, (shares.front, shares.rear), (shares.front_hose, shares.rear_hose), strict=True
    ):
        number = own.plant[COIL].part
        coil_ml = next((i.inner_volume_ml for i, _ in _wetted(context.kit.items) if i.part == number), None)
        cut_mm, bore_mm = (None, None) if hose is None else (hose.cut_mm, hose.bore_mm)
        hose_ml = None
        if cut_mm is not None and bore_mm is not None:
            hose_ml = float(hose_volume_ml(bore_mm, cut_mm / 1000))
        names = (f"{number}", "stands at the junction" if hose is None else hose.name)
        rows.append((place, names[0], _whole(coil_ml), names[1], _whole(hose_ml)))
    heads = ("Coil", "Part", "Coil, ml", "Its suction hose to the junction", "Hose, ml")
    return [Table("What the two coils and their branches hold", heads, tuple(rows))]


def _whole(value: float | None) -> str:
    return "–" if value is None else f"{value:,.0f}"


def _at(values: FloatArray, row: int) -> float:
    """The value of one duty point; what does not change from point to point is a single number."""
    return float(values[row] if np.ndim(values) else values)


def _duty_table(duties: list[DutyAnswer], held: Inventory) -> Table:
    """What the circuit asks for at each duty point: the receiver has to give and take the differences."""
    rows = []
    for i, duty in enumerate(duties):
        total = float(held.total[i])
        text = f"{total:,.0f}" if np.isfinite(total) else "outside the property tables"
        rows.append((duty.name, f"{duty.evaporating_c:.1f}", f"{duty.condensing_c:.1f}", text))
    heads = ("Duty point", "Evaporating, °C", "Condensing, °C", "Charge, g")
    return Table("The charge that each state would ask for, with the reserve", heads, tuple(rows))
