"""The refrigerant charge: what each zone of the circuit holds, and the plateau of a charging trial."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from kits.sizing.defaults import default_value
from kits.sizing.lines import mean_two_phase_density
from kits.sizing.refrigerant import Refrigerant
from vehicles.physics.arrays import FloatArray, answer, floats, scalar_or_array


class Volumes(NamedTuple):
    """Inner volumes by zone, ml."""

    compressor: ArrayLike
    discharge: ArrayLike
    desuperheated: ArrayLike
    condensing: ArrayLike
    subcooled: ArrayLike
    receiver: ArrayLike
    liquid: ArrayLike
    evaporating: ArrayLike
    superheated: ArrayLike
    suction: ArrayLike


class Densities(NamedTuple):
    """Mean densities by zone, kg/m³; the receiver holds liquid and the vapour above it."""

    compressor: FloatArray
    discharge: FloatArray
    desuperheated: FloatArray
    condensing: FloatArray
    subcooled: FloatArray
    liquid: FloatArray
    receiver_vapour: FloatArray
    evaporating: FloatArray
    superheated: FloatArray
    suction: FloatArray


class Inventory(NamedTuple):
    """What each zone holds and what all hold together, g."""

    compressor: FloatArray
    discharge: FloatArray
    desuperheated: FloatArray
    condensing: FloatArray
    subcooled: FloatArray
    receiver: FloatArray
    liquid: FloatArray
    evaporating: FloatArray
    superheated: FloatArray
    suction: FloatArray
    total: FloatArray


def zone_densities(
    gas: Refrigerant,
    evaporating_c: ArrayLike,
    condensing_c: ArrayLike,
    discharge_c: ArrayLike,
    superheat_k: ArrayLike,
    subcooling_k: ArrayLike,
    suction_gain_k: ArrayLike = 0.0,
) -> Densities:
    """Mean densities of the refrigerant in each zone of a running circuit, kg/m³.

    Formula: single-phase zones at the mean of the densities at both ends; two-phase zones with Zivi's void
    fraction over vapour quality changing evenly, from 1 to 0 in the condenser, in the coil from the quality
    behind the valve, (h_liquid - h_l)/(h_v - h_l), to 1.
    Parameters: gas; evaporating_c and condensing_c, saturation temperatures, °C; discharge_c, gas leaving the
    compressor, °C; superheat_k at the coil's end and subcooling_k at the condenser's, K; suction_gain_k, by which
    the gas warms along the suction hose, K.
    Returns: a density for each zone, kg/m³; the compressor's is the mean of suction and discharge.
    Validity: steady running, at one pressure on each side; within the property tables. Zivi tends to find too
    little liquid.
    Source: S. M. Zivi, J. Heat Transfer 86 (1964) 247; densities from CoolProp by our tables.
    Check: an inventory worked out zone by zone with CoolProp, within 1 %.
    """
    t_e, t_c = floats(evaporating_c), floats(condensing_c)
    cold, hot = gas.saturation(t_e), gas.saturation(t_c)
    liquid = gas.liquid(t_c, subcooling_k)
    discharge = gas.vapour(t_c, floats(discharge_c) - t_c).rho
    coil_end = gas.vapour(t_e, superheat_k).rho
    suction = (coil_end + gas.vapour(t_e, floats(superheat_k) + floats(suction_gain_k)).rho) / 2
    quality = (liquid.h - cold.h_l) / (cold.h_v - cold.h_l)
    found = (
        (suction + discharge) / 2,
        discharge,
        (discharge + hot.rho_v) / 2,
        mean_two_phase_density(hot.rho_l, hot.rho_v),
        (hot.rho_l + liquid.rho) / 2,
        liquid.rho,
        hot.rho_v,
        mean_two_phase_density(cold.rho_l, cold.rho_v, quality),
        (cold.rho_v + coil_end) / 2,
        suction,
    )
    return Densities(*(scalar_or_array(density) for density in found))


def held_g(volume_ml: ArrayLike, density_kg_m3: ArrayLike) -> FloatArray:
    """The mass that a volume holds, g.

    Formula: m = V·rho.
    Parameters: volume_ml, ml, not negative; density_kg_m3, kg/m³, above 0.
    Returns: g.
    Validity: one mean density for the whole volume.
    Source: definition of density.
    Check: a metre of #6 liquid line holds about 53 g of R-134a.
    """
    volume, density = floats(volume_ml), floats(density_kg_m3)
    valid = (volume >= 0) & (density > 0) & np.isfinite(volume * density)
    return answer(
        volume * density / 1000,
        valid,
        "What a volume holds needs a volume not negative and a density above zero.",
    )


def receiver_g(
    volume_ml: ArrayLike, liquid_kg_m3: ArrayLike, vapour_kg_m3: ArrayLike, reserve_g: ArrayLike
) -> FloatArray:
    """What the receiver holds: the reserve as liquid, and vapour in the rest, g.

    Formula: reserve + (V - reserve/rho_l)·rho_v.
    Parameters: volume_ml, inner volume, ml; liquid_kg_m3 and vapour_kg_m3, densities at the condenser's end;
    reserve_g, liquid kept for leaks and changes of state, g.
    Returns: g.
    Validity: the reserve must fit into the receiver as liquid; it is refused otherwise. What the desiccant takes
    up of the volume has to be taken off it beforehand.
    Source: mass balance; the reserve is common practice, no source.
    Check: a reserve that fills the receiver gives a receiver full of liquid, none gives vapour alone.
    """
    volume, reserve = floats(volume_ml), floats(reserve_g)
    rho_l, rho_v = floats(liquid_kg_m3), floats(vapour_kg_m3)
    known = (volume >= 0) & (reserve >= 0) & (rho_v > 0) & (rho_l > rho_v)
    liquid_ml = 1000 * reserve / np.where(known, rho_l, 1.0)
    # a reserve worked out from the volume itself may be a rounding above it
    valid = known & (liquid_ml <= volume * (1 + 1e-12))
    return answer(
        reserve + (volume - liquid_ml) * rho_v / 1000, valid,
        "The receiver must hold the reserve as liquid, and liquid is denser than vapour.",
    )  # fmt: skip


def inventory_g(volumes: Volumes, densities: Densities, reserve_g: ArrayLike) -> Inventory:
    """The charge as an inventory: what each zone of the circuit holds, with the reserve in the receiver, g.

    Formula: sum over the zones of V·rho, the receiver with its reserve as liquid and vapour above it.
    Parameters: volumes, inner volumes by zone, ml; densities, mean densities by zone, kg/m³; reserve_g, liquid
    in the receiver, g.
    Returns: g by zone, and the total. The estimate is good to ±15 % until a trial on a car replaces it.
    Validity: steady running at the state of the densities. What is dissolved in the oil is left out (a tenth to a
    fifth of the oil's mass, from memory), and Zivi tends to find too little: expect the truth above rather than below.
    Source: sum of volumes times densities, Zivi (1964) in the two-phase zones; ±15 % is common practice, no source.
    Check: an inventory worked out zone by zone with CoolProp, within 1 %.
    """
    receiver = receiver_g(volumes.receiver, densities.liquid, densities.receiver_vapour, reserve_g)
    parts = {
        zone: receiver if zone == "receiver" else held_g(getattr(volumes, zone), getattr(densities, zone))
        for zone in Volumes._fields
    }
    total = sum(parts.values(), start=floats(0.0))
    return Inventory(**parts, total=scalar_or_array(total))


def charge_with_other_lines_g(
    charge_g: ArrayLike, volume_change_ml: ArrayLike, density_kg_m3: ArrayLike
) -> FloatArray:
    """The charge of another variant with the same kit: only what its lines hold changes, g.

    Formula: charge + sum over the lines of (V_new - V_old)·rho.
    Parameters: charge_g, the known charge, g; volume_change_ml, new less old volume of each line, along the last
    axis, ml; density_kg_m3, of each line, kg/m³.
    Returns: g.
    Validity: same parts, same gas; a charge that would not stay above zero is refused.
    Source: difference of two inventories.
    Check: equals the difference of two inventories; 1 m of #6 liquid line moves R-134a by about 53 g.
    """
    charge, change, density = floats(charge_g), floats(volume_change_ml), floats(density_kg_m3)
    moved = charge + np.sum(change * density, axis=-1) / 1000
    valid = (charge > 0) & (moved > 0) & np.all(density > 0, axis=-1)
    return answer(moved, valid, "A charge stays above zero, and so does the density in each line.")


def charge_difference_pct(estimate_g: ArrayLike, recorded_g: ArrayLike) -> FloatArray:
    """By how much the estimated charge differs from the recorded one, in percent of the recorded.

    Formula: 100·(estimate - recorded)/recorded.
    Parameters: estimate_g, recorded_g, g, above 0.
    Returns: %, negative where the estimate is the smaller.
    Validity: an estimate is good to ±15 %; beyond that a volume, the state or the record is wrong.
    Source: common practice, no source.
    Check: equal charges differ by nothing.
    """
    estimate, recorded = floats(estimate_g), floats(recorded_g)
    valid = (estimate > 0) & (recorded > 0)
    difference = 100 * (estimate / np.where(valid, recorded, 1.0) - 1)
    return answer(difference, valid, "Charges that are compared lie above zero.")


@dataclass(frozen=True)
class ChargingRow:
    """One step of a charging trial, read when the plant has settled."""

    added_g: float
    subcooling_k: float
    head_bar_g: float
    vent_c: float


@dataclass(frozen=True)
class Plateau:
    """Where subcooling, head and vent stand still while refrigerant is added, and the charge that follows.

    is_end_seen       whether they moved on again: the receiver was full
    is_reserve_held   whether the most of the charge still lies on the plateau; None when its end was not seen
    """

    start_g: float
    end_g: float
    low_g: float
    high_g: float
    charge_g: float
    tolerance_g: float
    subcooling_k: float
    head_bar_g: float
    vent_c: float
    is_end_seen: bool
    is_reserve_held: bool | None


def plateau_of(rows: Sequence[ChargingRow]) -> Plateau:
    """The plateau of a charging trial and the charge it gives.

    Formula: the longest stretch of rows over which subcooling stays within 1 K, head within 0.6 bar and the vent
    within 1 K, no single step moving by more than half of that, with liquid at the condenser's end; the charge is
    the stretch's start + 100 to 150 g, its middle ±25 g.
    Parameters: rows, in the order they were read: refrigerant added so far, g; subcooling, K; head, bar g; vent, °C.
    Returns: start and end of the plateau, the charge with its tolerance, the mean readings along it.
    Validity: a circuit with a receiver, 1,500 to 2,000 rpm, steady weather, steps of about 50 g from below the
    plateau's start on. Refused: fewer than four rows, steps above 60 g, no plateau of 100 g, or a plateau that began
    before the first row.
    Source: common practice, no source.
    Check: made-up trials whose start is known; scatter of a tenth of the bands moves nothing.
    """
    table = np.array([(r.added_g, r.subcooling_k, r.head_bar_g, r.vent_c) for r in rows], dtype=float)
    _check_trial(table)
    added, readings = table[:, 0], table[:, 1:]
    bands = np.array([default_value(f"plateau_{name}") for name in ("subcooling_k", "head_bar", "vent_k")])
    first, last = _longest_flat(added, readings, bands)
    if added[last] - added[first] < default_value("plateau_span_g"):
        raise ValueError(
            "No plateau is seen: subcooling, head and vent never stand still together over"
            f" {default_value('plateau_span_g'):g} g. Add more, in steps, or wait longer at each."
        )
    if first == 0:
        raise ValueError("The plateau began before the first row: start the trial with less.")
    low, high = (added[first] + default_value(f"plateau_reserve_{end}_g") for end in ("from", "to"))
    mean = readings[first : last + 1].mean(axis=0)
    is_end_seen = last < len(rows) - 1
    return Plateau(
        start_g=float(added[first]),
        end_g=float(added[last]),
        low_g=float(low),
        high_g=float(high),
        charge_g=float((low + high) / 2),
        tolerance_g=default_value("plateau_tolerance_g"),
        subcooling_k=float(mean[0]),
        head_bar_g=float(mean[1]),
        vent_c=float(mean[2]),
        is_end_seen=is_end_seen,
        is_reserve_held=bool(high <= added[last]) if is_end_seen else None,
    )


def _check_trial(table: FloatArray) -> None:
    if len(table) < 4:
        raise ValueError("A charging trial needs four rows or more.")
    if not np.isfinite(table).all() or (table[:, 0] < 0).any():
        raise ValueError("Every row of a charging trial needs grams, subcooling, head and vent as numbers.")
    steps = np.diff(table[:, 0])
    if not (steps > 0).all():
        raise ValueError("The grams added must rise from row to row.")
    widest = default_value("plateau_step_g")
    if (steps > widest).any():
        raise ValueError(
            f"A step of {steps.max():g} g is too wide to see where the plateau begins: at most {widest:g} g."
        )


def _longest_flat(added: FloatArray, readings: FloatArray, bands: FloatArray) -> tuple[int, int]:
    """First and last row of the longest flat stretch, by grams; the first of equals."""
    best = (0, 0)
    for first in range(len(added)):
        if readings[first, 0] <= bands[0]:  # as good as no liquid at the condenser's end
            continue
        last = first
        while last + 1 < len(added):
            stretch = readings[first : last + 2]
            if (np.ptp(stretch, axis=0) > bands).any() or (
                np.abs(readings[last + 1] - readings[last]) > bands / 2
            ).any():
                break
            last += 1
        if added[last] - added[first] > added[best[1]] - added[best[0]]:
            best = (first, last)
    return best
