"""The parts of a survey whose values are taken one after another with one instrument, and entered together."""

from dataclasses import dataclass
from typing import Final

CABIN: Final = "cabin"
POWERTRAIN: Final = "powertrain"
KIT: Final = "kit"


@dataclass(frozen=True, kw_only=True)
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
        slug="surfaces",
        title="Surfaces",
        sheet="Surfaces",
        owner=CABIN,
        place=("code",),
        values=("area_m2",),
        anchor="surfaces",
        how="Area of each surface of this car, taken along the curve where it is curved.",
    ),
    Section(
        slug="openings",
        title="Openings",
        sheet="Openings",
        owner=CABIN,
        place=("code",),
        values=("area_m2", "height_m"),
        anchor="openings",
        how="What stays open when everything is shut.",
    ),
    Section(
        slug="leakage",
        title="Leakage",
        sheet="Leakage",
        owner=CABIN,
        place=("road_speed_km_h",),
        values=("leakage_m3_h",),
        anchor="leakage",
        free_rows=3,
        how="Air through the closed cabin, from a blower door or a CO2 decay.",
    ),
    Section(
        slug="pulleys",
        title="Pulleys",
        sheet="Pulleys",
        owner=POWERTRAIN,
        place=("code",),
        values=("diameter_mm", "plane_mm"),
        anchor="pulleys",
        how="Effective diameter, and how far the groove stands in front of the crankshaft’s.",
    ),
    Section(
        slug="charging",
        title="Charging",
        sheet="Charging",
        owner=POWERTRAIN,
        place=("engine_rpm",),
        values=("current_a",),
        anchor="charging",
        free_rows=5,
        how="Current of the generator, lamps on, at five engine speeds from hot idle up.",
    ),
    Section(
        slug="loads",
        title="Loads without the kit",
        sheet="Car loads",
        owner=POWERTRAIN,
        place=("code",),
        values=("current_a",),
        anchor="loads",
        how="Current of each consumer with the engine off.",
    ),
    Section(
        slug="temperatures",
        title="Temperatures on the engine’s side",
        sheet="Engine side",
        owner=POWERTRAIN,
        place=("engine_state", "boundary"),
        values=("temperature_c",),
        anchor="temperatures",
        how="After 20 minutes in the state. Each value is added; the better origin counts.",
    ),
    Section(
        slug="coolant",
        title="Coolant",
        sheet="Coolant",
        owner=POWERTRAIN,
        place=("engine_state",),
        values=("coolant_c", "coolant_flow_l_min"),
        anchor="coolant",
        how="Before a condenser stands in its air.",
    ),
    Section(
        slug="routes",
        title="Routes",
        sheet="Lengths",
        owner=KIT,
        place=("route",),
        values=("length_mm", "spread_mm"),
        anchor="routes",
        how="Along the path from port to port, with a dummy hose and its ends. Each value is added; the better "
        "origin counts.",
    ),
)
BY_SLUG: Final = {section.slug: section for section in SECTIONS}
