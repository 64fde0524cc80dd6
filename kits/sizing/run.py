"""All points of a batch at once: air side, heat load, refrigeration balance at the cabin's own humidity.

Temperature is held at a given value, humidity floats: the cabin's humidity ratio is the one at which the coil
takes out exactly the water that people and crossing air bring in.

A rear coil recirculates: the front one has the duty point's air mode and all air from outside. Its blower runs at
the same voltage and step. A batch has points with a rear coil or points without one, never both.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from kits.sizing.air_path import AirPath
from kits.sizing.airflow import AirFlowBatch, AirStatus, airflow_batch
from kits.sizing.balance import BalanceResult
from kits.sizing.balance_input import BalanceInput
from kits.sizing.both_coils import at_surface, mixed, solve_plant, take
from kits.sizing.case import Point
from kits.sizing.condenser import installed_air
from kits.sizing.defaults import default_value
from kits.sizing.plant import Line, RearCoil
from kits.sizing.two_coils import SecondCoil
from vehicles.heatload.inputs import AirSide, LoadPoint
from vehicles.heatload.load import HeatLoad, coil_inlet, heat_load, moisture_in_kg_s
from vehicles.heatload.prepare import Prepared, prepare
from vehicles.physics.air import (
    EVAPORATION_AT_0_C,
    pressure_from_altitude_pa,
    saturation_humidity_ratio,
    specific_volume_m3_kg,
)
from vehicles.physics.arrays import BoolArray, FloatArray, IntArray
from vehicles.physics.newton import bracket_batch, climb_batch, reach_batch, solve_pairs

NO_LINE = Line(0.0, 0.0127, 0.0)
"""From a coil that stands at the junction: nothing to lose."""
DRIEST = 1e-4
"""Humidity ratio below which no cabin is looked for, kg/kg."""
WATER_KG_S = 1e-8
"""Water left unbalanced that is accepted, kg/s: 0.03 W of latent heat."""
FIRST_HUMIDITY = 0.6
FIRST_CABIN_C = 32.0
"""Where a cabin's humidity (share of saturation) and temperature are looked for first."""
DRIER_HUMIDITY = 0.25
"""Where it is looked for next: drier air may have an answer where wetter air leaves the refrigerant's range."""
CONTACT = 0.6
"""About the share of more water in the cabin that the coil takes out; only to begin somewhere."""
HOLDS_TOLERANCE_W = 0.5
HEAT_SCALE_W = 1000.0
HOLDS_TOLERANCE = 2e-5
"""Of HEAT_SCALE_W: what is left of sensible and latent heat where both balance together."""
SAME_SURFACE_K = 1e-9
WARMEST_C = 70.0
"""Temperature up to which the balance of a cabin is looked for; the refrigerant's own range may end before."""


@dataclass(frozen=True)
class Batch:
    """Prepared points; every array has one row a point.

    air_kg_s  dry air through all coils
    rear      the rear coils at their air flow, whose inlet air is not set yet; None for points without one
    """

    points: tuple[Point, ...]
    prepared: Prepared
    air: AirFlowBatch
    plants: BalanceInput
    air_kg_s: FloatArray
    condenser_air_c: FloatArray
    refrigerant: str
    rear: SecondCoil | None = None
    rear_air: AirFlowBatch | None = None

    def rows(self, rows: IntArray) -> tuple[Prepared, BalanceInput]:
        """The given rows of load and plant."""
        return self.prepared.take(rows), self.plants.take(rows)

    def air_gap(self, i: int) -> str:
        """Why a point's air flow is not known; empty where it is."""
        flows = [("", self.air), ("rear coil: ", self.rear_air)]
        return next(
            (f"{word}{air.row(i).reason}" for word, air in flows if air and air.status[i] != "ok"), ""
        )


