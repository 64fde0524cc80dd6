"""The parts of a survey whose values are taken one after another with one instrument, and entered together."""

from dataclasses import dataclass
from typing import Final

CABIN: Final = "cabin"
POWERTRAIN: Final = "powertrain"
KIT: Final = "kit"


@dataclass(frozen=True)
class Section:
    """One sheet of the data as a list of places to measure.

    owner: what the rows belong to; place: the columns that say which row is meant; values: the columns measured;
    free_rows: how many places of the person's own choice the form takes; anchor: where the car's page shows it.
    """

    slug: str
    title: str
    sheet: str
    owner: str
    place: tuple[str, ...]
    values: tuple[str, ...]
    anchor: str
    free_rows: int = 0
    how: str = ""


SECTIONS: Final = (
    Section(
        "surfaces", "Surfaces", "Surfaces", CABIN, ("code",), ("area_m2",), "surfaces",
        how="Area of each surface of this car, taken along the curve where it is curved.",
    ),
    Section(
        "openings", "Openings", "Openings", CABIN, ("code",), ("area_m2", "height_m"), "openings",
        how="What stays open when everything is shut.",
    ),
    Section(
        "leakage", "Leakage", "Leakage", CABIN, ("road_speed_km_h",), ("leakage_m3_h",), "leakage", free_rows=3,
        how="Air through the closed cabin, from a blower door or a CO2 decay.",
    ),
    Section(
        "pulleys", "Pulleys", "Pulleys", POWERTRAIN, ("code",), ("diameter_mm", "plane_mm"), "pulleys",
        how="Effective diameter, and how far the groove stands in front of the crankshaft’s.",
    ),
    Section(
        "charging", "Charging", "Charging", POWERTRAIN, ("engine_rpm",), ("current_a",), "charging", free_rows=5,
        how="Current of the generator, lamps on, at five engine speeds from hot idle up.",
    ),
    Section(
        "loads", "Loads without the kit", "Car loads", POWERTRAIN, ("code",), ("current_a",), "loads",
        how="Current of each consumer with the engine off.",
    ),
    Section(
        "temperatures", "Temperatures on the engine’s side", "Engine side", POWERTRAIN,
        ("engine_state", "boundary"), ("temperature_c",), "temperatures",
        how="After 20 minutes in the state. Each value is added; the better origin counts.",
    ),
    Section(
        "coolant", "Coolant", "Coolant", POWERTRAIN, ("engine_state",), ("coolant_c", "coolant_flow_l_min"),
        "coolant", how="Before a condenser stands in its air.",
    ),
    Section(
        "routes", "Routes", "Lengths", KIT, ("route",), ("length_mm", "spread_mm"), "routes",
        how="Along the path from port to port, with a dummy hose and its ends. Each value is added; the better "
        "origin counts.",
    ),
)  # fmt: skip
BY_SLUG: Final = {section.slug: section for section in SECTIONS}
