"""Vehicles to show: those of the demonstration workbook."""

from tests.kits.conftest import demonstration_here, first_line

__all__ = ["demonstration_here", "first_line"]
