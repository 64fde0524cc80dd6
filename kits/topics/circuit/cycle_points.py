"""The states of the refrigerant on its way round, from a solved duty point."""

from dataclasses import dataclass

import numpy as np

from kits.sizing.gas.refrigerant import Refrigerant
from kits.sizing.verdict.record import DutyAnswer
from vehicles.physics.arrays import FloatArray, Refusal
from vehicles.physics.pressure import absolute_pa

IIR_J_KG = 200e3
"""Enthalpy of saturated liquid at 0 °C, as it is counted by (International Institute of Refrigeration)."""
DOME_FROM_C, DOME_STEP_K = -20.0, 2.0
THROTTLED_BAR = 0.01
"""A suction valve is told apart from rounding above this."""


@dataclass(frozen=True)
class CyclePoint:
    """One state: its number, where it is, pressure (absolute), temperature, enthalpy (0 °C liquid: 200 kJ/kg)."""

    code: str
    place: str
    pressure_pa: float
    temperature_c: float
    h_j_kg: float


def enthalpy_offset_j_kg(gas: Refrigerant) -> float:
    """What is added to an enthalpy of the tables so that it is counted from 200 kJ/kg at 0 °C."""
    return IIR_J_KG - float(gas.saturation(0.0).h_l)


def cycle_points(
    gas: Refrigerant, answer: DutyAnswer, superheat_k: float, subcooling_k: float, suction_gain_k: float
) -> tuple[CyclePoint, ...]:
    """The states of a duty point, from the valve round to the valve.

    Formula: 1 behind the coil: p(t₀), superheat; 2 at the compressor: pressure after the suction hose, enthalpy with
    the heat it took up; 3 behind it: h₃ = h₂ + P/m; 4 at the condenser: h₃ at its pressure; 5 behind it: p(t_c),
    subcooling; 6 behind the valve: h₅ at p(t₀). A valve that throttles the suction stands as 2a before it.
    Parameters: gas; answer, a solved duty point; superheat_k, subcooling_k, suction_gain_k (heating in the suction
    hose) of the plant, K.
    Returns: states with pressure in Pa absolute, temperature in °C, enthalpy in J/kg.
    Validity: the condenser and the coil lose no pressure, the liquid hose neither loses nor gains.
    With two coils point 1 is where their gases meet, mixed by flow at the junction's pressure, and point 6 is the
    coil's with the colder fins.
    Source: steady flow; enthalpies counted from 200 kJ/kg of saturated liquid at 0 °C.
    Check: m·(h₁ - h₆) is the capacity, m·(h₄ - h₅) the heat rejected.
    """
    a = _Solved.of(answer)
    line_pa = float(gas.p_sat_pa(a.evaporating_c - a.suction_loss_k))
    at_line_c = a.evaporating_c - a.suction_loss_k
    behind, behind_c, out_c, h_1 = _behind_the_coils(gas, answer, a.evaporating_c, superheat_k)
    warm_c = out_c + suction_gain_k
    h_2 = float(gas.vapour(at_line_c, max(warm_c - at_line_c, 0.0)).h)
    h_3 = h_2 + a.power_w / a.flow_kg_s
    h_5 = float(gas.liquid(a.condensing_c, subcooling_k).h)
    evaporating_pa, condensing_pa = (float(gas.p_sat_pa(t)) for t in (a.evaporating_c, a.condensing_c))
    behind_pa = float(gas.p_sat_pa(behind_c))
    add = enthalpy_offset_j_kg(gas)
    points = [CyclePoint("1", behind, behind_pa, out_c, h_1 + add)]
    if line_pa - a.suction_pa > THROTTLED_BAR * 1e5:
        points.append(CyclePoint("2a", "before the suction valve", line_pa, warm_c, h_2 + add))
    points += [
        CyclePoint("2", "at the compressor", a.suction_pa, _gas_c(gas, a.suction_pa, h_2), h_2 + add),
        CyclePoint("3", "behind the compressor", a.discharge_pa, a.discharge_c, h_3 + add),
        CyclePoint("4", "at the condenser", condensing_pa, _gas_c(gas, condensing_pa, h_3), h_3 + add),
        CyclePoint("5", "behind the condenser", condensing_pa, a.condensing_c - subcooling_k, h_5 + add),
        CyclePoint("6", "behind the valve", evaporating_pa, a.evaporating_c, h_5 + add),
    ]
    return tuple(points)


def _behind_the_coils(
    gas: Refrigerant, answer: DutyAnswer, evaporating_c: float, superheat_k: float
) -> tuple[str, float, float, float]:
    """Where the gas of all coils is one: the place, its saturation temperature, its own, °C, and enthalpy, J/kg."""
    if not answer.coils:
        h = float(gas.vapour(evaporating_c, superheat_k).h)
        return "behind the coil", evaporating_c, evaporating_c + superheat_k, h
    flows = [coil.flow_g_s for coil in answer.coils]
    each = [float(gas.vapour(coil.evaporating_c, superheat_k).h) for coil in answer.coils]
    h = sum(flow * one for flow, one in zip(flows, each, strict=True)) / sum(flows)
    junction_c = answer.coils[0].evaporating_c - (answer.coils[0].branch_loss_k or 0.0)
    return "where both coils' gas meets", junction_c, _gas_c(gas, float(gas.p_sat_pa(junction_c)), h), h


def _gas_c(gas: Refrigerant, pressure_pa: float, h_j_kg: float) -> float:
    t_sat = float(gas.t_sat_c(pressure_pa))
    return t_sat + float(gas.superheat_from_enthalpy(t_sat, h_j_kg))


@dataclass(frozen=True, kw_only=True)
class _Solved:
    """The numbers of a duty point that the states follow from."""

    evaporating_c: float
    condensing_c: float
    suction_loss_k: float
    suction_pa: float
    discharge_pa: float
    discharge_c: float
    flow_kg_s: float
    power_w: float

    @classmethod
    def of(cls, answer: DutyAnswer) -> "_Solved":
        wanted = (
            answer.evaporating_c, answer.condensing_c, answer.suction_loss_k, answer.low_side_bar_g,
            answer.discharge_bar_g, answer.discharge_c, answer.flow_g_s, answer.power_w,
        )  # fmt: skip
        if any(value is None for value in wanted):
            raise Refusal(f"The refrigerant's states at “{answer.name}” are not known: it was not solved.")
        t_0, t_c, loss, low, high, hot, flow, power = (float(value) for value in wanted if value is not None)
        return cls(
            evaporating_c=t_0,
            condensing_c=t_c,
            suction_loss_k=loss,
            suction_pa=absolute_pa(low),
            discharge_pa=absolute_pa(high),
            discharge_c=hot,
            flow_kg_s=flow / 1000,
            power_w=power,
        )


def dome(gas: Refrigerant) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Enthalpy of saturated liquid and vapour, J/kg, and pressure, Pa, from cold to where condensing may end."""
    t = np.arange(DOME_FROM_C, gas.condensing_to_c + DOME_STEP_K / 2, DOME_STEP_K)
    at, add = gas.saturation(t), enthalpy_offset_j_kg(gas)
    return at.h_l + add, at.h_v + add, at.p_pa
