"""Real changes to a car or a kit, each made to the case itself so that a run with it tells what it brings."""

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

import numpy as np

from kits.sizing.air.blower import fan_laws
from kits.sizing.case.case import Car, Case
from kits.sizing.case.heater import Heater
from kits.sizing.case.idle_blower import recharged, supplies_read_v
from kits.sizing.case.plant import Plant
from vehicles.heatload.inputs import ENGINE_BOUNDARIES, CabinData, Surface

Unit = TypeVar("Unit", Plant, Heater, Plant | Heater)
ROOF_TILT_DEG = 45.0
WINDSCREEN_DEG = 45.0
"""Glass that faces no further than this from straight ahead is windscreen, also the halves of a split one: the
driver looks through it, so that neither film nor blind goes on it."""
VOLTS_OF_DATA = 12.0
"""Supply to which the currents of the data file are given; the same power takes less from a higher one."""


OF_COOLING = ("air_on_rise", "fan", "idle", "pulley", "suction")
"""Changes that a heater knows nothing of."""


@dataclass(frozen=True)
class Lever:
    """A change, its hours of work, and where these come from. What it costs differs by workshop and stands nowhere."""

    code: str
    name: str
    minutes_min: float
    rule: Mapping[str, Any]
    source: str


@cache
def levers() -> tuple[Lever, ...]:
    """The levers of the data file."""
    read = json.loads((Path(__file__).parent / "data" / "levers.json").read_text(encoding="utf-8"))
    return tuple(
        Lever(
            r["code"],
            r["name"],
            r["work_min"],
            r,
            "; ".join(filter(None, (read["source"], r.get("source")))),
        )
        for r in read["levers"]
    )


def pulled(case: Case, lever: Lever) -> Case | None:
    """The case with the lever pulled; None when it changes nothing here."""
    if case.heats_only and lever.rule["change"] in OF_COOLING:
        return None
    changed = _CHANGES[lever.rule["change"]](case, lever.rule)
    if changed == case:
        return None
    if changed.supply_read_v is not None:  # of two changes the first has kept it; another supply has its own
        return changed
    read_v = float(supplies_read_v([case])[0])
    return replace(changed, supply_read_v=read_v if math.isfinite(read_v) else None)


def _scaled(value: float | None, factor: float) -> float | None:
    return None if value is None else value * factor


def _air_on_rise(case: Case, rule: Mapping[str, Any]) -> Case:
    m, f = case.mounting, rule["factor"]
    mounting = replace(
        m,
        air_on_rise_idle_k=_scaled(m.air_on_rise_idle_k, f),
        air_on_rise_cruise_k=_scaled(m.air_on_rise_cruise_k, f),
    )
    return replace(case, mounting=mounting)


def _drawing(unit: Unit, rule: Mapping[str, Any]) -> Unit:
    """The unit with what the change draws added to the kit's current, by which battery and charging are judged."""
    more_a = rule["current_a"] * VOLTS_OF_DATA / unit.supply_voltage_v
    return replace(unit, kit_current_a=unit.kit_current_a + more_a)


def _fan(case: Case, rule: Mapping[str, Any]) -> Case:
    plant = replace(case.plant, fan_free_m3_h=case.plant.fan_free_m3_h * rule["factor"])
    return replace(case, unit=_drawing(plant, rule))


def _idle(case: Case, rule: Mapping[str, Any]) -> Case:
    if case.car.is_electric or case.car.hot_idle_rpm is None:
        return case
    return replace(case, car=replace(case.car, hot_idle_rpm=case.car.hot_idle_rpm + rule["add"]))


def _pulley(case: Case, rule: Mapping[str, Any]) -> Case:
    if case.plant.compressor.electric:
        return case
    return replace(case, unit=replace(case.plant, pulley_mm=_scaled(case.plant.pulley_mm, rule["factor"])))


def _cabin(case: Case, cabin: CabinData) -> Case:
    return replace(case, car=replace(case.car, cabin=cabin))


def _flap(case: Case, rule: Mapping[str, Any]) -> Case:
    cabin = case.car.cabin
    if cabin.flap_leak_share is None or cabin.flap_leak_share <= rule["to"]:
        return case
    return _cabin(case, replace(cabin, flap_leak_share=rule["to"]))


def _matrix(case: Case, rule: Mapping[str, Any]) -> Case:
    return replace(case, car=replace(case.car, matrix_leak_w=rule["to"]))


def _surfaces(case: Case, change: Any) -> Case:
    cabin = case.car.cabin
    return _cabin(case, replace(cabin, surfaces=tuple(change(s) for s in cabin.surfaces)))


def _lined(s: Surface, rule: Mapping[str, Any]) -> Surface:
    """The surface with a layer more on its inside: 1/U grows by its resistance, or the layers by itself."""
    thickness_mm, conductivity_w_mk = layer = rule["thickness_mm"], rule["conductivity_w_mk"]
    if s.u_w_m2k is not None:
        return replace(s, u_w_m2k=1 / (1 / s.u_w_m2k + thickness_mm / 1000 / conductivity_w_mk))
    return replace(s, layers=(*s.layers, layer)) if s.layers else s


