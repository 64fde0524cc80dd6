"""Air that crosses the cabin's skin: leakage, the intake, openings."""

import math

import numpy as np
from numpy.typing import ArrayLike

from vehicles.physics.air import ZERO_C_K
from vehicles.physics.arrays import FloatArray, answer, floats

DISCHARGE_COEFFICIENT = 0.6
"""Of a sharp-edged opening (BS 5925: about 0.6)."""
WIND_COEFFICIENT = 0.025
GRAVITY_M_S2 = 9.81


def leakage_m3_h(table: tuple[tuple[float, float], ...], road_speed_km_h: float) -> float:
    """Air that leaks through the gaps of a closed car at a road speed.

    Formula: straight between the points of the table
    Parameters: table of (speed, km/h; flow, m³/h) in any order; road_speed_km_h
    Returns: m³/h; NaN outside the table
    Validity: between the lowest and the highest speed of the table
    Source: definition; the table is the car's own data
    Check: by hand: half way between 10 and 30

    >>> leakage_m3_h(((0, 10), (100, 30)), 50)
    20.0
    """
    points = sorted(table)
    speeds = [speed for speed, _ in points]
    if not points or not speeds[0] <= road_speed_km_h <= speeds[-1]:
        return math.nan
    return float(np.interp(road_speed_km_h, speeds, [flow for _, flow in points]))


def opening_m3_s(
    area_m2: ArrayLike, height_m: ArrayLike, outside_c: ArrayLike, cabin_c: ArrayLike, velocity_m_s: ArrayLike
) -> FloatArray:
    """Air exchanged through one opening: stack effect and wind in quadrature.

    Formula: √(s² + v²) of s = 0.6·A/3·√(9.81·H·|ΔT|/T) and v = 0.025·A·u, T the mean absolute temperature, K
    Parameters: area_m2 A, height_m H, outside_c, cabin_c, °C; velocity_m_s u of the air past it
    Returns: m³/s
    Validity: openings on one side; two that face each other pass several times as much
    Source: BS 5925, single-sided ventilation
    Check: by hand: 0.025·0.1·10 without a difference of temperature

    >>> round(float(opening_m3_s(0.1, 0.3, 25, 25, 10)), 9)
    0.025
    """
    out, cabin, area = floats(outside_c), floats(cabin_c), floats(area_m2)
    height, velocity, mean_k = floats(height_m), floats(velocity_m_s), (out + cabin) / 2 + ZERO_C_K
    valid = (area >= 0) & (height >= 0) & (velocity >= 0) & (mean_k > 0)
    head = GRAVITY_M_S2 * height * np.abs(out - cabin) / np.where(valid, mean_k, 1.0)
    stack = DISCHARGE_COEFFICIENT * area / 3 * np.sqrt(np.where(valid, head, 0.0))
    wind = WIND_COEFFICIENT * area * velocity
    sentence = "An opening needs temperatures, and an area, a height and a velocity that are not negative."
    return answer(np.hypot(stack, wind), valid, sentence)
