"""The parts of a survey from what is known of a car, each with what it still lacks."""

from collections.abc import Iterable
from typing import Any

from kits.survey.progress import OF_CABIN, OF_COMBUSTION, OF_ELECTRIC_TOO, Part, Progress, blanks
from vehicles.heatload.inputs import CabinData
from vehicles.heatload.missing import in_cabin

OF_VARIANT = (("vehicle_category", "The vehicle category"), ("reference_mass_kg", "The reference mass"))
LEAST_SPEEDS = 2


def progress_of(
    variant: Any, cabin: CabinData, surfaces: Iterable[Any], temperatures: Iterable[Any], kits: Iterable[Any]
) -> Progress:
    """How far the survey of a car is.

    variant: the car's row with cabin and powertrain, related rows prefetched; cabin: the same as the heat load
    takes it; surfaces: those the car has; temperatures, kits: what is recorded by place and by kit.
    """
    return Progress(
        (
            _variant(variant), *_cabin(variant.cabin, cabin, surfaces), *_powertrain(variant.powertrain),
            _recorded("Temperatures on the engine’s side", "temperatures", "temperatures", temperatures),
            *(
                _recorded(f"Routes of {found.kit.code}", "routes", "routes", found.routes, found.kit.code)
                for found in kits
            ),
        )
    )  # fmt: skip


def _variant(variant: Any) -> Part:
    missing = blanks(variant, OF_VARIANT)
    if not variant.chassis_ranges.all():
        missing += ("No chassis numbers are recorded.",)
    return Part("Variant", "variant", missing=missing)


def _kinds(rows: Iterable[Any]) -> tuple[str, ...]:
    return tuple(row.origin_kind for row in rows)


def _cabin(row: Any, cabin: CabinData, surfaces: Iterable[Any]) -> list[Part]:
    lacking = list(in_cabin(cabin))
    own = tuple(gap.sentence for gap in lacking if gap.path == "cabin.volume_m3")
    codes = [f"cabin.{opening.code}." for opening in cabin.openings]
    of_openings = tuple(g.sentence for g in lacking if any(g.path.startswith(code) for code in codes))
    of_seats = () if cabin.seats else ("The seats are missing.",)
    elsewhere = {*own, *of_openings}
    of_leakage = () if cabin.leakage_m3_h else ("The cabin’s leakage is missing.",)
    of_surfaces = tuple(
        gap.sentence
        for gap in lacking
        if gap.sentence not in elsewhere and not gap.path.startswith("cabin.leakage")
    )
    layers = [layer for surface in surfaces for layer in surface.layers.all()]
    return [
        Part("Cabin", "cabin", (row.origin_kind,), own + blanks(row, OF_CABIN)),
        Part("Surfaces and their layers", "surfaces", _kinds([*surfaces, *layers]), of_surfaces, "surfaces"),
        Part("Seats", "seats", _kinds(row.seats.all()), of_seats),
        Part("Openings", "openings", _kinds(row.openings.all()), of_openings, "openings"),
        Part("Leakage", "leakage", _kinds(row.leakage.all()), of_leakage, "leakage"),
    ]


def _powertrain(row: Any) -> list[Part]:
    burns = row.drive != "electric"
    wanted = (*OF_COMBUSTION, *OF_ELECTRIC_TOO) if burns else OF_ELECTRIC_TOO
    speeds = len(row.charging_curve.all())
    of_charging = () if speeds >= LEAST_SPEEDS else ("The charging curve needs at least two speeds.",)
    of_loads = () if row.electrical_loads.all() else ("The car’s own electrical loads are missing.",)
    states = {state.engine_state for state in row.coolant_states.all()}
    cold = burns and "idle" not in states
    return [
        Part("Powertrain", "powertrain", (row.origin_kind,), blanks(row, wanted)),
        Part("Pulleys", "pulleys", _kinds(row.pulleys.all()), (), "pulleys"),
        Part("Charging", "charging", _kinds(row.charging_curve.all()), of_charging, "charging"),
        Part("Loads without the kit", "loads", _kinds(row.electrical_loads.all()), of_loads, "loads"),
        Part(
            "Coolant", "coolant", _kinds(row.coolant_states.all()),
            ("The coolant temperature at hot idle is missing.",) if cold else (), "coolant",
        ),
    ]  # fmt: skip


def _recorded(title: str, anchor: str, slug: str, places: Iterable[Any], kit: str = "") -> Part:
    found = list(places)
    kinds = tuple(place.winner.origin_kind for place in found if place.winner is not None)
    missing = tuple(f"{place.label}: nothing is recorded." for place in found if place.winner is None)
    return Part(title, anchor, kinds, missing, slug, kit)