@dataclass(frozen=True)
class Held:
    """The state at a held cabin temperature: humidity, load and capacity there.

    air_in_c, air_in_w  into the coil; of two coils the mix of both
    inputs, rear        what the balance was asked
    """

    cabin_c: FloatArray
    cabin_w: FloatArray
    load: HeatLoad
    balance: BalanceResult
    air_in_c: FloatArray
    air_in_w: FloatArray
    inputs: BalanceInput
    rear: SecondCoil | None


def kind_of(point: Point) -> tuple[str, bool]:
    """What the points of a batch have in common: the refrigerant, and whether there is a rear coil."""
    plant = point.case.plant
    return plant.refrigerant, plant.rear is not None


def build(points: Sequence[Point]) -> Batch:
    """Prepare points of one kind whose inputs are complete (see kind_of and kits.sizing.missing)."""
    kinds = {kind_of(p) for p in points}
    if len(kinds) != 1:
        raise ValueError(f"A batch has one refrigerant, with or without a rear coil, not {sorted(kinds)}.")
    air = _air(points, [p.case.plant.air_path for p in points])
    units = [p.case.plant.rear for p in points if p.case.plant.rear is not None]
    rear_air = _air(points, [unit.air_path for unit in units]) if units else None
    prepared = prepare(_loads(points, air, rear_air))
    condenser_c, condenser_kg_s = _condenser_air(points)
    plants = _plants(points, prepared, prepared.coil_air_kg_s, condenser_c, condenser_kg_s)
    rear, air_kg_s = None, prepared.coil_air_kg_s
    if rear_air is not None:
        rear = _rear(points, units, prepared, rear_air)
        air_kg_s = air_kg_s + rear.air_kg_s
    gas = kinds.pop()[0]
    return Batch(tuple(points), prepared, air, plants, air_kg_s, condenser_c, gas, rear, rear_air)


def _air(points: Sequence[Point], paths: Sequence[AirPath]) -> AirFlowBatch:
    return airflow_batch(
        paths,
        [p.case.mounting.blower_voltage_v or np.nan for p in points],
        [p.duty.blower_share for p in points],
    )


def _loads(points: Sequence[Point], air: AirFlowBatch, rear_air: AirFlowBatch | None) -> list[LoadPoint]:
    """What the heat load is asked: the front coil's air, of which a part is from outside; the heat of all blowers."""
    is_ok = np.array([status is AirStatus.OK for status in air.status])
    blower_w = air.blower_w
    if rear_air is not None:
        is_ok &= np.array([status is AirStatus.OK for status in rear_air.status])
        blower_w = blower_w + rear_air.blower_w
    duct_c = default_value("duct_air_c")
    return [
        LoadPoint(
            p.case.car.cabin,
            p.case.car.engine,
            p.duty.climate,
            AirSide(
                float(air.total_m3_h[i]) if is_ok[i] else None,
                float(blower_w[i]) if is_ok[i] else None,
                (p.case.car.duct_gain_w_k or 0.0) * ((p.duty.climate.target_c or 0.0) - duct_c),
                p.case.car.matrix_leak_w,
            ),
        )
        for i, p in enumerate(points)
    ]


def _rear(
    points: Sequence[Point], units: Sequence[RearCoil], prepared: Prepared, air: AirFlowBatch
) -> SecondCoil:
    """The rear coils at their air flow; their inlet air is the cabin's, which is not known yet."""

    def each(read: Callable[[RearCoil], Any]) -> Any:
        return np.array([read(unit) for unit in units])

    # volume as the front coil's is taken in the heat load: at the target, the humidity matters under 1 %
    volume = specific_volume_m3_kg(prepared.target_c, prepared.outside_w, prepared.pressure_pa)
    nothing = np.zeros(len(units))
    fronts = [unit.front_line or NO_LINE for unit in units]
    return SecondCoil(
        evap_ua_air_w_k=each(lambda u: u.evaporator.ua_air_w_k),
        evap_ref_air_kg_s=each(lambda u: u.evaporator.ref_air_kg_s),
        evap_ua_ref_w_k=each(lambda u: u.evaporator.ua_ref_w_k),
        superheat_k=np.array([p.case.plant.superheat_k for p in points]),
        air_kg_s=air.total_m3_h / 3600 / volume,
        air_in_c=nothing,
        air_in_w=nothing,
        first_length_m=np.array([line.length_m for line in fronts]),
        first_bore_m=np.array([line.bore_m for line in fronts]),
        first_k=np.array([line.loss_factor for line in fronts]),
        second_length_m=each(lambda u: u.line.length_m),
        second_bore_m=each(lambda u: u.line.bore_m),
        second_k=each(lambda u: u.line.loss_factor),
    )


