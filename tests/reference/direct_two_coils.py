"""Direct solution of two coils in parallel on one circuit, one point at a time, for ordinary plants.

It shares no line with the code under test: exact CoolProp flashes and nested Brent searches. Innermost the
surface of each coil whose own line ends at the common suction pressure; then that pressure, so that the pump
moves what both evaporate (or, at the freeze limit, the pressure at which the first of the coils stands at it);
outermost the condensing temperature. No ranges are checked: a plant without a solution is an error.
"""

import math
from dataclasses import dataclass
from typing import Any

from CoolProp import CoolProp
from scipy.optimize import brentq

from .direct_balance import (
    CONDENSER_AIR_CP_J_KG_K,
    HIGHEST_CONDENSING_C,
    ZERO_C_K,
    Coil,
    Plant,
    coil,
    line_loss_pa,
    saturation_pa,
)
from .direct_balance import _at as state_at
from .direct_balance import _fluid as fluid

XTOL_PA = 1e-7
XTOL_K = 1e-9


@dataclass(frozen=True)
class Leg:
    """One coil with its own suction line; the plant's suction line is the one to the junction."""

    coil: Coil
    flow_kg_s: float
    h: float
    end_pa: float


@dataclass(frozen=True)
class Both:
    """The whole circuit at a junction pressure and a condensing temperature."""

    legs: tuple[Leg, Leg]
    flow_kg_s: float
    pump_kg_s: float
    excess_w: float
    power_w: float
    discharge_c: float
    suction_pa: float
    discharge_pa: float


def leg_at(refrigerant: str, plant: Plant, surface_c: float, condensing_c: float) -> Leg:
    """A coil at one surface temperature, down to the end of its line."""
    own = coil(plant, surface_c)
    condensing_pa = saturation_pa(refrigerant, condensing_c, 1.0)
    h_3 = float(state_at(refrigerant, condensing_pa, condensing_c - plant.subcooling_k, 0.0).hmass())
    evaporating_pa = saturation_pa(refrigerant, own.evaporating_c, 1.0)
    out = state_at(refrigerant, evaporating_pa, own.evaporating_c + plant.superheat_k, 1.0)
    h, rho, mu = float(out.hmass()), float(out.rhomass()), float(out.viscosity())
    flow = own.capacity_w / (h - h_3)
    loss = line_loss_pa(flow, plant.suction_length_m, plant.suction_bore_m, plant.suction_k, rho, mu)
    return Leg(own, flow, h, evaporating_pa - loss)


def leg_to(refrigerant: str, plant: Plant, junction_pa: float, condensing_c: float) -> Leg:
    """The coil whose line ends at the junction's pressure."""
    state = fluid(refrigerant)
    state.update(CoolProp.PQ_INPUTS, junction_pa, 1.0)
    coldest = float(state.T()) - ZERO_C_K

    def surplus(surface_c: float) -> float:
        return leg_at(refrigerant, plant, surface_c, condensing_c).end_pa - junction_pa

    surface_c = float(brentq(surplus, coldest, plant.air_in_c - 1e-6, xtol=1e-11, rtol=1e-14))
    return leg_at(refrigerant, plant, surface_c, condensing_c)


