"""A batch of points as arrays: their air side, heat load, condenser air and plants, ready for any cabin state.

A rear coil recirculates: the front one has the duty point's air mode and all air from outside. Its blower runs at the
voltage at its own plug and at its own step of the same number (kits.sizing.case.rear_blower). At idle both have what
the battery leaves them (kits.sizing.case.idle_blower). A batch has points with a rear coil or points without one,
never both.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

import numpy as np

from kits.sizing.air.air_path import AirPath
from kits.sizing.air.airflow import AirFlowBatch, AirStatus, airflow_batch
from kits.sizing.balance.balance_input import BalanceInput
from kits.sizing.balance.two_coils import SecondCoil
from kits.sizing.case.case import Point
from kits.sizing.case.idle_blower import BlowerVolts, blower_volts
from kits.sizing.case.plant import Line, RearCoil
from kits.sizing.case.rear_blower import share_at
from kits.sizing.machine.condenser import installed_air
from kits.sizing.words.defaults import default_value
from vehicles.heatload.inputs import AirSide, LoadPoint
from vehicles.heatload.prepare import Prepared, prepare
from vehicles.physics.air import pressure_from_altitude_pa, specific_volume_m3_kg
from vehicles.physics.arrays import FloatArray, IntArray

Answer = TypeVar("Answer")

NO_LINE = Line(0.0, 0.0127, 0.0)
"""From a coil that stands at the junction: nothing to lose."""


@dataclass(frozen=True, kw_only=True)
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
    volts: BlowerVolts
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


def kind_of(point: Point) -> tuple[str, bool]:
    """What the points of a batch have in common: the refrigerant, and whether there is a rear coil."""
    plant = point.case.plant
    return plant.refrigerant, plant.rear is not None


def build(points: Sequence[Point]) -> Batch:
    """Prepare points of one kind whose inputs are complete (see kind_of and kits.sizing.verdict.missing)."""
    kinds = {kind_of(p) for p in points}
    if len(kinds) != 1:
        raise ValueError(f"A batch has one refrigerant, with or without a rear coil, not {sorted(kinds)}.")
    volts = blower_volts(points)
    air = _air([p.case.plant.air_path for p in points], volts.front, [p.duty.blower_share for p in points])
    units = [p.case.plant.rear for p in points if p.case.plant.rear is not None]
    rear_air = None
    if units:
        rear_air = _air([unit.air_path for unit in units], volts.rear, map(share_at, points))
    prepared = prepare(_loads(points, air, rear_air))
    condenser_c, condenser_kg_s = _condenser_air(points)
    plants = _plants(points, prepared, prepared.coil_air_kg_s, condenser_c, condenser_kg_s)
    rear, air_kg_s = None, prepared.coil_air_kg_s
    if rear_air is not None:
        rear = _rear(points, units, prepared, rear_air)
        air_kg_s = air_kg_s + rear.air_kg_s
    gas = kinds.pop()[0]
    return Batch(
        points=tuple(points),
        prepared=prepared,
        air=air,
        plants=plants,
        air_kg_s=air_kg_s,
        condenser_air_c=condenser_c,
        refrigerant=gas,
        volts=volts,
        rear=rear,
        rear_air=rear_air,
    )


def _air(paths: Sequence[AirPath], volts: FloatArray, shares: Iterable[float | None]) -> AirFlowBatch:
    return airflow_batch(paths, volts, [np.nan if share is None else share for share in shares])


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
            fan_free_m3_h=p.case.plant.fan_free_m3_h,
            installed_share=m.fan_installed_share or 0.0,
            road_speed_km_h=speed,
            ram_share=m.ram_share or 0.0,
            face_area_m2=p.case.plant.condenser_face_m2,
            air_in_c=t,
            pressure_pa=pressure_from_altitude_pa(climate.altitude_m or 0.0),
        )
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


def in_batches(points: Sequence[Point], solve: Callable[[Batch, IntArray], Sequence[Answer]]) -> list[Answer]:
    """What `solve` makes of the points, in their order: one batch for each kind of them.

    solve: takes a batch and the places its points have among `points`, and answers each of them in turn.
    """
    by_kind: dict[tuple[str, bool], list[int]] = {}
    for row, point in enumerate(points):
        by_kind.setdefault(kind_of(point), []).append(row)
    found: dict[int, Answer] = {}
    for rows in by_kind.values():
        found.update(zip(rows, solve(build([points[row] for row in rows]), np.array(rows)), strict=True))
    return [found[row] for row in range(len(points))]
