"""The volts at the blowers' plugs by duty point: as recorded on the road, at idle by the battery.

The kit states its current with everything on and the blowers at their rated voltage; here it is carried to the volts
recorded at their plugs, once and for everybody (`kits_a`). An idling engine has hot idle's generator behind it, and the
car's loads by day. At an idle point everything of the kit is on; at a winter point only the blowers of a kit that
cools. Where generator, loads or battery are not known (a winter point does not ask for them) the recorded volts stand.
A car that is charged otherwise has other volts on the road as well (`recharged`).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from kits.sizing.air.blower import BlowerData
from kits.sizing.case.case import Car, Case, Point
from kits.sizing.case.plant import Plant
from kits.sizing.case.rear_blower import rear_path, recorded_rear_v
from kits.sizing.electrics.battery import ChargingCurve, battery_after_idle
from kits.sizing.electrics.idle_supply import (
    IdleSupply,
    idle_supply,
    kit_as_read_a,
    kit_on_supply_a,
    plug_v,
    reading_v,
)
from vehicles.physics.arrays import FloatArray


@dataclass(frozen=True)
class BlowerVolts:
    """Volts at the plugs with the blowers at full speed; arrays over the points, NaN where not known.

    rear    NaN without a rear coil
    supply  at idle what they follow from; NaN elsewhere, and where something of it is not known
    """

    front: FloatArray
    rear: FloatArray
    supply: IdleSupply


def idles(point: Point) -> bool:
    """Whether the engine idles at a duty point."""
    return point.duty.of_kind.idles or point.duty.engine_state == "idle"


def blower_volts(points: Sequence[Point]) -> BlowerVolts:
    """The volts at the blowers' plugs of each point."""
    cases = [p.case for p in points]
    kit_a = np.where([_runs_blowers_alone(p) for p in points], _blowers_alone_a(cases), kits_a(cases))
    loads_a = np.where([idles(p) for p in points], kit_a, np.nan)
    supply = supplies(cases, loads_a, _numbers([case.car.base_load_a for case in cases]))
    front = _numbers([case.mounting.blower_voltage_v for case in cases])
    rear = _numbers([recorded_rear_v(case) for case in cases])
    return BlowerVolts(
        np.where(np.isfinite(supply.blower_v), supply.blower_v, front),
        np.where(np.isfinite(rear) & np.isfinite(supply.rear_blower_v), supply.rear_blower_v, rear),
        supply,
    )


def supplies(cases: Sequence[Case], kit_load_a: FloatArray, base_load_a: FloatArray) -> IdleSupply:
    """The supply of each case at hot idle, by what kit and car take on the road; NaN where one is unknown."""
    generator_a = _numbers([idle_generator_a(case.car) for case in cases])
    return _supplies(cases, generator_a, kit_load_a, base_load_a)


def recharged(case: Case, car: Car) -> Case:
    """The case with a car that differs in what charges it, as it is recorded on the road from then on.

    The plugs get what their circuits leave of the new supply, with everything on and the resistance that they had.
    Where the supply of the reading is not known they stay as recorded; on a supply of another nominal voltage nothing
    is known of them then, and nothing is changed.
    """
    if car == case.car:
        return case
    changed, read_v = replace(case, car=car), float(supplies_read_v([case])[0])
    is_same_system = car.system_voltage_v == case.car.system_voltage_v
    if math.isfinite(read_v) and car.system_voltage_v is not None:
        held_v = float(battery_after_idle([0.0], 0.0, 0.0, car.system_voltage_v).volts[0])
        full = _on_supply(changed, read_v, max(held_v, read_v) if is_same_system else held_v)
        road = _supplies(
            [full],
            _numbers([most_generator_a(car)]),
            kits_a([full]),
            _numbers([car.base_load_a]),
            minutes=0.0,
        )
        supply_v = float(road.supply_v[0])
        if math.isfinite(supply_v):
            return _on_supply(changed, read_v, supply_v)
    return changed if is_same_system else case


def _on_supply(case: Case, read_v: float, supply_v: float) -> Case:
    """The case with its plugs on this supply of the road; `read_v` is the one on which they stand now."""
    front_v, rear_v = (float(plug_v(supply_v, float(volts[0]), read_v)) for volts in _plugs_v([case]))
    unit = case.unit
    if isinstance(unit, Plant) and unit.rear is not None and unit.rear.circuit_loses_more_v is not None:
        unit = replace(unit, rear=replace(unit.rear, circuit_loses_more_v=front_v - rear_v))
    mounting = replace(case.mounting, blower_voltage_v=front_v)
    return replace(case, mounting=mounting, unit=unit, supply_read_v=supply_v)


def _supplies(
    cases: Sequence[Case],
    generator_a: FloatArray,
    kit_load_a: FloatArray,
    base_load_a: FloatArray,
    minutes: float | None = None,
) -> IdleSupply:
    front_v, rear_v = _plugs_v(cases)
    front_a, rear_a = _blowers_a(cases)
    return idle_supply(
        generator_a=generator_a,
        base_load_a=base_load_a,
        kit_load_a=kit_load_a,
        nominal_voltage_v=_numbers([case.car.system_voltage_v for case in cases]),
        capacity_ah=_numbers([case.car.battery_ah for case in cases]),
        supply_read_v=supplies_read_v(cases),
        blower_v=front_v,
        blower_a=front_a,
        rear_blower_v=rear_v,
        rear_blower_a=rear_a,
        minutes=minutes,
    )


