"""The refrigerant's way round: coil side, lines, compressor, condenser, as explicit functions.

Given the fin temperature, the condensing temperature and the compressor's speed, all states follow without
iteration. `balance` looks for the temperatures at which the pump moves what the coil evaporates and the
condenser rejects what arrives.

While a solver searches it may ask for states beyond the property tables. They are held at the tables' edge
and `inside` says so; such a point is never given out as a solution.
"""

from typing import Any, NamedTuple

import numpy as np

from kits.sizing.balance_input import BalanceInput
from kits.sizing.compressor import efficiency
from kits.sizing.condenser import heat_rejected_w
from kits.sizing.evaporator import coil
from kits.sizing.lines import line_pressure_drop_pa
from kits.sizing.refrigerant import Refrigerant
from vehicles.physics.arrays import BoolArray, FloatArray, IntArray

LEAST_EFFICIENCY = 0.02
"""Searching, an isentropic efficiency is not let fall below this; solutions need at least 0.05."""
EDGE_K = 1e-3
EDGE_SHARE = 1e-4
"""How far inside the tables' ends the search stays, so that rounding does not put it outside."""


class CoilSide(NamedTuple):
    """What follows from the fin temperature alone."""

    heat_w: FloatArray
    evaporating_c: FloatArray
    evaporating_pa: FloatArray
    out_c: FloatArray
    rho: FloatArray
    h: FloatArray
    mu: FloatArray
    inside: BoolArray

    def take(self, rows: IntArray) -> "CoilSide":
        """The given rows."""
        values: list[Any] = [value[rows] for value in self]
        return CoilSide(*values)


class Cycle(NamedTuple):
    """All states of one pass, per row."""

    flow_kg_s: FloatArray
    suction_line_pa: FloatArray
    suction_pa: FloatArray
    h_1: FloatArray
    condensing_pa: FloatArray
    discharge_pa: FloatArray
    h_2: FloatArray
    pressure_ratio: FloatArray
    eta_v: FloatArray
    eta_is: FloatArray
    pump_kg_s: FloatArray
    heat_w: FloatArray
    rejected_w: FloatArray
    inside: BoolArray


def coil_side(gas: Refrigerant, x: BalanceInput, bypass: FloatArray, surface_c: FloatArray) -> CoilSide:
    """Heat taken from the air, evaporating temperature and the vapour at the coil outlet."""
    heat = coil(surface_c, x.air_kg_s, x.air_in_c, x.air_in_w, x.pressure_pa, bypass).total_w
    wanted = surface_c - heat / x.evap_ua_ref_w_k
    inside = wanted > gas.saturation_from_c + EDGE_K
    evaporating = np.where(inside, wanted, gas.saturation_from_c + EDGE_K)
    out = gas.vapour(evaporating, x.superheat_k)
    return CoilSide(
        heat,
        evaporating,
        gas.p_sat_pa(evaporating),
        evaporating + x.superheat_k,
        out.rho,
        out.h,
        out.mu,
        inside,
    )


def cycle(
    gas: Refrigerant,
    x: BalanceInput,
    side: CoilSide,
    condensing_c: FloatArray,
    speed_rpm: FloatArray,
    throttle: FloatArray | None = None,
) -> Cycle:
    """All states from the coil outlet to the liquid before the valve.

    throttle  pressure after over pressure before the suction-regulating valve; None when there is none
    """
    condensing_pa = gas.p_sat_pa(condensing_c)
    h_3 = gas.liquid(condensing_c, x.subcooling_k).h
    flow = side.heat_w / (side.h - h_3)
    suction_loss = line_pressure_drop_pa(
        flow, x.suction_length_m, x.suction_bore_m, x.suction_k, side.rho, side.mu
    )
    least_pa = gas.least_pa * (1 + EDGE_SHARE)
    line_end = side.evaporating_pa - suction_loss
    flows = side.inside & (line_end > least_pa)
    line_pa = np.where(flows, line_end, least_pa)
    t_sat = gas.t_sat_c(line_pa)
    inlet = gas.vapour(t_sat, np.maximum(side.out_c + x.suction_gain_k - t_sat, 0.0))
    h_1, rho_1, s_1, suction_pa, inside = inlet.h, inlet.rho, inlet.s, line_pa, flows
    if throttle is not None:
        suction_pa = np.maximum(throttle * line_pa, least_pa)
        inside = inside & (throttle * line_pa >= least_pa)
        t_sat = gas.t_sat_c(suction_pa)
        after = gas.vapour(t_sat, gas.superheat_from_enthalpy(t_sat, h_1))
        rho_1, s_1 = after.rho, after.s
    discharge_pa, h_2s, held = _compression(gas, x, flow, condensing_c, condensing_pa, s_1)
    ratio = discharge_pa / suction_pa
    eta_v = efficiency((x.v0, x.v1, x.v2, x.v3), ratio, speed_rpm)
    eta_is = efficiency((x.i0, x.i1, x.i2, x.i3), ratio, speed_rpm)
    h_2 = h_1 + (h_2s - h_1) / np.maximum(eta_is, LEAST_EFFICIENCY)
    # a line in which the pressure is used up brings nothing to the pump
    pump = np.where(flows, eta_v * x.displacement_m3 * speed_rpm / 60 * rho_1, 0.0)
    rejected = heat_rejected_w(
        x.cond_ua_w_k, x.cond_ref_air_kg_s, x.cond_exponent, x.cond_air_kg_s, x.cond_air_in_c, condensing_c
    )
    return Cycle(
        flow,
        line_pa,
        suction_pa,
        h_1,
        condensing_pa,
        discharge_pa,
        h_2,
        ratio,
        eta_v,
        eta_is,
        pump,
        flow * (h_2 - h_3),
        rejected,
        inside & ~held,
    )


def _compression(
    gas: Refrigerant,
    x: BalanceInput,
    flow: FloatArray,
    condensing_c: FloatArray,
    condensing_pa: FloatArray,
    s_1: FloatArray,
) -> tuple[FloatArray, FloatArray, BoolArray]:
    """Pressure at the compressor's outlet, isentropic enthalpy there, and whether a table's edge was met.

    The discharge line is judged with gas of the isentropic temperature at condenser pressure; that keeps the
    pass explicit.
    """
    hot, held_first = gas.isentropic_held(condensing_c, s_1)
    loss = line_pressure_drop_pa(
        flow, x.discharge_length_m, x.discharge_bore_m, x.discharge_k, hot.rho, hot.mu
    )
    most_pa = gas.most_pa * (1 - EDGE_SHARE)
    discharge_pa = np.minimum(condensing_pa + loss, most_pa)
    end, held_second = gas.isentropic_held(gas.t_sat_c(discharge_pa), s_1)
    return discharge_pa, end.h, held_first | held_second | (condensing_pa + loss > most_pa)
