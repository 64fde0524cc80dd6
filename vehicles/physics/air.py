"""Moist air by the relations of the ASHRAE Handbook Fundamentals (SI), chapter 1.

Temperatures in °C, pressures in Pa, humidity ratio in kg of water per kg of dry air, enthalpy in J per kg of
dry air, relative humidity as a share from 0 to 1. All arguments broadcast; scalars give scalars. Outside the
validity of a relation a scalar raises Refusal and a batch marks the row with NaN.
"""

import numpy as np
from numpy.typing import ArrayLike

from vehicles.physics.arrays import FloatArray, answer, floats, scalar_or_array
from vehicles.physics.newton import bracket_batch

STANDARD_PRESSURE_PA = 101325.0
ZERO_C_K = 273.15
TRIPLE_POINT_C = 0.01
TRIPLE_POINT_PA = 611.657
"""Where the two saturation curves meet: ice below, water from here on."""
GAS_CONSTANT_DRY_AIR = 287.042
MOLAR_MASS_RATIO = 0.621945
HEAT_DRY_AIR = 1006.0
HEAT_VAPOUR = 1860.0
EVAPORATION_AT_0_C = 2501000.0

_ICE = (-5.6745359e3, 6.3925247, -9.677843e-3, 6.2215701e-7, 2.0747825e-9, -9.484024e-13, 4.1635019)
_WATER = (-5.8002206e3, 1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 0.0, 6.5459673)


def _ln_pressure(t_k: FloatArray, c: tuple[float, ...]) -> FloatArray:
    """ln(p/Pa) at saturation."""
    value: FloatArray = c[0] / t_k + c[1] + c[6] * np.log(t_k)
    return value + t_k * (c[2] + t_k * (c[3] + t_k * (c[4] + t_k * c[5])))


def _ln_saturation(t_k: FloatArray, c: tuple[float, ...]) -> tuple[FloatArray, FloatArray]:
    """ln(p/Pa) and its derivative by temperature, 1/K."""
    slope = -c[0] / t_k**2 + c[2] + t_k * (2 * c[3] + t_k * (3 * c[4] + t_k * 4 * c[5])) + c[6] / t_k
    return _ln_pressure(t_k, c), slope


def saturation_pressure_pa(t_c: ArrayLike) -> FloatArray:
    """Saturation pressure of water vapour, over ice below 0.01 °C and over water above.

    t_c  temperature, °C, −100 to 200
    Source: ASHRAE Fundamentals ch. 1 eqs. 5 and 6 (Hyland and Wexler 1983). The handbook changes curve at
    0 °C, here at the triple point, where the two meet without a step.
    """
    t = floats(t_c)
    valid = (t >= -100) & (t <= 200)
    t_k = np.where(valid, t, 20.0) + ZERO_C_K
    ln_p = np.where(t < TRIPLE_POINT_C, _ln_pressure(t_k, _ICE), _ln_pressure(t_k, _WATER))
    return answer(np.exp(ln_p), valid, "Saturation pressure is known from −100 to 200 °C only.")


def humidity_ratio_from_vapour_pressure(vapour_pa: ArrayLike, pressure_pa: ArrayLike) -> FloatArray:
    """W = 0.621945·p_w/(p − p_w), kg/kg; p_w in Pa from 0 to below p. Source: ASHRAE ch. 1 eq. 20."""
    p_w, p = floats(vapour_pa), floats(pressure_pa)
    valid = (p_w >= 0) & (p_w < p)
    dry = np.where(valid, p - p_w, 1.0)
    return answer(
        MOLAR_MASS_RATIO * p_w / dry, valid, "The vapour pressure must lie between 0 and the air's."
    )


def vapour_pressure_pa(w: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE_PA) -> FloatArray:
    """p_w = p·W/(0.621945 + W), Pa; W in kg/kg, not negative."""
    ratio = floats(w)
    valid = ratio >= 0
    safe = np.where(valid, ratio, 0.0)
    return answer(
        floats(pressure_pa) * safe / (MOLAR_MASS_RATIO + safe), valid, "A humidity ratio can't be negative."
    )


def saturation_humidity_ratio(t_c: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE_PA) -> FloatArray:
    """Humidity ratio of saturated air, kg/kg; t_c in °C, below boiling. Source: ASHRAE ch. 1 eq. 21."""
    return humidity_ratio_from_vapour_pressure(saturation_pressure_pa(t_c), pressure_pa)


def humidity_ratio(
    t_c: ArrayLike, rh: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE_PA
) -> FloatArray:
    """Humidity ratio, kg/kg, from temperature (°C) and relative humidity (0 to 1)."""
    share = floats(rh)
    valid = (share >= 0) & (share <= 1)
    w = humidity_ratio_from_vapour_pressure(
        np.where(valid, share, 0.0) * saturation_pressure_pa(t_c), pressure_pa
    )
    return answer(w, valid, "Relative humidity is a share from 0 to 1.")


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


def relative_humidity(
    t_c: ArrayLike, w: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE_PA
) -> FloatArray:
    """Relative humidity as a share; above 1 the air is supersaturated, and that is what is returned."""
    return scalar_or_array(vapour_pressure_pa(w, pressure_pa) / saturation_pressure_pa(t_c))


