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
    """Leakage at a road speed, m³/h, straight between the given points; NaN outside them.

    table  ((speed_km_h, flow_m3_h), ...) in any order
    """
    points = sorted(table)
    speeds = [speed for speed, _ in points]
    if not points or not speeds[0] <= road_speed_km_h <= speeds[-1]:
        return math.nan
    return float(np.interp(road_speed_km_h, speeds, [flow for _, flow in points]))


def opening_m3_s(
    area_m2: ArrayLike, height_m: ArrayLike, outside_c: ArrayLike, cabin_c: ArrayLike, velocity_m_s: ArrayLike
) -> FloatArray:
    """Air exchanged through one opening, m³/s: stack and wind in quadrature.

    Formula: C_d·A/3·√(g·H·|ΔT|/T) and 0.025·A·v, T the mean absolute temperature.
    Validity: openings on one side; two that face each other pass several times as much.
    Source: BS 5925, single-sided ventilation.
    """
    out, cabin, area = floats(outside_c), floats(cabin_c), floats(area_m2)
    height, velocity, mean_k = floats(height_m), floats(velocity_m_s), (out + cabin) / 2 + ZERO_C_K
    valid = (area >= 0) & (height >= 0) & (velocity >= 0) & (mean_k > 0)
    head = GRAVITY_M_S2 * height * np.abs(out - cabin) / np.where(valid, mean_k, 1.0)
    stack = DISCHARGE_COEFFICIENT * area / 3 * np.sqrt(np.where(valid, head, 0.0))
    wind = WIND_COEFFICIENT * area * velocity
    sentence = "An opening needs temperatures, and an area, a height and a velocity that are not negative."
    return answer(np.hypot(stack, wind), valid, sentence)
