"""General cautions: what is printed on each checklist and report."""

from kits.bom.resolved import ResolvedKit

OF_REFRIGERANT = (
    "Only people who hold the licence the law asks for may open, fill or empty a refrigerant circuit. "
    "Recover the gas; never let it out into the air.",
    "Refrigerant stands under pressure, freezes skin and eyes, and takes the place of the air you breathe; "
    "some gases burn. Goggles and gloves on, doors open, no flame, nobody alone in a pit.",
    "Test with dry nitrogen through a regulator. Never use oxygen or shop air. No charge before the pressure "
    "test and the vacuum have been passed.",
)
"""Those that say nothing to who fits a kit without refrigerant."""
GENERAL = (
    "The law where you work, and what the makers of the car and of the parts say, come before this sheet.",
    *OF_REFRIGERANT,
    "Take the battery off before any wiring; mind the airbags and belt tensioners where the car has them.",
    "Coolant, exhaust and engine are hot; keep hands, hair and sleeves from belts and fans, "
    "which may start by themselves.",
    "On a car with an electric drive: high voltage. Only qualified people, ester oil only, "
    "no hoses, gauges or stations that have seen another oil.",
    "Predicted figures are estimates until a trial has confirmed them.",
)


def cautions_of(kit: ResolvedKit) -> tuple[str, ...]:
    """The general cautions that concern a kit."""
    return tuple(one for one in GENERAL if not (kit.heats_only and one in OF_REFRIGERANT))
