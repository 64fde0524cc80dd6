"""The workbook's layout: its sheets in order.

One sheet is one table. A row is known by its key columns; where a table points at another, the sheet carries
the key columns of the other in place of a number nobody can read. A sheet points only at sheets before it.
"""

from typing import Final

from kits.exchange.car_sheets import CARS
from kits.exchange.kit_sheets import KITS
from kits.exchange.part_sheets import PARTS

FORMAT: Final = 1
ABOUT: Final = "About"
ABOUT_LINE: Final = "model line"
ABOUT_FORMAT: Final = "format"
ABOUT_COMPLETE: Final = "complete"

SHEETS: Final = CARS + PARTS + KITS
BY_NAME: Final = {sheet.name: sheet for sheet in SHEETS}

# The three list columns of the Steps sheet: field, what a step points at, and the sheet whose key is meant.
# A list holds "10, 20", "J1, J2" or "110/1, 110/2" (position/number) within the step's kit.
STEP_LISTS: Final = (
    ("fits_positions", "position", "Positions"),
    ("joins_joints", "joint", "Joints"),
    ("wires_circuits", "circuit", "Circuits"),
)
STEPS: Final = "Steps"

LINE_SHEET: Final = "Model line"
FITMENTS: Final = "Fitments"
SITES: Final = "Sites"
STRUCTURE: Final = "Structure"

# What a row must hold beyond single cells, by the name of the database's own rule.
RULE_SENTENCES: Final = {
    "surface_absorbs_and_passes_at_most_all": "Absorptance and transmittance together are at most 1.",
    "variant_built_in_order": "Built until must be later than built from.",
    "duty_point_site_with_month_and_hour": "A site needs month and hour; without one month, day and hour stay empty.",
    "duty_point_one_sun": "The sun comes from the site; leave beam, diffuse and sun altitude empty or 0.",
    "duty_point_day_exists": "There is no such day in that month; 29 February is not counted.",
    "design_state_day_exists": "There is no such day in that month; 29 February is not counted.",
    "chassis_range_in_order": "The last number must not be below the first.",
    "part_revision_dates_in_order": "In force until must be later than in force from.",
    "entry_dates_in_order": "In force until must be later than in force from.",
    "step_dates_in_order": "In force until must be later than in force from.",
    "kit_oil_with_refrigerant": "A kit states the oil of its refrigerant; one that heats only has neither.",
    "reading_limits_in_order": "The high limit must not be below the low one.",
    "reading_number_has_unit": "A number has a unit; words, a tick, a date or a time have none.",
    "reading_limits_of_number": "Only a number has limits.",
}
