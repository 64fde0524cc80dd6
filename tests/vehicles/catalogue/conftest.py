"""Vehicles to show: those of the demonstration workbook."""

from tests.kits.conftest import demonstration, first_line, first_line_in_module

__all__ = ["demonstration", "first_line", "first_line_in_module"]