def _condenser_air(points: Sequence[Point]) -> tuple[FloatArray, FloatArray]:
    """Temperature and mass flow of the air at the condenser as installed."""
    temperature, flow = [], []
    for p in points:
        m, climate = p.case.mounting, p.duty.climate
        speed = float(climate.road_speed_km_h or 0.0)
        moving = min(speed / default_value("rise_fades_at_km_h"), 1.0)
        idle_k, cruise_k = (
            float(k if k is not None else np.nan) for k in (m.air_on_rise_idle_k, m.air_on_rise_cruise_k)
        )
        rise = idle_k + moving * (cruise_k - idle_k)
        t = float(climate.outside_c or 0.0) + rise
        air = installed_air(
            p.case.plant.fan_free_m3_h, m.fan_installed_share or 0.0, speed, m.ram_share or 0.0,
            p.case.plant.condenser_face_m2, t, pressure_from_altitude_pa(climate.altitude_m or 0.0),
        )  # fmt: skip
        temperature.append(t)
        flow.append(float(air.kg_s))
    return np.array(temperature), np.array(flow)


def _plants(
    points: Sequence[Point],
    prepared: Prepared,
    air_kg_s: FloatArray,
    condenser_c: FloatArray,
    condenser_kg_s: FloatArray,
) -> BalanceInput:
    def each(read: Callable[[Point], Any]) -> Any:
        return np.array([read(p) for p in points])

    volumetric = each(lambda p: p.case.plant.compressor.volumetric.coefficients)
    isentropic = each(lambda p: p.case.plant.compressor.isentropic.coefficients)
    nothing = np.zeros(len(points))
    return BalanceInput(
        displacement_m3=each(lambda p: p.case.plant.compressor.displacement_cc * 1e-6),
        speed_rpm=each(lambda p: p.compressor_rpm()),
        speed_min_rpm=each(lambda p: p.case.plant.compressor.speed_min_rpm),
        speed_max_rpm=each(lambda p: p.case.plant.compressor.speed_max_rpm),
        electric=each(lambda p: p.case.plant.compressor.electric),
        **{f"v{k}": volumetric[:, k] for k in range(4)},
        **{f"i{k}": isentropic[:, k] for k in range(4)},
        superheat_k=each(lambda p: p.case.plant.superheat_k),
        subcooling_k=each(lambda p: p.case.plant.subcooling_k),
        suction_gain_k=each(lambda p: p.case.mounting.suction_gain_k),
        suction_length_m=each(lambda p: p.case.plant.suction.length_m),
        suction_bore_m=each(lambda p: p.case.plant.suction.bore_m),
        suction_k=each(lambda p: p.case.plant.suction.loss_factor),
        discharge_length_m=each(lambda p: p.case.plant.discharge.length_m),
        discharge_bore_m=each(lambda p: p.case.plant.discharge.bore_m),
        discharge_k=each(lambda p: p.case.plant.discharge.loss_factor),
        evap_ua_air_w_k=each(lambda p: p.case.plant.evaporator.ua_air_w_k),
        evap_ref_air_kg_s=each(lambda p: p.case.plant.evaporator.ref_air_kg_s),
        evap_ua_ref_w_k=each(lambda p: p.case.plant.evaporator.ua_ref_w_k),
        air_kg_s=air_kg_s,
        air_in_c=nothing,
        air_in_w=nothing,
        pressure_pa=prepared.pressure_pa,
        cond_ua_w_k=each(lambda p: p.case.plant.condenser.ua_w_k),
        cond_ref_air_kg_s=each(lambda p: p.case.plant.condenser.ref_air_kg_s),
        cond_exponent=each(lambda p: p.case.plant.condenser.exponent),
        cond_air_kg_s=condenser_kg_s,
        cond_air_in_c=condenser_c,
        freeze_mode=each(lambda p: p.case.plant.freeze_mode),
        freeze_surface_c=each(lambda p: p.case.plant.freeze_surface_c),
        high_pressure_cut_out_pa=each(lambda p: p.case.plant.high_cut_out_pa),
        discharge_limit_c=each(lambda p: p.case.plant.discharge_limit_c),
    )


