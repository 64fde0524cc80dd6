"""The expansion valve: what it passes where the plant works, and whether it is used as it likes to be."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from kits.sizing.gas.refrigerant import Refrigerant
from kits.sizing.words.defaults import default_value
from vehicles.physics.arrays import FloatArray, Refusal, answer, floats, scalar_or_array
from vehicles.physics.pressure import absolute_pa

HUNTING, HEALTHY, STARVING = "hunts", "healthy", "starves"


class ValveState(NamedTuple):
    """What a valve works between: pressure drop, density of the liquid before it, cooling per mass."""

    drop_pa: FloatArray
    rho_liquid_kg_m3: FloatArray
    cooling_j_kg: FloatArray


def rating_state(gas: Refrigerant) -> ValveState:
    """The state a valve's nominal capacity is stated at.

    Formula: Δp as rated; ρ of saturated liquid at the rated liquid temperature; Δh = h''(t₀) - h'(t_liquid).
    Parameters: gas.
    Returns: pressure drop in Pa, density in kg/m³, cooling in J/kg.
    Validity: a data sheet that rates at this state; the part itself holds none.
    Source: rating of the kind of AHRI 750, from memory: 4.4 °C evaporating, 37.8 °C liquid, 4.14 bar across.
    Check: against CoolProp.
    """
    evaporating, liquid = (
        gas.saturation(default_value(f"valve_rating_{which}_c")) for which in ("evaporating", "liquid")
    )
    drop_pa = floats(default_value("valve_rating_drop_bar") * 1e5)
    return ValveState(drop_pa, liquid.rho_l, floats(evaporating.h_v - liquid.h_l))


def operating_state(
    gas: Refrigerant,
    evaporating_c: ArrayLike,
    condensing_c: ArrayLike,
    superheat_k: ArrayLike,
    subcooling_k: ArrayLike,
) -> ValveState:
    """The state a valve works at in a plant.

    Formula: Δp = p(t_c) - p(t₀); ρ of the subcooled liquid; Δh = h(t₀, superheat) - h(t_c, subcooling).
    Parameters: gas; evaporating_c and condensing_c, °C; superheat_k at the coil's outlet; subcooling_k.
    Returns: pressure drop in Pa, density in kg/m³, cooling in J/kg.
    Validity: pressure lost in the liquid hose and after the valve is left out, so that the drop is a little high.
    Source: states of the refrigerant.
    Check: against CoolProp.
    """
    liquid = gas.liquid(condensing_c, subcooling_k)
    drop = gas.p_sat_pa(condensing_c) - gas.p_sat_pa(evaporating_c)
    cooling = gas.vapour(evaporating_c, superheat_k).h - liquid.h
    return ValveState(floats(drop), liquid.rho, floats(cooling))


def valve_capacity_w(nominal_w: ArrayLike, rated: ValveState, working: ValveState) -> FloatArray:
    """What a fully open valve passes, as cooling, away from its rating.

    Formula: Q = Q_nominal·√(Δp·ρ/(Δp_r·ρ_r))·Δh/Δh_r.
    Parameters: nominal_w, W, above 0; rated and working, each with pressure drop in Pa, density of the liquid in
    kg/m³ and cooling in J/kg, all above 0.
    Returns: capacity in W.
    Validity: liquid without vapour before the valve; the same opening in both states.
    Source: flow through an orifice, m = C·√(2·ρ·Δp).
    Check: by hand: four times the pressure drop gives twice the capacity.
    """
    nominal = floats(nominal_w)
    drop, rho, cooling = (floats(w) / floats(r) for w, r in zip(working, rated, strict=True))
    valid = (nominal > 0) & (drop > 0) & (rho > 0) & (cooling > 0)
    flow = np.sqrt(np.where(valid, drop * rho, 1.0))
    return answer(
        nominal * flow * cooling,
        valid & np.isfinite(nominal * flow * cooling),
        "A valve needs a nominal capacity, a pressure drop, a density and a cooling above zero.",
    )


def used_share(capacity_w: ArrayLike, valve_w: ArrayLike) -> FloatArray:
    """How much of a valve's capacity a plant uses.

    Formula: share = Q/Q_valve.
    Parameters: capacity_w, cooling, W, not negative; valve_w, what the open valve passes at that state, W, above 0.
    Returns: share.
    Validity: the mean over a cycle. While a cycling compressor runs the valve passes more, at most all it can; the
    compressor then runs longer, and the mean cooling stays.
    Source: definition.
    Check: by hand: 3,000 of 7,500 W are 0.4.
    """
    q, valve = floats(capacity_w), floats(valve_w)
    valid = (q >= 0) & (valve > 0) & np.isfinite(q) & np.isfinite(valve)
    share = q / np.where(valid, valve, 1.0)
    return answer(share, valid, "A used share needs a cooling not negative and a valve above zero.")


def valve_word(share: float) -> str:
    """Whether a valve hunts, is healthy or starves the coil.

    Formula: hunts below 30 %, starves above 110 % of what it passes at the working state.
    Parameters: share used, from 0.
    Returns: a word.
    Validity: a thermostatic valve; at less than a third of its capacity it can't hold a steady opening.
    Source: common practice, no source.
    Check: both ends belong to what is healthy.
    """
    if not 0 <= share < float("inf"):
        raise Refusal(f"A used share is a number not below zero; it is {share:g}.")
    if share < default_value("valve_least_share"):
        return HUNTING
    return STARVING if share > default_value("valve_most_share") else HEALTHY


def highest_evaporating_c(gas: Refrigerant, max_operating_pressure_bar_g: ArrayLike) -> FloatArray:
    """The evaporating temperature at which a valve's pressure limit begins to throttle.

    Formula: t = t_sat(MOP + atmosphere).
    Parameters: gas; max_operating_pressure_bar_g, bar g, within the tables.
    Returns: °C.
    Validity: pressure at the valve's outlet, no loss in the coil.
    Source: saturation of the refrigerant.
    Check: against CoolProp.
    """
    return scalar_or_array(gas.t_sat_c(absolute_pa(floats(max_operating_pressure_bar_g))))