def kits_a(cases: Sequence[Case]) -> FloatArray:
    """What each kit takes with everything on and its blowers at their recorded volts, A.

    As it is stated where those volts are not recorded; NaN for a kit that states less than its blowers take.
    """
    stated, (front, rear) = _numbers([case.unit.kit_current_a for case in cases]), _blowers_a(cases)
    rated = [blowers_rated_a(case) for case in cases]
    front_rated, rear_rated = _numbers([one[0] for one in rated]), _numbers([one[1] for one in rated])
    return np.where(np.isfinite(front), kit_as_read_a(stated, front_rated, front, rear_rated, rear), stated)


def kits_on_a(cases: Sequence[Case], supply_v: FloatArray) -> FloatArray:
    """The same with the car's supply at these volts; as it is recorded where the supply of the reading isn't known."""
    recorded, (front_v, rear_v), (front_a, rear_a) = kits_a(cases), _plugs_v(cases), _blowers_a(cases)
    found = kit_on_supply_a(
        supply_v=supply_v,
        kit_load_a=recorded,
        supply_read_v=supplies_read_v(cases),
        blower_v=front_v,
        blower_a=front_a,
        rear_blower_v=rear_v,
        rear_blower_a=rear_a,
    )
    return np.where(np.isfinite(found), found, recorded)


def supplies_read_v(cases: Sequence[Case]) -> FloatArray:
    """The supply of each case while the volts at its blowers' plugs were read; a changed case keeps that of the car."""
    front_v, rear_v = _plugs_v(cases)
    kept = np.maximum(_numbers([case.supply_read_v for case in cases]), np.fmax(front_v, rear_v))
    own = reading_v(
        most_generator_a=_numbers([most_generator_a(case.car) for case in cases]),
        base_load_a=_numbers([case.car.base_load_a for case in cases]),
        kit_load_a=kits_a(cases),
        nominal_voltage_v=_numbers([case.car.system_voltage_v for case in cases]),
        capacity_ah=_numbers([case.car.battery_ah for case in cases]),
        blower_v=front_v,
        rear_blower_v=rear_v,
    )
    return np.where(np.isfinite(kept), kept, own)


def _plugs_v(cases: Sequence[Case]) -> tuple[FloatArray, FloatArray]:
    """The recorded volts at the plugs; without a rear coil the front one's stand for both."""
    front = _numbers([case.mounting.blower_voltage_v for case in cases])
    has_rear = np.array([rear_path(case) is not None for case in cases], dtype=bool)
    return front, np.where(has_rear, _numbers([recorded_rear_v(case) for case in cases]), front)


def blowers_a(case: Case) -> tuple[float | None, float | None]:
    """What front and rear blower take at full speed at their recorded volts, A; None where that is not known.

    Without a rear coil the second is 0.
    """
    front, rear = case.unit.air_path.blower, rear_path(case)
    return (
        _current_a(front, case.mounting.blower_voltage_v),
        0.0 if rear is None else _current_a(rear.blower, recorded_rear_v(case)),
    )


def blowers_rated_a(case: Case) -> tuple[float, float]:
    """What front and rear blower take at full speed at their rated voltage, A; without a rear coil the second is 0."""
    rear = rear_path(case)
    return _full_a(case.unit.air_path.blower), 0.0 if rear is None else _full_a(rear.blower)


def idle_generator_a(car: Car) -> float | None:
    """What the generator gives at hot idle, or an electric car's converter; None where the curve does not say."""
    rpm = 0.0 if car.is_electric else car.hot_idle_rpm
    if rpm is None or not car.charging_curve:
        return None
    try:
        return float(ChargingCurve(car.charging_curve).current_a(rpm))
    except ValueError:
        return None


def most_generator_a(car: Car) -> float | None:
    """The largest current of the charging curve; None without one."""
    return max(ampere for _, ampere in car.charging_curve) if car.charging_curve else None


def _runs_blowers_alone(point: Point) -> bool:
    """Whether nothing but the blowers runs: in winter, of a kit that cools."""
    return point.duty.climate.is_heating and not point.case.heats_only


def _blowers_alone_a(cases: Sequence[Case]) -> FloatArray:
    front, rear = _blowers_a(cases)
    return front + rear


def _blowers_a(cases: Sequence[Case]) -> tuple[FloatArray, FloatArray]:
    known = [blowers_a(case) for case in cases]
    return _numbers([front for front, _ in known]), _numbers([rear for _, rear in known])


def _current_a(blower: BlowerData, volts: float | None) -> float | None:
    """The motor's current at full speed: the one it states, carried by the fan laws from its rated voltage."""
    if volts is None:
        return None
    return _full_a(blower) * (volts / blower.rated_voltage_v) ** 2


def _full_a(blower: BlowerData) -> float:
    return max(ampere for _, ampere in blower.current)


def _numbers(values: Sequence[float | None]) -> FloatArray:
    return np.array([np.nan if value is None else value for value in values], dtype=np.float64)