Removal = Callable[[IntArray, FloatArray, FloatArray], tuple[FloatArray, FloatArray]]
"""(rows, cabin °C, cabin kg/kg) -> water kg/s and sensible heat W that the coil takes out"""


def _inlet(
    batch: Batch, rows: IntArray, cabin_c: FloatArray, cabin_w: FloatArray
) -> tuple[BalanceInput, SecondCoil | None]:
    """The plants with the air into each coil: a rear one takes the cabin's own."""
    prepared, plants = batch.rows(rows)
    air_in_c, air_in_w = coil_inlet(prepared, cabin_c, cabin_w)
    rear = take(batch.rear, rows)
    if rear is not None:
        rear = replace(rear, air_in_c=cabin_c, air_in_w=cabin_w)
    return replace(plants, air_in_c=air_in_c, air_in_w=air_in_w), rear


def _by_balance(batch: Batch) -> Removal:
    """What the whole balance takes out."""

    def removed(rows: IntArray, cabin_c: FloatArray, cabin_w: FloatArray) -> tuple[FloatArray, FloatArray]:
        inputs, rear = _inlet(batch, rows, cabin_c, cabin_w)
        result = solve_plant(batch.refrigerant, inputs, rear)
        return result.condensate_kg_h / 3600, result.sensible_w

    return removed


def _by_freeze_control(batch: Batch) -> Removal:
    """What the coil takes out with its fins where the freeze control holds them."""

    def removed(rows: IntArray, cabin_c: FloatArray, cabin_w: FloatArray) -> tuple[FloatArray, FloatArray]:
        inputs, rear = _inlet(batch, rows, cabin_c, cabin_w)
        return at_surface(inputs.freeze_surface_c, inputs, rear)

    return removed


def _humidity(
    batch: Batch, rows: IntArray, cabin_c: FloatArray, removal: Removal, near_w: FloatArray | None = None
) -> FloatArray:
    """Humidity ratio where the water balances; saturated where even that is too little; NaN if unsolved.

    near_w  where to look first

    Climbs from there, which takes few balances; what that leaves is bracketed.
    """
    saturated = saturation_humidity_ratio(cabin_c, batch.prepared.pressure_pa[rows])

    def removed_more_kg_s(cabin_w: FloatArray, part: IntArray) -> FloatArray:
        removed, _ = removal(rows[part], cabin_c[part], cabin_w)
        brought = moisture_in_kg_s(batch.prepared.take(rows[part]), cabin_c[part], cabin_w)
        difference: FloatArray = removed - brought
        return difference

    def climb(left: IntArray, start: FloatArray) -> IntArray:
        """Solve some rows; those that stay."""
        most = saturated[left]
        found = climb_batch(
            lambda w, some: removed_more_kg_s(w, left[some]),
            start,
            CONTACT * batch.air_kg_s[rows[left]],
            DRIEST,
            most,
            tolerance=WATER_KG_S,
        )
        # more water than the coil can take even from the wettest air: the cabin is saturated
        done = found.converged | ((found.x >= most) & (found.f < 0))
        humidity[left[done]] = found.x[done]
        return left[~done]

    humidity, start = np.full(rows.size, np.nan), FIRST_HUMIDITY * saturated
    if near_w is not None:
        start = np.where(np.isfinite(near_w), near_w, start)
    left = climb(np.arange(rows.size), start)
    if left.size:
        left = climb(left, DRIER_HUMIDITY * saturated[left])
    if left.size:
        humidity[left] = _humidity_bracketed(batch, rows[left], cabin_c[left], removal)
    return humidity