def both_at(
    refrigerant: str, whole: Plant, coils: tuple[Plant, Plant], junction_pa: float, condensing_c: float
) -> Both:
    """Explicit pass from the junction on; the vapours of both coils are mixed by flow."""
    p = whole
    first, second = (leg_to(refrigerant, c, junction_pa, condensing_c) for c in coils)
    flow = first.flow_kg_s + second.flow_kg_s
    h_mixed = (first.flow_kg_s * first.h + second.flow_kg_s * second.h) / flow
    state = fluid(refrigerant)
    state.update(CoolProp.HmassP_INPUTS, h_mixed, junction_pa)
    mixed_c = float(state.T()) - ZERO_C_K
    loss = line_loss_pa(
        flow, p.suction_length_m, p.suction_bore_m, p.suction_k, state.rhomass(), state.viscosity()
    )
    condensing_pa = saturation_pa(refrigerant, condensing_c, 1.0)
    # search floor, far outside the range of answers: a pressure ratio of 40
    suction_pa = max(junction_pa - loss, condensing_pa / 40.0)
    inlet = state_at(refrigerant, suction_pa, mixed_c + p.suction_gain_k, 1.0)
    h_1, rho_1, s_1 = float(inlet.hmass()), float(inlet.rhomass()), float(inlet.smass())
    state.update(CoolProp.PSmass_INPUTS, condensing_pa, s_1)
    discharge_pa = condensing_pa + line_loss_pa(
        flow, p.discharge_length_m, p.discharge_bore_m, p.discharge_k, state.rhomass(), state.viscosity()
    )
    state.update(CoolProp.PSmass_INPUTS, discharge_pa, s_1)
    ratio, n = discharge_pa / suction_pa, p.speed_rpm / 1000.0
    eta_v = p.v0 + p.v1 * ratio + p.v2 * n + p.v3 * n**2
    eta_is = p.i0 + p.i1 * ratio + p.i2 * n + p.i3 * n**2
    h_2 = h_1 + (float(state.hmass()) - h_1) / max(eta_is, 0.02)  # search floor, answers need 0.05
    state.update(CoolProp.HmassP_INPUTS, h_2, discharge_pa)
    discharge_c = float(state.T()) - ZERO_C_K
    h_3 = first.h - first.coil.capacity_w / first.flow_kg_s
    capacity_rate = p.cond_air_kg_s * CONDENSER_AIR_CP_J_KG_K
    ua = p.cond_ua_w_k * (p.cond_air_kg_s / p.cond_ref_air_kg_s) ** p.cond_exponent
    can_reject = -math.expm1(-ua / capacity_rate) * capacity_rate * (condensing_c - p.cond_air_in_c)
    return Both(
        (first, second),
        flow,
        eta_v * p.displacement_m3 * p.speed_rpm / 60.0 * rho_1,
        can_reject - flow * (h_2 - h_3),
        flow * (h_2 - h_1),
        discharge_c,
        suction_pa,
        discharge_pa,
    )


def solve_two_directly(refrigerant: str, whole: Plant, coils: tuple[Plant, Plant]) -> dict[str, Any]:
    """The balance: numbers of the circuit, and of each coil in pairs; `frozen` at the freeze limit."""
    low = whole.cond_air_in_c + 1.0
    high = HIGHEST_CONDENSING_C[refrigerant]

    def guard_pa(condensing_c: float) -> float:
        return max(leg_at(refrigerant, c, whole.freeze_surface_c, condensing_c).end_pa for c in coils)

    def guarded(condensing_c: float) -> Both:
        return both_at(refrigerant, whole, coils, guard_pa(condensing_c), condensing_c)

    def pumped(condensing_c: float) -> Both:
        coldest = guard_pa(condensing_c) * 0.8
        warmest = saturation_pa(refrigerant, min(c.air_in_c for c in coils) - 0.5, 1.0)

        def surplus(junction_pa: float) -> float:
            found = both_at(refrigerant, whole, coils, junction_pa, condensing_c)
            return found.pump_kg_s - found.flow_kg_s

        # searching far from the answer the pump may move too much at any pressure: the end is held there
        if surplus(coldest) >= 0.0:
            junction_pa = coldest
        else:
            junction_pa = float(brentq(surplus, coldest, warmest, xtol=XTOL_PA, rtol=1e-12))
        return both_at(refrigerant, whole, coils, junction_pa, condensing_c)

    frozen = guarded(high).excess_w > 0.0
    if frozen:
        condensing_c = float(brentq(lambda t: guarded(t).excess_w, low, high, xtol=XTOL_K))
        found = guarded(condensing_c)
        frozen = found.pump_kg_s >= found.flow_kg_s
    if not frozen:
        condensing_c = float(brentq(lambda t: pumped(t).excess_w, low, high, xtol=XTOL_K))
        found = pumped(condensing_c)
        if abs(found.pump_kg_s / found.flow_kg_s - 1.0) > 1e-7:
            raise ArithmeticError(f"the point found does not balance: {found}")
    coils_found = [leg.coil for leg in found.legs]
    return {
        "frozen": frozen,
        "condensing_c": condensing_c,
        "duty": found.flow_kg_s / found.pump_kg_s if frozen else 1.0,
        "power_w": found.power_w,
        "discharge_c": found.discharge_c,
        "suction_pa": found.suction_pa,
        "discharge_pa": found.discharge_pa,
        "surface_c": [c.surface_c for c in coils_found],
        "evaporating_c": [c.evaporating_c for c in coils_found],
        "capacity_w": [c.capacity_w for c in coils_found],
        "sensible_w": [c.sensible_w for c in coils_found],
        "air_off_c": [c.air_off_c for c in coils_found],
        "air_off_w": [c.air_off_w for c in coils_found],
        "flow_kg_s": [leg.flow_kg_s for leg in found.legs],
    }
