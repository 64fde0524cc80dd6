"""What an insulation is made to go round."""

from typing import Final

DUCT: Final = "duct"
SUCTION_HOSE: Final = "suction hose"
VALVE: Final = "expansion valve"
CASING: Final = "coil casing"
COVERED: Final = (DUCT, SUCTION_HOSE, VALVE, CASING, "other")