def dew_point_c(w: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE_PA) -> FloatArray:
    """Dew point (frost point below 0.01 °C), °C: where the saturation pressure equals the vapour pressure.

    w  humidity ratio, kg/kg, above 0 (perfectly dry air has no dew point)
    Method: Newton on ln p, inverse of `saturation_pressure_pa`; range −100 to 200 °C.
    """
    p_w = vapour_pressure_pa(w, pressure_pa)
    possible = p_w > 0
    ln_p = np.log(np.where(possible, p_w, TRIPLE_POINT_PA))
    magnus = ln_p - np.log(611.2)
    start_k = 243.12 * magnus / np.where(magnus < 17, 17.62 - magnus, 0.62) + ZERO_C_K
    t_k, is_ice = np.clip(start_k, 160.0, 480.0), p_w < TRIPLE_POINT_PA
    for _ in range(20):
        ice, water = _ln_saturation(t_k, _ICE), _ln_saturation(t_k, _WATER)
        error = np.where(is_ice, ice[0], water[0]) - ln_p
        t_k = t_k - error / np.where(is_ice, ice[1], water[1])
        if np.all(np.abs(error) < 1e-13):
            break
    t_c = t_k - ZERO_C_K
    # rounding leaves about 1e-13 in ln p; 1e-9 is far tighter than any use and tells a diverged row
    valid = possible & (np.abs(error) < 1e-9) & (t_c >= -100) & (t_c <= 200)
    return answer(t_c, valid, "Air this dry or this wet has no dew point between −100 and 200 °C.")


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


def enthalpy_j_kg(t_c: ArrayLike, w: ArrayLike) -> FloatArray:
    """Enthalpy 1006·T + W·(2501000 + 1860·T), J per kg of dry air; 0 for dry air at 0 °C.

    Source: ASHRAE ch. 1 eq. 30.
    """
    t, ratio = floats(t_c), floats(w)
    return scalar_or_array(HEAT_DRY_AIR * t + ratio * (EVAPORATION_AT_0_C + HEAT_VAPOUR * t))


def temperature_from_enthalpy(h_j_kg: ArrayLike, w: ArrayLike) -> FloatArray:
    """T = (h − 2501000·W)/(1006 + 1860·W), °C: the inverse of `enthalpy_j_kg`."""
    ratio = floats(w)
    return scalar_or_array(
        (floats(h_j_kg) - EVAPORATION_AT_0_C * ratio) / (HEAT_DRY_AIR + HEAT_VAPOUR * ratio)
    )


def specific_volume_m3_kg(
    t_c: ArrayLike, w: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE_PA
) -> FloatArray:
    """Volume v = 287.042·T_K·(1 + 1.607858·W)/p, m³ per kg of dry air. Source: ASHRAE ch. 1 eq. 26."""
    p = floats(pressure_pa)
    valid = p > 0
    v = GAS_CONSTANT_DRY_AIR * (floats(t_c) + ZERO_C_K) * (1 + 1.607858 * floats(w)) / np.where(valid, p, 1.0)
    return answer(v, valid, "The air pressure must be above zero.")


def density_kg_m3(t_c: ArrayLike, w: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE_PA) -> FloatArray:
    """Density of the moist air, kg of air and vapour per m³: (1 + W)/v. Source: ASHRAE ch. 1 eq. 11."""
    return scalar_or_array((1 + floats(w)) / specific_volume_m3_kg(t_c, w, pressure_pa))


def pressure_from_altitude_pa(altitude_m: ArrayLike) -> FloatArray:
    """Pressure 101325·(1 − 2.25577e-5·Z)^5.2559, Pa; Z from −5,000 to 11,000 m.

    Source: ASHRAE ch. 1 eq. 3.
    """
    z = floats(altitude_m)
    valid = (z >= -5000) & (z <= 11000)
    p = STANDARD_PRESSURE_PA * (1 - 2.25577e-5 * np.where(valid, z, 0.0)) ** 5.2559
    return answer(p, valid, "The altitude must lie between −5,000 and 11,000 m.")


def mixed(
    first_kg_s: ArrayLike,
    first_t_c: ArrayLike,
    first_w: ArrayLike,
    second_kg_s: ArrayLike,
    second_t_c: ArrayLike,
    second_w: ArrayLike,
) -> tuple[FloatArray, FloatArray]:
    """Two streams mixed without heat from outside: (temperature °C, humidity ratio kg/kg).

    Flows in kg/s of dry air, not negative and not both zero. Enthalpy and water are kept exactly; above
    saturation the result is fog. Source: ASHRAE ch. 1, adiabatic mixing of two moist air streams.
    """
    a, b = floats(first_kg_s), floats(second_kg_s)
    total = a + b
    valid = (a >= 0) & (b >= 0) & (total > 0)
    share = np.where(valid, a, 0.0) / np.where(valid, total, 1.0)
    w = share * floats(first_w) + (1 - share) * floats(second_w)
    h = share * enthalpy_j_kg(first_t_c, first_w) + (1 - share) * enthalpy_j_kg(second_t_c, second_w)
    sentence = "Mixing needs two flows that are not negative and not both zero."
    return answer(temperature_from_enthalpy(h, w), valid, sentence), answer(w, valid, sentence)
