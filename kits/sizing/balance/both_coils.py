"""What a plant gives with its one coil, or with a second one at the rear: both told as one result.

All of one coil goes through `solve_balance` as ever. With two the heats, the flow and the water are sums, the
air into and off the coils is their mix by dry air, fin and evaporating temperature are those of the colder coil.
"""

from dataclasses import dataclass, fields

import numpy as np

from kits.sizing.balance.balance import BalanceResult, solve_balance
from kits.sizing.balance.balance_input import BalanceInput
from kits.sizing.balance.two_coils import SecondCoil, TwoCoilsResult, solve_two_coils
from kits.sizing.machine.evaporator import bypass_factor, coil
from vehicles.physics.air import enthalpy_j_kg, temperature_from_enthalpy
from vehicles.physics.arrays import FloatArray, IntArray


@dataclass(frozen=True, kw_only=True)
class BothCoils(BalanceResult):
    """The result of two coils as that of one, and each coil's own numbers beside it.

    bypass_factor  of the colder coil, as its fin temperature
    """

    coils: TwoCoilsResult


def solve_plant(refrigerant_name: str, inputs: BalanceInput, rear: SecondCoil | None) -> BalanceResult:
    """The balance of every point, with the rear coil where there is one.

    Formula: `solve_balance`, or `solve_two_coils` with heats, flow and water added up, and the air off both
        coils mixed by dry air: h = Σ m·h/Σ m, W = Σ m·W/Σ m.
    Parameters: refrigerant_name; inputs, plant and front coil, one dimension; rear, the other coil or None.
    Returns: as `solve_balance`; with a rear coil a BothCoils.
    Validity: that of the two; with a rear coil freeze control by cycling only.
    Source: balances of mass and energy.
    Check: two halves are one whole; m·(h_in - h_off) of the mix is the sum of both heats.
    """
    if rear is None:
        return solve_balance(refrigerant_name, inputs)
    found = solve_two_coils(refrigerant_name, inputs, rear)
    colder = np.maximum(found.governing, 0)[None]

    def of_colder(each: FloatArray) -> FloatArray:
        chosen: FloatArray = np.take_along_axis(each, colder, axis=0)[0]
        return chosen

    airs = np.stack([inputs.air_kg_s, rear.air_kg_s])
    off_c, off_w = mixed(airs, found.air_off_c, found.air_off_w)
    water_kg_s = (airs * (np.stack([inputs.air_in_w, rear.air_in_w]) - found.air_off_w)).sum(axis=0)
    capacity, sensible = found.capacity_w.sum(axis=0), found.sensible_w.sum(axis=0)
    speed_rpm = np.where(np.isfinite(capacity), inputs.speed_rpm, np.nan)
    evaporating_c = of_colder(found.evaporating_c)
    return BothCoils(
        status=found.status,
        reason=found.reason,
        evaporating_c=evaporating_c,
        condensing_c=found.condensing_c,
        surface_c=of_colder(found.surface_c),
        flow_kg_s=found.flow_kg_s.sum(axis=0),
        capacity_w=capacity,
        sensible_w=sensible,
        latent_w=capacity - sensible,
        air_off_c=off_c,
        air_off_w=off_w,
        condensate_kg_h=water_kg_s * 3600,
        bypass_factor=of_colder(found.bypass_factor),
        suction_pa=found.suction_pa,
        evaporating_pa=of_colder(found.evaporating_pa),
        condensing_pa=found.condensing_pa,
        discharge_pa=found.discharge_pa,
        discharge_c=found.discharge_c,
        power_w=found.power_w,
        torque_nm=found.power_w / (2 * np.pi * speed_rpm / 60),
        cop=capacity / found.power_w,
        heat_rejected_w=found.heat_rejected_w,
        duty=found.duty,
        speed_rpm=speed_rpm,
        # from the coil whose evaporating temperature is told: its fins are the colder, not always its refrigerant
        suction_loss_k=found.suction_loss_k + evaporating_c - found.evaporating_c.min(axis=0),
        suction_gain_w=found.suction_gain_w,
        over_discharge_limit=found.discharge_c > inputs.discharge_limit_c,
        coils=found,
    )


def mixed(air_kg_s: FloatArray, air_c: FloatArray, air_w: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Temperature and humidity ratio of airs that meet, mixed along the first axis by dry air, kg/s.

    Formula: h = Σ m·h/Σ m, W = Σ m·W/Σ m.
    Parameters: air_kg_s, dry air, above 0; air_c, °C; air_w, kg/kg.
    Returns: °C and kg/kg.
    Validity: no heat is lost where they meet; mixed air that is wetter than saturated is not told as fog.
    Source: balances of mass and energy of humid air.
    Check: two equal airs are that air; enthalpy and water are kept.
    """
    total = air_kg_s.sum(axis=0)
    w = (air_kg_s * air_w).sum(axis=0) / total
    h = (air_kg_s * enthalpy_j_kg(air_c, air_w)).sum(axis=0) / total
    return temperature_from_enthalpy(h, w), w


def at_surface(
    surface_c: FloatArray, inputs: BalanceInput, rear: SecondCoil | None
) -> tuple[FloatArray, FloatArray]:
    """Water kg/s and sensible heat W that all coils take out with their fins at one temperature.

    With two coils that is the most a freeze control leaves: the warmer of the two takes less.
    """
    found = []
    for x in (inputs,) if rear is None else (inputs, rear):
        bypass = bypass_factor(x.evap_ua_air_w_k, x.evap_ref_air_kg_s, x.air_kg_s, x.air_in_w)
        air = coil(surface_c, x.air_kg_s, x.air_in_c, x.air_in_w, inputs.pressure_pa, bypass)
        found.append((x.air_kg_s * (x.air_in_w - air.air_off_w), air.sensible_w))
    water_kg_s, sensible_w = (np.sum(each, axis=0) for each in zip(*found, strict=True))
    return water_kg_s, sensible_w


def take(rear: SecondCoil | None, rows: IntArray) -> SecondCoil | None:
    """Some rows of a rear coil whose fields are arrays."""
    return None if rear is None else SecondCoil(**{f.name: getattr(rear, f.name)[rows] for f in fields(rear)})
