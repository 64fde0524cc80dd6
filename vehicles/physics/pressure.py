"""Pressure as a gauge shows it and pressure as states of a gas need it: one pair of functions for both ways.

A gauge is taken to show the pressure above standard air, wherever it stands: so are the settings of switches.
"""

from typing import TypeVar

from vehicles.physics.air import STANDARD_PRESSURE_PA
from vehicles.physics.arrays import FloatArray

PA_PER_BAR = 1e5

Pressure = TypeVar("Pressure", float, FloatArray)


def gauge_bar_g(pressure_pa: Pressure) -> Pressure:
    """The pressure above the surrounding air.

    Formula: (p − 101,325)/100,000
    Parameters: pressure_pa, absolute, Pa, a number or an array
    Returns: bar g, negative below the air's pressure; a number for a number, an array for an array
    Validity: standard air at sea level around the gauge
    Source: definition of gauge pressure; standard atmosphere
    Check: by hand: 201,325 Pa is 1 bar g, a vacuum −1.01325
    """
    return (pressure_pa - STANDARD_PRESSURE_PA) / PA_PER_BAR


def absolute_pa(pressure_bar_g: Pressure) -> Pressure:
    """The absolute pressure of one that stands above the surrounding air.

    Formula: p·100,000 + 101,325
    Parameters: pressure_bar_g, bar above the air, a number or an array
    Returns: Pa; a number for a number, an array for an array
    Validity: standard air at sea level around the gauge
    Source: definition of gauge pressure; standard atmosphere
    Check: `gauge_bar_g` gives the same pressure back
    """
    return pressure_bar_g * PA_PER_BAR + STANDARD_PRESSURE_PA
