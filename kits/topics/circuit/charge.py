"""The refrigerant charge of a fitment: what each zone holds, beside the charge that was recorded."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal

import numpy as np

from kits.bom.mending import Mend, new_row
from kits.bom.resolved import Item, ResolvedKit
from kits.sizing.case.coil_zones import COIL, shared_out
from kits.sizing.gas.charge import (
    Densities,
    Inventory,
    Volumes,
    charge_difference_pct,
    inventory_g,
    zone_densities,
)
from kits.sizing.gas.hoses import hose_volume_ml, side_of
from kits.sizing.gas.refrigerant import known_refrigerants, refrigerant
from kits.sizing.verdict.coil_answers import PLACES
from kits.sizing.verdict.record import DutyAnswer
from kits.sizing.words.defaults import default_value, defaults
from kits.sizing.words.figure import Figure, Input, Remark, Severity, Table, Topic, figure, given
from kits.topics.circuit.plateau import plateau_told
from kits.topics.context import Context
from kits.topics.mends import MISSING_PART, of_part
from kits.topics.origins import of_kit
from vehicles.physics.arrays import FloatArray
from vehicles.physics.origin import Kind
from vehicles.physics.quantities import format_value

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


@dataclass
class _Found:
    """What was found on the way."""

    figures: list[Figure] = field(default_factory=list)
    tables: list[Table] = field(default_factory=list)
    remarks: list[Remark] = field(default_factory=list)

    def remark(
        self, code: str, severity: Severity, where: str, sentence: str, mend: Mend | None = None
    ) -> None:
        """Note something to mend or to know."""
        self.remarks.append(Remark(code, severity, where, sentence, mend))


def charge(context: Context) -> Topic | None:
    """The charge by zones at a named duty point, beside the recorded one that wins."""
    kit, found = context.kit, _Found()
    estimate_g, answer = _estimate(context, found)
    recorded_g = kit.charge.charge_g
    if recorded_g is not None:
        answer += _compared(kit, estimate_g, recorded_g, found)
    else:
        answer += " No charge is recorded."
        found.remark(
            "charge-missing", "warns", "charge", "No charge is recorded to compare the estimate with."
        )
    trial = plateau_told(context)
    return Topic(
        CODE,
        TITLE,
        f"{answer.strip()}{trial.words}",
        (*found.figures, *trial.figures),
        tuple(found.tables),
        (*found.remarks, *trial.remarks),
        CAUTIONS,
        trial.pictures,
    )


def _estimate(context: Context, found: _Found) -> tuple[float | None, str]:
    """The estimated charge at a named duty point, and the sentence that says so."""
    gas_name = str(context.kit.settings.get("refrigerant", ""))
    volumes, parts_ml = _volumes(context.kit, found)
    duties = [
        d for d in context.record.duties if None not in (d.evaporating_c, d.condensing_c, d.discharge_c)
    ]
    if not duties:
        found.remark(
            "charge-state", "warns", "fitment", "No duty point is answered: the densities are not known."
        )
    if volumes is None or not duties or gas_name not in known_refrigerants():
        return None, "The charge can't be estimated: what is missing is named below."
    plant, gain_k = context.case.plant, context.case.mounting.suction_gain_k
    densities = zone_densities(
        refrigerant(gas_name),
        np.array([d.evaporating_c for d in duties], dtype=float),
        np.array([d.condensing_c for d in duties], dtype=float),
        np.array([d.discharge_c for d in duties], dtype=float),
        plant.superheat_k,
        plant.subcooling_k,
        gain_k or 0.0,
    )
    held = inventory_g(volumes, densities, _reserve_g(volumes, densities, context.kit, found))
    chosen = _named_point(duties, held.total)
    if chosen is None:
        found.remark(
            "charge-state", "warns", "fitment", "No duty point's state lies inside the property tables."
        )
        return None, "The charge can't be estimated: what is missing is named below."
    duty, total = duties[chosen], float(held.total[chosen])
    band = default_value("charge_uncertainty_share")
    found.figures.append(
        figure("Estimated charge", "charge_g", total, inventory_g, *_inputs(context, duty, parts_ml))
    )
    found.tables.append(_zone_table(duty, volumes, densities, held, chosen))
    found.tables.append(_duty_table(duties, held))
    found.tables.extend(_coils_table(context))
    return total, (
        f"The circuit holds about {format_value('charge_g', total)} of {gas_name} (±{100 * band:.0f} %)"
        f" at “{duty.name}”."
    )


def _named_point(duties: list[DutyAnswer], total_g: FloatArray) -> int | None:
    """The required cruise, else the first required, else the first whose state is inside the tables."""
    rows = [i for i in range(len(duties)) if np.isfinite(total_g[i])]
    ranked = sorted(rows, key=lambda i: (not duties[i].required, duties[i].kind != "cruise", i))
    return ranked[0] if ranked else None


def _volumes(kit: ResolvedKit, found: _Found) -> tuple[Volumes | None, list[tuple[str, str, float]]]:
    """Inner volumes by zone, ml, and those of the parts (number, name, ml); None when one is not known."""
    kinds = {held[0]: kind.split("/")[0] for kind, held in kit.plant.items()}
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
            found.remark("charge-volume", "warns", f"part:{item.part}", sentence, mend)
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
                found.remark("length-missing", "warns", f"length:{hose.route}", sentence)
            else:
                sentence = f"{hose.name} has no bore: its volume is not known."
                mend = of_part(kit, "Hoses", "bore_mm", hose.hose)
                found.remark("hose-bore", "warns", f"part:{hose.hose}", sentence, mend)
            continue
        sums[side_of(hose.name)] += float(hose_volume_ml(hose.bore_mm, hose.cut_mm / 1000))
    for zone in ("condenser", "receiver", "evaporator"):
        if is_known and sums[zone] == 0.0:
            is_known = False
            sentence = f"The kit has no {zone} with an inner volume."
            found.remark("charge-volume", "warns", "kit", sentence, MISSING_PART)
    return (_by_state(sums) if is_known else None), parts


def _by_state(sums: dict[str, float]) -> Volumes:
    desuperheated, subcooled, superheated = (default_value(key) for key in SHARES)
    condenser, evaporator = sums["condenser"], sums["evaporator"]
    return Volumes(
        sums["compressor"],
        sums["discharge"],
        condenser * desuperheated,
        condenser * (1 - desuperheated - subcooled),
        condenser * subcooled,
        sums["receiver"],
        sums["liquid"],
        evaporator * (1 - superheated),
        evaporator * superheated,
        sums["suction"],
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


def _reserve_g(volumes: Volumes, densities: Densities, kit: ResolvedKit, found: _Found) -> float:
    """The reserve, or what the receiver holds at most when that is less, which is then said."""
    wanted = default_value("receiver_reserve_g")
    if not np.isfinite(densities.liquid).any():
        return wanted  # every state lies beyond the tables: there is nothing to fill
    most = float(np.nanmin(densities.liquid)) * float(np.asarray(volumes.receiver)) / 1000
    if most >= wanted:
        return wanted
    sentence = f"The receiver holds {most:.0f} g of liquid at most: less than the reserve of {wanted:g} g."
    number = kit.plant["receiver-drier"][0] if "receiver-drier" in kit.plant else ""
    mend = of_part(kit, "Revisions", "inner_volume_ml", number) if number else MISSING_PART
    found.remark("receiver-small", "warns", f"part:{number}" if number else "kit", sentence, mend)
    return most


def _inputs(context: Context, duty: DutyAnswer, parts: list[tuple[str, str, float]]) -> Iterator[Input]:
    kit, plant = context.kit, context.case.plant
    for number, name, volume in parts:
        # the origin that the kit carries is the one of the part's technical data, not of its revision
        yield given(
            f"{name} ({number})", "volume_ml", volume, "stated by the part's revision", f"part:{number}"
        )
    for hose in kit.hoses:
        yield given(
            f"{hose.name}, cut",
            "cut_mm",
            hose.cut_mm,
            hose.routed_origin or "not measured",
            f"length:{hose.route}",
        )
    at = f"answer at “{duty.name}”"
    yield given("Evaporating", "evaporating_c", duty.evaporating_c, at)
    yield given("Condensing", "condensing_c", duty.condensing_c, at)
    yield given("Gas leaving the compressor", "discharge_c", duty.discharge_c, at)
    yield given("Superheat", "superheat_k", plant.superheat_k, of_kit(context), "kit")
    yield given("Subcooling", "subcooling_k", plant.subcooling_k, of_kit(context), "kit")
    gain_k = context.case.mounting.suction_gain_k
    yield given("Warming along the suction hose", "gain_k", gain_k, "fitment", "fitment")
    for key in SHARES:
        default = defaults()[key]
        yield given(default.meaning, "share_pct", 100 * default.value, f"assumed: {default.source}")
    reserve = defaults()["receiver_reserve_g"]
    yield given("Reserve in the receiver", "reserve_g", reserve.value, f"assumed: {reserve.source}")


def _zone_table(duty: DutyAnswer, volumes: Volumes, densities: Densities, held: Inventory, row: int) -> Table:
    rows = []
    for zone, words in ZONES.items():
        volume, mass = float(np.asarray(getattr(volumes, zone))), float(getattr(held, zone)[row])
        # the receiver's density is the one of its liquid and vapour together
        density = 1000 * mass / volume if zone == "receiver" else float(_at(getattr(densities, zone), row))
        rows.append((words, f"{volume:,.0f}", f"{density:,.0f}", f"{mass:,.0f}"))
    heads = ("Zone", "Volume, ml", "Mean density, kg/m³", "Holds, g")
    return Table(f"What the circuit holds at “{duty.name}”", heads, tuple(rows))


def _coils_table(context: Context) -> list[Table]:
    """The volumes of each of two coils and of its own suction hose, which the zones above hold together."""
    shares = shared_out(context.kit)[0]
    if shares is None or shares.rear is None:
        return []
    rows = []
    for place, own, hose in zip(
        PLACES, (shares.front, shares.rear), (shares.front_hose, shares.rear_hose), strict=True
    ):
        number = own.plant[COIL][0]
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


def _compared(kit: ResolvedKit, estimate_g: float | None, recorded_g: float, found: _Found) -> str:
    """The recorded charge that wins beside the estimate."""
    origin = kit.charge.charge_origin
    how = origin.kind.value if origin else "origin not told"
    recorded = format_value("charge_g", recorded_g)
    if origin is None or origin.kind not in (Kind.WEIGHED, Kind.MEASURED):
        low, high = (default_value(f"plateau_reserve_{end}_g") for end in ("from", "to"))
        sentence = (
            f"The recorded charge ({how}) is not weighed on a car: fill by 50 g steps at 1,500 to 2,000 rpm and take"
            f" the start of the plateau + {low:g} to {high:g} g."
        )
        found.remark("charge-unweighed", "notes", "charge", sentence, new_row("Plateau steps", "trial"))
    if estimate_g is None:
        return f" Recorded are {recorded} ({how})."
    difference = float(charge_difference_pct(estimate_g, recorded_g))
    found.figures.append(
        figure(
            "Estimate against record", "difference_pct", difference, charge_difference_pct,
            given("Estimated charge", "charge_g", estimate_g, "calculated"),
            given("Recorded charge", "charge_g", recorded_g, origin or "", "charge"),
        )
    )  # fmt: skip
    words = (
        "as much"
        if abs(difference) < 0.5
        else f"{abs(difference):.0f} % {'more' if difference > 0 else 'less'}"
    )
    band = 100 * default_value("charge_uncertainty_share")
    if abs(difference) > band:
        sentence = (
            f"The estimate is {words} than the recorded {recorded} ({how}), beyond its ±{band:.0f} %: check the inner"
            " volumes of condenser, coil and receiver, the lengths, and the record."
        )
        found.remark("charge-estimate", "warns", "charge", sentence)
    beside = "as much as" if words == "as much" else f"{words} than"
    return f" That is {beside} the recorded {recorded} ({how})."
