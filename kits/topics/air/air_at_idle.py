"""The air side with the engine idling: the battery's volts of the sized answer, what is left at the plug, the air."""

from dataclasses import dataclass

from kits.sizing.air.airflow import AirFlow, airflow
from kits.sizing.case.case import Point
from kits.sizing.case.idle_blower import idles, supplies_read_v
from kits.sizing.electrics.idle_supply import plug_v
from kits.topics.context import Context


@dataclass(frozen=True, kw_only=True)
class IdleAir:
    """The blower at a duty point at which the engine idles."""

    name: str
    share: float
    battery_v: float
    recorded_v: float
    supply_read_v: float
    """of the car as the recorded volts were read"""
    plug_v: float
    flow: AirFlow


def idle_airs(context: Context) -> tuple[IdleAir, ...]:
    """The blower of the coil that is told, at each idling duty point whose battery is known and is not flat."""
    case, found = context.case, []
    duties = {duty.code: duty for duty in case.duties}
    recorded, supply_read_v = case.mounting.blower_voltage_v, float(supplies_read_v([context.whole])[0])
    for answer in context.record.duties:
        duty = duties.get(answer.code)
        if duty is None or recorded is None or answer.battery_v is None or not idles(Point(case, duty)):
            continue
        plug = float(plug_v(answer.battery_v, recorded, supply_read_v))
        share = answer.blower_share or duty.blower_share
        flow = airflow(case.unit.air_path, plug, share)
        found.append(
            IdleAir(
                name=answer.name,
                share=share,
                battery_v=answer.battery_v,
                recorded_v=recorded,
                supply_read_v=supply_read_v,
                plug_v=plug,
                flow=flow,
            )
        )
    return tuple(found)


def volts_text(volts: float) -> str:
    """Volts with the digits by which batteries are told apart."""
    return f"{volts:.2f} V"
