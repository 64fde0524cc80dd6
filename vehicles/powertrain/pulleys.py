"""What a pulley of a belt drive sits on, and the groove its belt runs in."""

from typing import Final

CRANK: Final = "crank"
COMPRESSOR: Final = "compressor"
GENERATOR: Final = "generator"
DRIVEN: Final = (CRANK, COMPRESSOR, GENERATOR, "water pump", "fan", "idler", "other")
GROOVE_MM: Final[dict[str, float | None]] = {
    "V 10 mm": 10.0,
    "V 13 mm": 13.0,
    "poly-V": None,
    "toothed": None,
}
"""The grooves, each with the top width of its V-belt."""
