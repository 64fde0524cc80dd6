"""The refrigerant charge: what each zone of the circuit holds."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from kits.sizing.gas.lines import mean_two_phase_density
from kits.sizing.gas.refrigerant import Refrigerant
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
    *,
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