def _humidity_bracketed(batch: Batch, rows: IntArray, cabin_c: FloatArray, removal: Removal) -> FloatArray:
    """As `_humidity`, by bracketing between the driest and saturated air."""

    def surplus_kg_s(cabin_w: FloatArray, part: IntArray) -> FloatArray:
        removed, _ = removal(rows[part], cabin_c[part], cabin_w)
        brought = moisture_in_kg_s(batch.prepared.take(rows[part]), cabin_c[part], cabin_w)
        difference: FloatArray = brought - removed
        return difference

    saturated = saturation_humidity_ratio(cabin_c, batch.prepared.pressure_pa[rows])
    driest = np.full(len(rows), DRIEST)
    low, high = reach_batch(surplus_kg_s, driest, saturated, FIRST_HUMIDITY * saturated, near_sign=1.0)
    found = bracket_batch(surplus_kg_s, low, high, x_tolerance=1e-9, f_tolerance=WATER_KG_S)
    left = np.flatnonzero(~found.converged)
    humidity = np.where(found.converged, found.x, np.nan)
    if left.size:
        # More water than the coil can take even from the wettest air: the cabin is saturated. Where the
        # refrigerant's range ends before, the balance at saturation says so itself.
        humidity[left] = np.where(surplus_kg_s(low[left], left) > 0, saturated[left], np.nan)
    return humidity


def hold(batch: Batch, cabin_c: FloatArray, rows: IntArray | None = None) -> Held:
    """Load and capacity with the cabin held at a temperature, at the humidity where the water balances.

    Where the freeze control holds the fins, the air side alone decides the humidity; that is tried first and
    kept where the balance then confirms it. The other points are bracketed with the whole balance; so are all with
    a rear coil, of which only the colder fins are held.
    """
    chosen = np.arange(len(batch.points)) if rows is None else rows
    cabin_w = _humidity(batch, chosen, cabin_c, _by_freeze_control(batch))
    inputs, rear = _inlet(batch, chosen, cabin_c, cabin_w)
    result = solve_plant(batch.refrigerant, inputs, rear)
    other = np.flatnonzero(~_is_confirmed(batch, result.surface_c, inputs.freeze_surface_c))
    if other.size:
        cabin_w[other] = _humidity(batch, chosen[other], cabin_c[other], _by_balance(batch), cabin_w[other])
        inputs, rear = _inlet(batch, chosen, cabin_c, cabin_w)
        result = solve_plant(batch.refrigerant, inputs, rear)
    load = heat_load(batch.prepared.take(chosen), cabin_c, cabin_w)
    air_in_c, air_in_w = inputs.air_in_c, inputs.air_in_w
    if rear is not None:
        airs = (
            np.stack([getattr(x, name) for x in (inputs, rear)])
            for name in ("air_kg_s", "air_in_c", "air_in_w")
        )
        air_in_c, air_in_w = mixed(*airs)
    return Held(cabin_c, cabin_w, load, result, air_in_c, air_in_w, inputs, rear)


def _is_confirmed(batch: Batch, surface_c: FloatArray, freeze_surface_c: FloatArray) -> BoolArray:
    """Whether all fins are where the freeze control holds them; of two coils only the colder ones ever are."""
    held: BoolArray = np.abs(surface_c - freeze_surface_c) < SAME_SURFACE_K
    return held & (batch.rear is None)


