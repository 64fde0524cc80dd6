"""The numbers of a fitment that bands of values are held against: car, kit, and each duty point's answer."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from kits.bom.catalogue import PartSpec
from kits.bom.resolved import ExplodedRow, ResolvedKit, explode
from kits.sizing.case.case import Car, Case, Duty
from kits.sizing.verdict.record import DutyAnswer, SizingRecord
from tests.kits.bands.bands import Fact
from vehicles.heatload.inputs import CabinData, Surface

Words = Mapping[str, str]
Data = Mapping[str, Any]
LARGE_COMPRESSOR_CC = 110.0
NEAR_C = 0.5


def body_words(rows: Sequence[Words], line: str, options: Words) -> Words:
    """Body and layout of a car by the rows of the data file; empty when none or several agree."""
    found = [row for row in rows if row["line"] == line and options.get(row["feature"]) == row["option"]]
    return {"body": found[0]["body"], "layout": found[0]["layout"]} if len(found) == 1 else {}


def facts(
    case: Case, kit: ResolvedKit, record: SizingRecord, parts: Mapping[str, PartSpec], body: Words
) -> Iterator[Fact]:
    """Every number of a sized fitment that a band may hold for.

    Parameters: case, kit, record (of the same fitment), parts by number, body (see body_words).
    """
    compressor = case.plant.compressor
    evaporator = next((item for item in kit.items if item.role == "evaporator"), None)
    zone = evaporator.zone if evaporator is not None else ""
    words = {
        **body,
        "drive": "electric" if compressor.electric else "belt",
        "compressor": "large" if compressor.displacement_cc > LARGE_COMPRESSOR_CC else "small",
        "gas": str(kit.settings["refrigerant"]),
        "unit": "van" if body.get("layout") == "van" else "dash",
        "place": "under-dash" if "under" in zone else "dash" if zone == "dash" else zone,
        "system": f"{case.car.system_voltage_v or 0:g} V",
    }
    yield from _cabin(case.car.cabin, words)
    yield from _powertrain(case.car, words)
    yield from _kit(kit, case, words)
    yield from _parts(kit, explode(kit), parts, words)
    duties = {duty.code: duty for duty in case.duties}
    for answer in record.duties:
        # the bands are those of a plant that cools
        if answer.load_w is not None and not answer.is_heating:
            yield from _answer(answer, duties[answer.code], words)


def _cabin(cabin: CabinData, words: Words) -> Iterator[Fact]:
    if cabin.volume_m3 is not None:
        yield Fact("volume_m3", cabin.volume_m3, words=words)
    for speed_km_h, flow_m3_h in cabin.leakage_m3_h:
        speed = f"{speed_km_h:g}"
        yield Fact("leakage_m3_h", flow_m3_h, speed, words={**words, "speed": speed})
    areas = {"screen": 0.0, "sides": 0.0, "rear": 0.0}
    for surface in cabin.surfaces:
        if surface.kind == "glass":
            areas[_side(surface)] += surface.area_m2 or 0.0
            yield from _glass(surface, words)
        else:
            yield from _panel(surface, words)
    for side, area_m2 in areas.items():
        yield Fact(f"glass_{side}_m2", area_m2, words=words)


def _side(glass: Surface) -> str:
    facing = (glass.facing_deg or 0.0) % 360
    if facing <= 45 or facing >= 315:
        return "screen"
    return "rear" if 135 <= facing <= 225 else "sides"


def _glass(glass: Surface, words: Words) -> Iterator[Fact]:
    if glass.u_w_m2k is not None:
        yield Fact("glass_u_w_m2k", glass.u_w_m2k, glass.code, words=words)
    if None not in (glass.transmittance, glass.absorptance, glass.inward_share):
        g = (glass.transmittance or 0) + (glass.inward_share or 0) * (glass.absorptance or 0)
        yield Fact("glass_g_share", round(g, 3), glass.code, words=words)


def _panel(panel: Surface, words: Words) -> Iterator[Fact]:
    tilt = panel.tilt_deg if panel.tilt_deg is not None else 90.0
    if panel.kind == "canvas":
        name = "canvas"
    elif panel.boundary == "outside":
        name = "roof" if tilt < 30 else "floor" if tilt > 120 else "wall"
    else:
        name = {"bulkhead": "bulkhead"}.get(panel.boundary, "floor")
    if panel.u_w_m2k is not None:
        yield Fact("u_w_m2k", panel.u_w_m2k, panel.code, words={**words, "panel": name})
    if panel.boundary == "outside" and tilt <= 100 and panel.absorptance is not None:
        paint = "canvas" if panel.kind == "canvas" else "paint"
        yield Fact("absorptance", panel.absorptance, panel.code, words={**words, "panel": paint})


def _powertrain(car: Car, words: Words) -> Iterator[Fact]:
    if car.charging_curve:
        yield Fact("charging_a", max(current for _, current in car.charging_curve), words=words)
    if car.base_load_a is not None:
        yield Fact("base_load_a", car.base_load_a, words=words)


def _kit(kit: ResolvedKit, case: Case, words: Words) -> Iterator[Fact]:
    plant, fan_share = case.plant, case.mounting.fan_installed_share
    yield Fact("kit_current_a", plant.kit_current_a, words=words)
    if case.car.crank_pulley_mm is not None and plant.pulley_mm is not None:
        yield Fact("pulley_ratio", case.car.crank_pulley_mm / plant.pulley_mm, words=words)
    yield Fact("condenser_face_m2", plant.condenser_face_m2, words=words)
    fan = kit.plant["condenser fan"]
    number, data = fan.part, fan.data
    yield Fact("fan_free_m3_h", data["free_airflow_m3_h"], number, words=words)
    if fan_share is not None:
        installed = data["free_airflow_m3_h"] * fan_share
        yield Fact("fan_installed_m3_h", installed, number, words=words)
    if kit.charge.charge_g is not None:
        yield Fact("charge_g", kit.charge.charge_g, words=words)
    if kit.charge.tolerance_g is not None:
        yield Fact("charge_tolerance_g", kit.charge.tolerance_g, words=words)
    if kit.charge.oil_ml is not None:
        yield Fact("oil_ml", kit.charge.oil_ml, words=words)
    roles = {item.position: item.role for item in kit.items}
    for hose in kit.hoses:
        if hose.routed_mm is not None:
            role = {**words, "role": roles.get(hose.position, "")}
            yield Fact("hose_m", hose.routed_mm / 1000, hose.name, words=role)
    for joint in kit.joints:
        for torque in (joint.torque_low_nm, joint.torque_high_nm):
            if torque is not None:
                turned = {**words, "form": joint.form, "size": joint.size, "by": joint.by}
                yield Fact("torque_nm", torque, joint.code, words=turned)
    for wire in kit.wires:
        if wire.fuse_a is not None:
            fused = {**words, "fuse": f"{wire.fuse_a:g}"}
            yield Fact("fused_section_mm2", wire.section_mm2, f"{wire.position}/{wire.number}", words=fused)
    yield Fact("work_h", kit.minutes / 60, words=words)
    for step in kit.steps:
        if step.minutes_min is not None:
            yield Fact("minutes_min", step.minutes_min, step.key, words={**words, "step": step.kind})


def _parts(
    kit: ResolvedKit, rows: Sequence[ExplodedRow], parts: Mapping[str, PartSpec], words: Words
) -> Iterator[Fact]:
    for number in sorted({row.item.part for row in rows if row.item.part in parts}):
        part = parts[number]
        revision = part.revision_on(kit.on)
        if revision is None:
            continue
        data, kind = revision.data, {**words, "kind": part.kind}
        if revision.inner_volume_ml is not None and part.kind != "hose":
            yield Fact("inner_volume_ml", revision.inner_volume_ml, number, words=kind)
        if part.kind == "compressor" and revision.mass_g is not None:
            yield Fact("mass_kg", revision.mass_g / 1000, number, words=kind)
        yield from _data(part.kind, number, data, revision.points, words)
        if part.kind == "hose":
            size = {**words, "size": str(data.get("size"))}
            if revision.inner_volume_ml is not None:
                yield Fact("hose_ml_m", revision.inner_volume_ml, number, words=size)
            yield Fact("bend_radius_mm", data["bend_radius_mm"], number, words=size)


def _data(kind: str, number: str, data: Data, points: Sequence[Data], words: Words) -> Iterator[Fact]:
    if kind == "compressor":
        for name in ("displacement_cc", "speed_max_rpm", "pulley_mm"):
            if data.get(name) is not None:
                yield Fact(name, data[name], number, words=words)
        if data.get("clutch_current_a") and data.get("supply_voltage_v"):
            yield Fact("clutch_w", data["clutch_current_a"] * data["supply_voltage_v"], number, words=words)
        for p in points:
            at = {**words, "ratio": f"{p['pressure_ratio']:g}", "speed": f"{p['speed_rpm']:g}"}
            place = f"{number} {at['speed']} rpm ratio {at['ratio']}"
            yield Fact("eta_v_share", p["volumetric_effectiveness"], place, words=at)
            yield Fact("eta_is_share", p["isentropic_effectiveness"], place, words=at)
    rated = {"evaporator": ("coil_rated_w", "total_w"), "condenser": ("condenser_rated_w", "heat_w")}
    if kind in rated:
        quantity, value = rated[kind]
        for p in points:
            flow = f"{p['airflow_m3_h']:g}"
            yield Fact(quantity, p[value], f"{number} {flow}", words={**words, "airflow": flow})
    if kind == "condenser fan":
        yield Fact("fan_current_a", data["current_a"], number, words=words)
    if kind == "blower":
        yield Fact("blower_current_a", data["current_a"], number, words=words)
        yield Fact("blower_free_m3_h", max(p["airflow_m3_h"] for p in points), number, words=words)


def _answer(answer: DutyAnswer, duty: Duty, words: Words) -> Iterator[Fact]:
    at = dict(words)
    at["kind"], at["air"] = answer.kind, duty.climate.air_mode
    outside_c = duty.climate.outside_c
    at["outside"] = "35" if outside_c is not None and abs(outside_c - 35) < NEAR_C else ""
    at["judged"] = f"{answer.judged_at_c:g}" if answer.judged_at_c is not None else ""
    at["blower"] = "full" if duty.blower_share >= 1 else "part"
    dry, wet = answer.sensible_w_by_term.get("people", 0.0), answer.latent_w_by_term.get("people", 0.0)
    if duty.climate.occupants:
        yield Fact("person_w", (dry + wet) / duty.climate.occupants, "", answer.code, at)
        yield Fact("person_latent_share", wet / (dry + wet), "", answer.code, at)
    for name in (
        "load_w", "capacity_w", "airflow_m3_h", "condensate_kg_h", "low_side_bar_g", "high_side_bar_g",
        "discharge_c", "power_w",
    ):  # fmt: skip
        value = getattr(answer, name)
        if value is not None:
            yield Fact(name, value, "", answer.code, at)
    if answer.torque_nm is not None:
        yield Fact("torque_at_shaft_nm", answer.torque_nm, "", answer.code, at)
    if answer.condensing_c is not None and answer.condenser_air_c is not None:
        above_k = answer.condensing_c - answer.condenser_air_c
        yield Fact("condensing_above_air_k", above_k, "", answer.code, at)
