"""Moist air by the relations of the ASHRAE Handbook Fundamentals (SI), chapter 1.

Temperatures in °C, pressures in Pa, humidity ratio in kg of water per kg of dry air, enthalpy in J per kg of
dry air, relative humidity as a share from 0 to 1. All arguments broadcast; scalars give scalars. Outside the
validity of a relation a scalar raises Refusal and a batch marks the row with NaN.
"""

import numpy as np
from numpy.typing import ArrayLike

from vehicles.physics.arrays import FloatArray, answer, floats, scalar_or_array

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

    Formula: ln p = C1/T + C2 + C3·T + C4·T² + C5·T³ + C6·T⁴ + C7·ln T, T in kelvin, one set of constants for ice and
        one for water
    Parameters: t_c, temperature, °C
    Returns: Pa
    Validity: −100 to 200 °C; the curve changes at the triple point, where both meet, not at 0 °C as there
    Source: ASHRAE Handbook Fundamentals (SI), ch. 1, eqs. 5 and 6 (Hyland and Wexler 1983)
    Check: PsychroLib within 0.05 % from −20 to 60 °C

    >>> round(float(saturation_pressure_pa(20)))
    2339
    """
    t = floats(t_c)
    valid = (t >= -100) & (t <= 200)
    t_k = np.where(valid, t, 20.0) + ZERO_C_K
    ln_p = np.where(t < TRIPLE_POINT_C, _ln_pressure(t_k, _ICE), _ln_pressure(t_k, _WATER))
    return answer(np.exp(ln_p), valid, "Saturation pressure is known from −100 to 200 °C only.")


def humidity_ratio_from_vapour_pressure(vapour_pa: ArrayLike, pressure_pa: ArrayLike) -> FloatArray:
    """Humidity ratio of air whose water has a vapour pressure.

    Formula: W = 0.621945·p_w/(p − p_w)
    Parameters: vapour_pa p_w, Pa; pressure_pa p of the air, Pa
    Returns: kg of water per kg of dry air
    Validity: p_w from 0 to below p; ideal gases
    Source: ASHRAE Handbook Fundamentals (SI), ch. 1, eq. 20
    Check: by hand: 0.621945·1,000/100,325

    >>> round(float(humidity_ratio_from_vapour_pressure(1000, 101325)), 6)
    0.006199
    """
    p_w, p = floats(vapour_pa), floats(pressure_pa)
    valid = (p_w >= 0) & (p_w < p)
    dry = np.where(valid, p - p_w, 1.0)
    return answer(
        MOLAR_MASS_RATIO * p_w / dry, valid, "The vapour pressure must lie between 0 and the air's."
    )


def vapour_pressure_pa(w: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE_PA) -> FloatArray:
    """Vapour pressure of the water in moist air: the inverse of `humidity_ratio_from_vapour_pressure`.

    Formula: p_w = p·W/(0.621945 + W)
    Parameters: w, humidity ratio W, kg/kg; pressure_pa p of the air, Pa
    Returns: Pa
    Validity: W not negative; ideal gases
    Source: ASHRAE Handbook Fundamentals (SI), ch. 1, eq. 20 solved for p_w
    Check: by hand: 101,325·0.01/0.631945

    >>> round(float(vapour_pressure_pa(0.01)), 1)
    1603.4
    """
    ratio = floats(w)
    valid = ratio >= 0
    safe = np.where(valid, ratio, 0.0)
    return answer(
        floats(pressure_pa) * safe / (MOLAR_MASS_RATIO + safe), valid, "A humidity ratio can't be negative."
    )


def saturation_humidity_ratio(t_c: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE_PA) -> FloatArray:
    """Humidity ratio of saturated air.

    Formula: W_s = 0.621945·p_ws/(p − p_ws), p_ws the saturation pressure at the temperature
    Parameters: t_c, temperature, °C; pressure_pa p of the air, Pa
    Returns: kg of water per kg of dry air
    Validity: −100 to 200 °C and below boiling
    Source: ASHRAE Handbook Fundamentals (SI), ch. 1, eq. 21
    Check: by hand with 2,338.8 Pa at 20 °C: 0.621945·2,338.8/98,986.2

    >>> round(float(saturation_humidity_ratio(20)), 4)
    0.0147
    """
    return humidity_ratio_from_vapour_pressure(saturation_pressure_pa(t_c), pressure_pa)


def humidity_ratio(
    t_c: ArrayLike, rh: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE_PA
) -> FloatArray:
    """Humidity ratio of air from its temperature and relative humidity.

    Formula: W = 0.621945·φ·p_ws/(p − φ·p_ws), p_ws the saturation pressure at the temperature
    Parameters: t_c, temperature, °C; rh, relative humidity φ, a share; pressure_pa p of the air, Pa
    Returns: kg of water per kg of dry air
    Validity: φ from 0 to 1, −100 to 200 °C, vapour pressure below that of the air
    Source: ASHRAE Handbook Fundamentals (SI), ch. 1, eqs. 20 and 22
    Check: by hand with 2,338.8 Pa at 20 °C: 0.621945·1,169.4/100,155.6

    >>> round(float(humidity_ratio(20, 0.5)), 5)
    0.00726
    """
    share = floats(rh)
    valid = (share >= 0) & (share <= 1)
    w = humidity_ratio_from_vapour_pressure(
        np.where(valid, share, 0.0) * saturation_pressure_pa(t_c), pressure_pa
    )
    return answer(w, valid, "Relative humidity is a share from 0 to 1.")


def relative_humidity(
    t_c: ArrayLike, w: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE_PA
) -> FloatArray:
    """Relative humidity of air.

    Formula: φ = p_w/p_ws, vapour pressure over saturation pressure at the temperature
    Parameters: t_c, temperature, °C; w, humidity ratio, kg/kg; pressure_pa of the air, Pa
    Returns: a share; above 1 the air is supersaturated, and that is what is returned
    Validity: −100 to 200 °C, W not negative
    Source: ASHRAE Handbook Fundamentals (SI), ch. 1, eq. 22
    Check: `humidity_ratio` gives the same humidity back

    >>> round(float(relative_humidity(20, humidity_ratio(20, 0.5))), 9)
    0.5
    """
    return scalar_or_array(vapour_pressure_pa(w, pressure_pa) / saturation_pressure_pa(t_c))


def dew_point_c(w: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE_PA) -> FloatArray:
    """Dew point of moist air (frost point below 0.01 °C): where the saturation pressure equals the vapour pressure.

    Formula: p_ws(T_dp) = p_w, by Newton's method on ln p
    Parameters: w, humidity ratio, kg/kg; pressure_pa of the air, Pa
    Returns: °C
    Validity: dew points from −100 to 200 °C; perfectly dry air has none
    Source: definition; saturation pressure as `saturation_pressure_pa`
    Check: saturated air is at its dew point

    >>> round(float(dew_point_c(saturation_humidity_ratio(20))), 9)
    20.0
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


