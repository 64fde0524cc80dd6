"""Vehicles to show: those of the demonstration workbook."""

from tests.kits.conftest import demonstration, first_line

__all__ = ["demonstration", "first_line"]
