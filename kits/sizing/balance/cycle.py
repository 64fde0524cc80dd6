"""The refrigerant's way round: coil side, lines, compressor, condenser, as explicit functions.

Given the fin temperature, the condensing temperature and the compressor's speed, all states follow without
iteration. `balance` looks for the temperatures at which the pump moves what the coil evaporates and the
condenser rejects what arrives.

While a solver searches it may ask for states beyond the property tables. They are held at the tables' edge
and `inside` says so; such a point is never given out as a solution.
"""

from collections.abc import Callable
from typing import Any, NamedTuple, TypeVar

import numpy as np

from kits.sizing.balance.balance_input import BalanceInput
from kits.sizing.gas.lines import Line, line, line_loss_pa
from kits.sizing.gas.refrigerant import ZERO_C_K, Refrigerant
from kits.sizing.gas.spline import Place
from kits.sizing.machine.condenser import conductance_w_k
from kits.sizing.machine.evaporator import bypass_factor
from vehicles.physics.air import enthalpy_j_kg, saturation_humidity_ratio
from vehicles.physics.arrays import BoolArray, FloatArray, IntArray

LEAST_EFFICIENCY = 0.02
"""Searching, an isentropic efficiency is not let fall below this; solutions need at least 0.05."""
EDGE_K = 1e-3
EDGE_SHARE = 1e-4
"""How far inside the tables' ends the search stays, so that rounding does not put it outside."""
BLOCK = 1024
"""Rows worked on at once: few enough that what is in between stays in the processor's cache."""


class PlantRows(NamedTuple):
    """What the equations need of each plant, worked out once; one row each."""

    contact_kg_s: FloatArray
    h_in: FloatArray
    air_in_w: FloatArray
    pressure_pa: FloatArray
    evap_ua_ref_w_k: FloatArray
    superheat_k: FloatArray
    superheat: Place
    subcooling: Place
    suction_gain_k: FloatArray
    suction: Line
    discharge: Line
    swept_m3: FloatArray
    v0: FloatArray
    v1: FloatArray
    v2: FloatArray
    v3: FloatArray
    i0: FloatArray
    i1: FloatArray
    i2: FloatArray
    i3: FloatArray
    condenser_w_k: FloatArray
    cond_air_in_c: FloatArray

    def take(self, rows: IntArray | slice) -> "PlantRows":
        """The given rows."""
        return PlantRows(*(_rows_of(value, rows) for value in self))


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

    def take(self, rows: IntArray | slice) -> "CoilSide":
        """The given rows."""
        return CoilSide(*(_rows_of(value, rows) for value in self))


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


Rows = TypeVar("Rows", CoilSide, Cycle)


def plant_rows(gas: Refrigerant, x: BalanceInput) -> PlantRows:
    """The plants of flat, valid inputs."""
    bypass = bypass_factor(x.evap_ua_air_w_k, x.evap_ref_air_kg_s, x.air_kg_s, x.air_in_w)
    return PlantRows(
        contact_kg_s=x.air_kg_s * (1.0 - bypass),
        h_in=enthalpy_j_kg(x.air_in_c, x.air_in_w),
        air_in_w=x.air_in_w,
        pressure_pa=x.pressure_pa,
        evap_ua_ref_w_k=x.evap_ua_ref_w_k,
        superheat_k=x.superheat_k,
        superheat=gas.for_cycle.superheat_axis.place(np.sqrt(x.superheat_k)),
        subcooling=gas.for_cycle.subcooling_axis.place(np.sqrt(x.subcooling_k)),
        suction_gain_k=x.suction_gain_k,
        suction=line(x.suction_length_m, x.suction_bore_m, x.suction_k),
        discharge=line(x.discharge_length_m, x.discharge_bore_m, x.discharge_k),
        swept_m3=x.displacement_m3 / 60.0,
        **{f"{kind}{k}": getattr(x, f"{kind}{k}") for kind in "vi" for k in range(4)},
        condenser_w_k=conductance_w_k(x.cond_ua_w_k, x.cond_ref_air_kg_s, x.cond_exponent, x.cond_air_kg_s),
        cond_air_in_c=x.cond_air_in_c,
    )


def coil_heat_w(k: PlantRows, surface_c: FloatArray) -> FloatArray:
    """Heat taken from the air: that of `evaporator.coil`, without what only a report needs."""
    w_surface = np.minimum(saturation_humidity_ratio(surface_c, k.pressure_pa), k.air_in_w)
    heat: FloatArray = k.contact_kg_s * (k.h_in - enthalpy_j_kg(surface_c, w_surface))
    return heat


def coil_side(gas: Refrigerant, k: PlantRows, surface_c: FloatArray) -> CoilSide:
    """Heat taken from the air, evaporating temperature and the vapour at the coil outlet."""
    if surface_c.size > BLOCK:
        return _in_blocks(lambda part: coil_side(gas, k.take(part), surface_c[part]), surface_c.size)
    heat = coil_heat_w(k, surface_c)
    wanted = surface_c - heat / k.evap_ua_ref_w_k
    coldest = gas.saturation_from_c + EDGE_K
    evaporating = np.maximum(wanted, coldest)
    tables = gas.for_cycle
    at = tables.t_axis.place(evaporating)
    rho, h, mu = tables.outlet(at, k.superheat)
    return CoilSide(
        heat_w=heat,
        evaporating_c=evaporating,
        evaporating_pa=tables.p_sat_pa(at),
        out_c=evaporating + k.superheat_k,
        rho=rho,
        h=h,
        mu=mu,
        inside=wanted > coldest,
    )


