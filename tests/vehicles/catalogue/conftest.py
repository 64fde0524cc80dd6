"""Vehicles to show: those of the demonstration workbook."""

from tests.kits.conftest import demonstration

__all__ = ["demonstration"]