def enthalpy_j_kg(t_c: ArrayLike, w: ArrayLike) -> FloatArray:
    """Enthalpy of moist air, counted from dry air and liquid water at 0 °C.

    Formula: h = 1006·T + W·(2,501,000 + 1860·T), T in °C
    Parameters: t_c, temperature, °C; w, humidity ratio, kg/kg
    Returns: J per kg of dry air
    Validity: ideal gases of constant specific heat
    Source: ASHRAE Handbook Fundamentals (SI), ch. 1, eq. 30
    Check: by hand: 20,120 + 0.01·2,538,200

    >>> round(float(enthalpy_j_kg(20, 0.01)))
    45502
    """
    t, ratio = floats(t_c), floats(w)
    return scalar_or_array(HEAT_DRY_AIR * t + ratio * (EVAPORATION_AT_0_C + HEAT_VAPOUR * t))


def temperature_from_enthalpy(h_j_kg: ArrayLike, w: ArrayLike) -> FloatArray:
    """Temperature of moist air from its enthalpy: the inverse of `enthalpy_j_kg`.

    Formula: T = (h − 2,501,000·W)/(1006 + 1860·W)
    Parameters: h_j_kg, enthalpy, J per kg of dry air; w, humidity ratio, kg/kg
    Returns: °C
    Validity: as `enthalpy_j_kg`
    Source: ASHRAE Handbook Fundamentals (SI), ch. 1, eq. 30 solved for T
    Check: by hand: (45,502 − 25,010)/1,024.6

    >>> round(float(temperature_from_enthalpy(45502, 0.01)), 9)
    20.0
    """
    ratio = floats(w)
    return scalar_or_array(
        (floats(h_j_kg) - EVAPORATION_AT_0_C * ratio) / (HEAT_DRY_AIR + HEAT_VAPOUR * ratio)
    )


