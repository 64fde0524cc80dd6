"""What published cases state their air by and no calculation needs: the wet bulb and the dew point."""

import numpy as np
from numpy.typing import ArrayLike

from vehicles.physics.air import STANDARD_PRESSURE_PA, dew_point_c, saturation_humidity_ratio
from vehicles.physics.arrays import FloatArray, answer, floats
from vehicles.physics.newton import bracket_batch


def humidity_ratio_from_dew_point(
    dew_point: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE_PA
) -> FloatArray:
    """Humidity ratio, kg/kg, of air with this dew point (°C): saturated at the dew point."""
    return saturation_humidity_ratio(dew_point, pressure_pa)


def humidity_ratio_from_wet_bulb(
    t_c: ArrayLike, wet_bulb: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE_PA
) -> FloatArray:
    """Humidity ratio, kg/kg, from dry bulb and wet bulb, °C (below 0 °C the bulb carries ice).

    Source: ASHRAE ch. 1 eqs. 33 and 35.
    """
    t, wet = floats(t_c), floats(wet_bulb)
    w = _wet_bulb_humidity_ratio(t, wet, floats(pressure_pa))
    return answer(w, (wet <= t) & (w >= 0), "The wet bulb is above the dry bulb, or too far below it.")


def _wet_bulb_humidity_ratio(t: FloatArray, wet: FloatArray, pressure_pa: FloatArray) -> FloatArray:
    saturated = saturation_humidity_ratio(wet, pressure_pa)
    over_water = ((2501 - 2.326 * wet) * saturated - 1.006 * (t - wet)) / (2501 + 1.86 * t - 4.186 * wet)
    over_ice = ((2830 - 0.24 * wet) * saturated - 1.006 * (t - wet)) / (2830 + 1.86 * t - 2.1 * wet)
    return np.where(wet >= 0, over_water, over_ice)


def wet_bulb_c(t_c: ArrayLike, w: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE_PA) -> FloatArray:
    """Thermodynamic wet bulb, °C, from dry bulb (°C) and humidity ratio (kg/kg, above 0, up to saturated).

    Method: root of ASHRAE ch. 1 eqs. 33/35 between dew point and dry bulb. Where the two equations leave a
    gap at 0 °C (water or ice on the bulb), the answer is 0 °C.
    """
    t, ratio, p = np.broadcast_arrays(floats(t_c), floats(w), floats(pressure_pa))
    shape = t.shape
    flat_t, flat_w, flat_p = t.ravel(), ratio.ravel(), p.ravel()
    saturated = saturation_humidity_ratio(flat_t, flat_p)
    # the batch marks rows with NaN, so the sentence for a scalar is given once, below
    valid = (flat_w > 0) & (flat_w <= saturated * (1 + 1e-9))
    lower = np.where(valid, dew_point_c(np.where(valid, flat_w, 0.001), flat_p), 0.0) - 1e-3
    root = bracket_batch(
        lambda x, rows: _wet_bulb_humidity_ratio(flat_t[rows], x, flat_p[rows]) - flat_w[rows],
        lower,
        np.where(valid, flat_t, 1.0) + 1e-3,
        x_tolerance=1e-9,
    )
    wet = np.minimum(root.x, flat_t).reshape(shape)
    ok = (valid & root.converged).reshape(shape)
    return answer(wet, ok, "The wet bulb needs moist air that is not supersaturated.")
