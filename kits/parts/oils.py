"""Families of refrigeration oil. Two families are never mixed, nor two grades of one."""

from typing import Final

ESTER: Final = "ester"
"""The only one that insulates the motor of a high-voltage compressor."""
FAMILIES: Final = {"pag": "PAG", ESTER: "ester (POE)", "pve": "PVE", "pao": "PAO", "mineral": "mineral"}
