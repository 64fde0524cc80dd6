"""What stands at a position of a parts list, and what a circuit leads to: the words that are chosen, no others."""

from typing import Final

BELT: Final = "belt"
DRAIN: Final = "drain"
TRAP: Final = "drain trap"
IDLE_UP: Final = "idle-up"
OIL: Final = "oil"
SPARE: Final = "spare"
"""Goes with the kit and into no joint."""
ROLES: Final = (
    BELT, "bracket", "common suction hose", "compressor", "condenser", "condenser fan", "condenser hose", "controller",
    "diode", "discharge hose", DRAIN, TRAP, "duct", "evaporator", "front liquid hose", "front suction hose", "harness",
    "heater matrix", IDLE_UP, "idler", "insulation", "junction", "label", "liquid hose", OIL, "O-ring",
    "pressure switch", "pulley", "receiver-drier", "relays", "seal", SPARE, "suction hose", "tee", "trim", "vent",
    "water valve",
)  # fmt: skip

EARTH: Final = "earth"
BLOWER: Final = "blower"
"""The blower, or with two coils the front one."""
REAR_BLOWER: Final = "rear blower"
LEADS_TO: Final = (EARTH, BLOWER, REAR_BLOWER, "other")