def specific_volume_m3_kg(
    t_c: ArrayLike, w: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE_PA
) -> FloatArray:
    """Volume of moist air per mass of its dry air.

    Formula: v = 287.042·T·(1 + 1.607858·W)/p, T in kelvin
    Parameters: t_c, temperature, °C; w, humidity ratio, kg/kg; pressure_pa p of the air, Pa
    Returns: m³ per kg of dry air
    Validity: ideal gases; p above 0
    Source: ASHRAE Handbook Fundamentals (SI), ch. 1, eq. 26
    Check: by hand: 287.042·293.15/101,325

    >>> round(float(specific_volume_m3_kg(20, 0)), 4)
    0.8305
    """
    p = floats(pressure_pa)
    valid = p > 0
    v = GAS_CONSTANT_DRY_AIR * (floats(t_c) + ZERO_C_K) * (1 + 1.607858 * floats(w)) / np.where(valid, p, 1.0)
    return answer(v, valid, "The air pressure must be above zero.")


def density_kg_m3(t_c: ArrayLike, w: ArrayLike, pressure_pa: ArrayLike = STANDARD_PRESSURE_PA) -> FloatArray:
    """Density of moist air, its vapour included.

    Formula: ρ = (1 + W)/v, v the specific volume
    Parameters: t_c, temperature, °C; w, humidity ratio, kg/kg; pressure_pa of the air, Pa
    Returns: kg of air and vapour per m³
    Validity: as `specific_volume_m3_kg`
    Source: ASHRAE Handbook Fundamentals (SI), ch. 1, eq. 11
    Check: by hand: 1/0.8305 for dry air at 20 °C

    >>> round(float(density_kg_m3(20, 0)), 3)
    1.204
    """
    return scalar_or_array((1 + floats(w)) / specific_volume_m3_kg(t_c, w, pressure_pa))


def pressure_from_altitude_pa(altitude_m: ArrayLike) -> FloatArray:
    """Pressure of the standard atmosphere at an altitude.

    Formula: p = 101,325·(1 − 2.25577·10⁻⁵·Z)^5.2559
    Parameters: altitude_m Z above sea level, m
    Returns: Pa
    Validity: −5,000 to 11,000 m; weather changes it by a few percent
    Source: ASHRAE Handbook Fundamentals (SI), ch. 1, eq. 3
    Check: PsychroLib within 0.05 % from 0 to 3,000 m

    >>> round(float(pressure_from_altitude_pa(1000)), -1)
    89870.0
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
    """Two streams of moist air, mixed without heat from outside.

    Formula: W = Σ ṁ·W/Σ ṁ and h = Σ ṁ·h/Σ ṁ; the temperature follows from both
    Parameters: first_kg_s and second_kg_s, flows of dry air, kg/s; first_t_c and second_t_c, °C; first_w and
        second_w, kg/kg
    Returns: temperature, °C, and humidity ratio, kg/kg
    Validity: flows not negative and not both zero; above saturation the result is fog
    Source: ASHRAE Handbook Fundamentals (SI), ch. 1, adiabatic mixing of two moist air streams
    Check: by hand: equal flows of dry air of 20 and 30 °C

    >>> temperature, w = mixed(1, 20, 0, 1, 30, 0)
    >>> round(float(temperature), 9), float(w)
    (25.0, 0.0)
    """
    a, b = floats(first_kg_s), floats(second_kg_s)
    total = a + b
    valid = (a >= 0) & (b >= 0) & (total > 0)
    share = np.where(valid, a, 0.0) / np.where(valid, total, 1.0)
    w = share * floats(first_w) + (1 - share) * floats(second_w)
    h = share * enthalpy_j_kg(first_t_c, first_w) + (1 - share) * enthalpy_j_kg(second_t_c, second_w)
    sentence = "Mixing needs two flows that are not negative and not both zero."
    return answer(temperature_from_enthalpy(h, w), valid, sentence), answer(w, valid, sentence)