def cycle(
    gas: Refrigerant,
    k: PlantRows,
    side: CoilSide,
    condensing_c: FloatArray,
    speed_rpm: FloatArray,
    throttle: FloatArray | None = None,
) -> Cycle:
    """All states from the coil outlet to the liquid before the valve.

    throttle  pressure after over pressure before the suction-regulating valve; None when there is none
    """
    if condensing_c.size > BLOCK:

        def block(part: slice) -> Cycle:
            some = None if throttle is None else throttle[part]
            return cycle(gas, k.take(part), side.take(part), condensing_c[part], speed_rpm[part], some)

        return _in_blocks(block, condensing_c.size)
    tables = gas.for_cycle
    at_condensing = tables.t_axis.place(condensing_c)
    h_3 = tables.liquid_h(at_condensing, k.subcooling)
    flow = side.heat_w / (side.h - h_3)
    least_pa = gas.least_pa * (1 + EDGE_SHARE)
    line_end = side.evaporating_pa - line_loss_pa(flow, k.suction, side.rho, side.mu)
    inside = side.inside & (line_end > least_pa)
    flows = inside
    line_pa = np.maximum(line_end, least_pa)
    t_sat = tables.t_sat_c(line_pa)
    superheat = np.maximum(side.out_c + k.suction_gain_k - t_sat, 0.0)
    rho_1, h_1, s_1 = tables.inlet(
        tables.t_axis.place(t_sat), tables.superheat_axis.place(np.sqrt(superheat))
    )
    suction_pa = line_pa
    if throttle is not None:
        wanted_pa = throttle * line_pa
        suction_pa, inside = np.maximum(wanted_pa, least_pa), inside & (wanted_pa >= least_pa)
        at = tables.t_axis.place(tables.t_sat_c(suction_pa))
        rho_1, _, s_1 = tables.inlet(at, tables.superheat_axis.place(tables.superheat_root(at, h_1)))
    condensing_pa = tables.p_sat_pa(at_condensing)
    discharge_pa, h_2s, held = _compression(
        gas=gas,
        k=k,
        flow=flow,
        condensing_c=condensing_c,
        at_condensing=at_condensing,
        condensing_pa=condensing_pa,
        s_1=s_1,
    )
    ratio = discharge_pa / suction_pa
    n = speed_rpm / 1000.0
    eta_v = k.v0 + k.v1 * ratio + n * (k.v2 + k.v3 * n)
    eta_is = k.i0 + k.i1 * ratio + n * (k.i2 + k.i3 * n)
    h_2 = h_1 + (h_2s - h_1) / np.maximum(eta_is, LEAST_EFFICIENCY)
    # a line in which the pressure is used up brings nothing to the pump
    pump = eta_v * k.swept_m3 * speed_rpm * rho_1 * flows
    return Cycle(
        flow_kg_s=flow,
        suction_line_pa=line_pa,
        suction_pa=suction_pa,
        h_1=h_1,
        condensing_pa=condensing_pa,
        discharge_pa=discharge_pa,
        h_2=h_2,
        pressure_ratio=ratio,
        eta_v=eta_v,
        eta_is=eta_is,
        pump_kg_s=pump,
        heat_w=flow * (h_2 - h_3),
        rejected_w=k.condenser_w_k * (condensing_c - k.cond_air_in_c),
        inside=inside & ~held,
    )


def _compression(
    *,
    gas: Refrigerant,
    k: PlantRows,
    flow: FloatArray,
    condensing_c: FloatArray,
    at_condensing: Place,
    condensing_pa: FloatArray,
    s_1: FloatArray,
) -> tuple[FloatArray, FloatArray, BoolArray]:
    """Pressure at the compressor's outlet, isentropic enthalpy there, and whether a table's edge was met.

    The discharge line is judged with gas of the isentropic temperature at condenser pressure; that keeps the
    pass explicit.
    """
    tables = gas.for_cycle
    above, _, held_first = _above_vapour(gas, at_condensing, s_1)
    rho, mu = tables.hot(at_condensing, above)
    most_pa = gas.most_pa * (1 - EDGE_SHARE)
    wanted_pa = condensing_pa + line_loss_pa(flow, k.discharge, rho, mu)
    discharge_pa = np.minimum(wanted_pa, most_pa)
    t_sat = tables.t_sat_c(discharge_pa)
    at = tables.t_axis.place(t_sat)
    above, h_v, held_second = _above_vapour(gas, at, s_1)
    # below saturated vapour the state is wet: h = h_v - T_sat·(s_v - s)
    wet = (t_sat + ZERO_C_K) * np.minimum(above, 0.0)
    h_2s = h_v + tables.rise(at, above) + wet
    return discharge_pa, h_2s, held_first | held_second | (wanted_pa > most_pa)


def _above_vapour(gas: Refrigerant, at: Place, s: FloatArray) -> tuple[FloatArray, FloatArray, BoolArray]:
    """Entropy above saturated vapour, held within the table; the vapour's enthalpy; where it was held."""
    s_l, h_v, s_v = gas.for_cycle.edges(at)
    wanted = s - s_v
    above = np.minimum(np.maximum(wanted, s_l - s_v), gas.for_cycle.most_above_j_kgk)
    held: BoolArray = wanted != above
    return above, h_v, held


def _rows_of(value: Any, rows: IntArray | slice) -> Any:
    """The given rows of an array, or of a tuple of arrays; the rows are an array's last dimension."""
    if isinstance(value, tuple):
        return type(value)(*(_rows_of(part, rows) for part in value))
    return value[..., rows] if isinstance(rows, slice) else value.take(rows, axis=-1)


def _in_blocks(work: Callable[[slice], Rows], count: int) -> Rows:
    """The results of a function over blocks of rows, put together again."""
    parts = [work(slice(start, start + BLOCK)) for start in range(0, count, BLOCK)]
    return type(parts[0])(*(np.concatenate(values) for values in zip(*parts, strict=True)))