def _engine_side(case: Case, rule: Mapping[str, Any]) -> Case:
    def lag(s: Surface) -> Surface:
        return _lined(s, rule) if s.boundary in ENGINE_BOUNDARIES else s

    return _surfaces(case, lag)


def _roof(case: Case, rule: Mapping[str, Any]) -> Case:
    def line(s: Surface) -> Surface:
        is_roof = (
            s.kind != "glass"
            and s.boundary == "outside"
            and s.tilt_deg is not None
            and s.tilt_deg < ROOF_TILT_DEG
        )
        if not is_roof or (s.u_w_m2k is None and not s.layers):
            return s
        # a lining also stops what a canvas lets through
        return replace(_lined(s, rule), transmittance=0.0 if s.transmittance else s.transmittance)

    return _surfaces(case, line)


def _from_ahead_deg(facing_deg: float) -> float:
    turned = facing_deg % 360
    return min(turned, 360 - turned)


def _panes(case: Case, rule: Mapping[str, Any]) -> Case:
    """Less sun through the panes at the side and rear; one whose facing is not known is left as it is."""

    def dim(s: Surface) -> Surface:
        is_glass = s.kind == "glass" and s.boundary == "outside" and s.facing_deg is not None
        is_behind = is_glass and _from_ahead_deg(s.facing_deg or 0.0) > WINDSCREEN_DEG
        return replace(s, shade_factor=s.shade_factor * rule["factor"]) if is_behind else s

    return _surfaces(case, dim)


def _leakage(case: Case, rule: Mapping[str, Any]) -> Case:
    cabin = case.car.cabin
    leakage = tuple((speed, flow * rule["factor"]) for speed, flow in cabin.leakage_m3_h)
    return _cabin(case, replace(cabin, leakage_m3_h=leakage, openings=()))


def _suction(case: Case, rule: Mapping[str, Any]) -> Case:
    line = case.plant.suction
    return replace(case, unit=replace(case.plant, suction=replace(line, bore_m=line.bore_m * rule["factor"])))


def _blower(case: Case, rule: Mapping[str, Any]) -> Case:
    volts, rated = case.mounting.blower_voltage_v, case.unit.air_path.blower.rated_voltage_v
    # a relay brings what the car's own supply has; it makes no 12 V out of 6
    is_other_supply = case.car.system_voltage_v != case.unit.supply_voltage_v
    if volts is None or volts >= rated or is_other_supply:
        return case
    # no wire brings more than the supply had
    most_v = float(np.fmin(rated, supplies_read_v([case])[0]))
    if volts >= most_v:
        return case
    relayed = replace(case, mounting=replace(case.mounting, blower_voltage_v=most_v))
    # the blower's own current at its rated voltage is in the kit's, and follows the volts at the plug by itself
    return replace(relayed, unit=_drawing(case.unit, rule))


def _faster_blower(case: Case, rule: Mapping[str, Any]) -> Case:
    """The same wheel turned faster by a stronger motor, its curve and current by the fan laws.

    What a trial found of the air side is kept. Of two coils the front one's blower is changed.
    """
    unit, old = case.unit, case.unit.air_path.blower
    flow, static, power = (float(ratio) for ratio in fan_laws(rule["factor"]))
    blower = replace(
        old,
        curve=tuple((q * flow, pa * static) for q, pa in old.curve),
        current=tuple((q * flow, ampere * power) for q, ampere in old.current),
    )
    # the current that the motor states is at its rated voltage already, whatever the supply
    more_a = (power - 1) * max(ampere for _, ampere in old.current)
    changed = replace(
        unit,
        air_path=replace(unit.air_path, blower=blower),
        blower_currents=tuple((step, ampere * power) for step, ampere in unit.blower_currents),
        kit_current_a=unit.kit_current_a + more_a,
    )
    return replace(case, unit=changed)


def _charging(case: Case, rule: Mapping[str, Any]) -> Case:
    car: Car = case.car
    if car.is_electric:
        return case
    curve = tuple((float(rpm), float(ampere)) for rpm, ampere in rule["curve"])
    needed = case.unit.supply_voltage_v
    converted = replace(car, charging_curve=curve, system_voltage_v=needed, positive_earth=False)
    return recharged(case, converted)


_CHANGES = {
    "air_on_rise": _air_on_rise,
    "fan": _fan,
    "idle": _idle,
    "pulley": _pulley,
    "flap": _flap,
    "matrix": _matrix,
    "engine_side": _engine_side,
    "roof": _roof,
    "panes": _panes,
    "leakage": _leakage,
    "blower": _blower,
    "faster_blower": _faster_blower,
    "suction": _suction,
    "charging": _charging,
}
