"""The air side of a coil as the parts list gives it: intake, filter, blower, coil, matrix, ducts and vents."""

from collections.abc import Mapping
from typing import Any

from kits.sizing.air.air_path import NO_LOSS, AirPath, Outlet, Resistance
from kits.sizing.air.blower import BlowerData
from kits.sizing.case.plant_reader import Reader, all_of
from kits.sizing.words.defaults import default_value
from kits.sizing.words.gap import Gap

INTAKE = "intake"
"""How the sentence begins that says what was assumed for the intake."""
Outlets = tuple[tuple[str, Mapping[str, Any], Mapping[str, Any]], ...]
"""Code of each outlet, the data of its duct and of its vent."""


def outlets_of(read: Reader) -> Outlets:
    """Ducts paired with vents in the order of the parts list; each duct feeds one vent."""
    ducts, vents = all_of(read.kit, "duct"), all_of(read.kit, "vent")
    if not vents or len(ducts) != len(vents):
        sentence = (
            f"{read.kit.variant_name} gets {len(ducts)} ducts and {len(vents)} vents{read.place}: "
            "each vent needs a duct."
        )
        read.gaps.append(Gap("plant.vent", "kit", sentence))
        return ()
    for number, data in (*ducts, *vents):
        for name in ("diameter_mm", "length_m", "free_area_cm2"):
            if name in data and data[name] is None:
                label = name.replace("_", " ")
                read.gaps.append(
                    Gap(f"part.{number}.{name}", f"part:{number}", f"Part {number} has no {label}.")
                )
    return tuple(
        (f"{i}", duct[1], vent[1]) for i, (duct, vent) in enumerate(zip(ducts, vents, strict=True), 1)
    )


def _resistance(read: Reader, kind: str, name: str) -> Resistance | None:
    """A pressure drop of the kit's part of a kind; None when the car gets none, or its data don't say."""
    held = read.kit.plant.get(kind)
    if held is None:
        return None
    drop, at = held.data.get(name), held.data.get("rated_airflow_m3_h")
    return None if drop is None or at is None else Resistance(float(drop), float(at), 2.0)


def intake_of(read: Reader) -> tuple[Resistance, str]:
    """What the air loses before the kit's own parts, and what was assumed for it in a sentence."""
    at = default_value("intake_loss_at_m3_h")
    own_filter = _resistance(read, "filter", "clean_drop_pa")
    what, key = (
        ("grille and filter", "intake_loss_pa") if own_filter is None else ("grille", "intake_grille_loss_pa")
    )
    loss = default_value(key)
    return Resistance(loss, at, 2.0), f"{INTAKE} {what}: {loss:g} Pa at {at:g} m³/h ({key})"


def air_path_of(
    read: Reader,
    data: Mapping[tuple[str, str], float],
    outlets: Outlets,
    intake: Resistance,
) -> AirPath:
    """The blower and what it works against; data and outlets as read, with nothing missing.

    Without data of an evaporator, as for a kit that heats only, no coil stands in the air.
    """
    curve = tuple((p["airflow_m3_h"], p["static_pa"]) for p in read.points("blower"))
    current = data["blower", "power_w"] / data["blower", "rated_voltage_v"]
    blower = BlowerData(
        curve,
        data["blower", "rated_voltage_v"],
        tuple((flow, current) for flow, _ in curve),
        step_by_resistor=bool(read.part("blower")[1].get("step_by_resistor", True)),
    )
    return AirPath(
        blower,
        intake,
        _coil_of(read, data) if ("evaporator", "wet_drop_pa") in data else NO_LOSS,
        tuple(
            Outlet(
                code=code,
                diameter_mm=duct["diameter_mm"],
                length_m=duct["length_m"],
                roughness_mm=duct["roughness_mm"],
                minor_k=duct["minor_loss_factor"],
                compression_percent=100 * duct["compression_share"],
                free_area_cm2=vent["free_area_cm2"],
                vent_k=vent["loss_factor"],
            )
            for code, duct, vent in outlets
        ),
        coil_is_before_blower=False,
        filter=_resistance(read, "filter", "clean_drop_pa"),
        clogged_filter=_resistance(read, "filter", "clogged_drop_pa"),
        matrix=_resistance(read, "heater matrix", "air_drop_pa"),
    )


def _coil_of(read: Reader, data: Mapping[tuple[str, str], float]) -> Resistance:
    return Resistance(
        data["evaporator", "wet_drop_pa"],
        data["evaporator", "rated_airflow_m3_h"],
        float(read.part("evaporator")[1].get("drop_exponent") or 1.8),
    )