def balance_temperature(batch: Batch, rows: IntArray) -> FloatArray:
    """Cabin temperature where the coil's sensible heat equals the sensible load; NaN where none is found."""
    cabin_c = _temperature(batch, rows, _by_freeze_control(batch))
    known = np.flatnonzero(np.isfinite(cabin_c))
    is_confirmed = np.zeros(len(rows), dtype=bool)
    if known.size and batch.rear is None:
        held = hold(batch, cabin_c[known], rows[known])
        is_confirmed[known] = _is_confirmed(batch, held.balance.surface_c, held.inputs.freeze_surface_c)
    other = np.flatnonzero(~is_confirmed)
    if other.size:
        cabin_c[other] = _temperature_and_humidity(batch, rows[other], cabin_c[other])
    return cabin_c


def _temperature_and_humidity(batch: Batch, rows: IntArray, near_c: FloatArray) -> FloatArray:
    """Cabin temperature where water and sensible heat balance together; what that leaves is bracketed."""
    removal = _by_balance(batch)

    def residual(both: FloatArray, part: IntArray) -> FloatArray:
        share, cabin_c = both
        now = rows[part]
        saturated = saturation_humidity_ratio(cabin_c, batch.prepared.pressure_pa[now])
        cabin_w = DRIEST + share * (saturated - DRIEST)
        water_kg_s, sensible_w = removal(now, cabin_c, cabin_w)
        prepared = batch.prepared.take(now)
        brought = moisture_in_kg_s(prepared, cabin_c, cabin_w)
        load = heat_load(prepared, cabin_c, cabin_w)
        latent_w = (water_kg_s - brought) * EVAPORATION_AT_0_C
        left_w: FloatArray = np.stack([latent_w, sensible_w - load.total_sensible_w])
        return left_w / HEAT_SCALE_W

    coldest, one = _coldest_c(batch, rows), np.ones(rows.size)
    first_c = np.clip(np.where(np.isfinite(near_c), near_c, FIRST_CABIN_C), coldest, WARMEST_C)
    lower, upper = np.stack([0 * one, coldest]), np.stack([one, WARMEST_C * one])

    def joint(left: IntArray, share: float) -> IntArray:
        """Solve some rows; those that stay."""
        found = solve_pairs(
            lambda both, some: residual(both, left[some]),
            lower[:, left],
            upper[:, left],
            np.stack([share * one, first_c])[:, left],
            tolerance=HOLDS_TOLERANCE,
        )
        cabin_c[left[found.converged]] = found.x[1, found.converged]
        return left[~found.converged]

    cabin_c = np.full(rows.size, np.nan)
    left = joint(np.arange(rows.size), FIRST_HUMIDITY)
    if left.size:
        left = joint(left, DRIER_HUMIDITY)
    if left.size:
        cabin_c[left] = _temperature(batch, rows[left], removal)
    return cabin_c


def _coldest_c(batch: Batch, rows: IntArray) -> FloatArray:
    """The cabin can't become colder than the fins; a little above them the coil gives nothing yet."""
    return np.array([batch.points[i].case.plant.freeze_surface_c + 1.0 for i in rows])


def _temperature(batch: Batch, rows: IntArray, removal: Removal) -> FloatArray:
    def surplus_w(cabin_c: FloatArray, part: IntArray) -> FloatArray:
        now = rows[part]
        cabin_w = _humidity(batch, now, cabin_c, removal)
        _, sensible_w = removal(now, cabin_c, cabin_w)
        load = heat_load(batch.prepared.take(now), cabin_c, cabin_w)
        difference: FloatArray = sensible_w - load.total_sensible_w
        return difference

    low, high = reach_batch(surplus_w, _coldest_c(batch, rows), WARMEST_C, FIRST_CABIN_C, near_sign=-1.0)
    found = bracket_batch(surplus_w, low, high, x_tolerance=1e-5, f_tolerance=HOLDS_TOLERANCE_W)
    return np.where(found.converged, found.x, np.nan)
