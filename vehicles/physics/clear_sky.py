"""What a clear sky sends: the sun's beam across it, and its own scattered light on the level.

Angles in degrees, irradiances in W/m². All arguments broadcast; scalars give scalars.
Source, unless another is named: ASHRAE Handbook Fundamentals (SI), chapter 14.
"""

import numpy as np
from numpy.typing import ArrayLike

from vehicles.physics.arrays import FloatArray, answer, floats, scalar_or_array
from vehicles.physics.sun import cos_deg, sin_deg

SOLAR_CONSTANT_W_M2 = 1367.0


def extraterrestrial_w_m2(day_of_year: ArrayLike) -> FloatArray:
    """Irradiance of the sun outside the air, on a surface that faces it.

    Formula: E_0 = 1367·(1 + 0.033·cos(360°·(n − 3)/365))
    Parameters: day_of_year n
    Returns: W/m²
    Validity: 1 to 366
    Source: ASHRAE Handbook Fundamentals (SI), ch. 14, eq. 4
    Check: by hand: 1367·1.033 on 3 January

    >>> round(float(extraterrestrial_w_m2(3)), 1)
    1412.1
    """
    n = floats(day_of_year)
    normal = SOLAR_CONSTANT_W_M2 * (1 + 0.033 * cos_deg(360 * (n - 3) / 365))
    return answer(normal, (n >= 1) & (n <= 366), "A day of the year lies from 1 to 366.")


def air_mass(sun_altitude_deg: ArrayLike) -> FloatArray:
    """Way of the sun's rays through the air, over that of a sun overhead.

    Formula: m = 1/(sin β + 0.50572·(6.07995 + β)^−1.6364)
    Parameters: sun_altitude_deg β over the horizon, °
    Returns: a ratio
    Validity: 0 to 90°
    Source: ASHRAE Handbook Fundamentals (SI), ch. 14, eq. 16; F. Kasten and A. T. Young, Applied Optics 28 (1989) 4735
    Check: near 1/sin 30° = 2 at 30°

    >>> round(float(air_mass(30)), 2)
    1.99
    """
    beta = floats(sun_altitude_deg)
    valid = (beta >= 0) & (beta <= 90)
    safe = np.where(valid, beta, 45.0)
    mass = 1 / (sin_deg(safe) + 0.50572 * (6.07995 + safe) ** -1.6364)
    return answer(mass, valid, "The air mass needs a sun between the horizon and overhead.")


def tau_exponents(tau_beam: ArrayLike, tau_diffuse: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """The exponents of the air mass by which the beam and the diffuse light of a clear sky grow weaker.

    Formula: ab = 1.454 − 0.406·τ_b − 0.268·τ_d + 0.021·τ_b·τ_d; ad = 0.507 + 0.205·τ_b − 0.080·τ_d − 0.190·τ_b·τ_d
    Parameters: tau_beam τ_b and tau_diffuse τ_d, optical depths of a place and month
    Returns: ab and ad
    Validity: as `clear_sky_w_m2`, which asks for the depths
    Source: ASHRAE Handbook Fundamentals (SI), ch. 14, eqs. 19 and 20
    Check: by hand: 1.454 − 0.406 − 0.268 + 0.021 and 0.507 + 0.205 − 0.080 − 0.190

    >>> [round(float(exponent), 3) for exponent in tau_exponents(1, 1)]
    [0.801, 0.442]
    """
    tb, td = floats(tau_beam), floats(tau_diffuse)
    ab = 1.454 - 0.406 * tb - 0.268 * td + 0.021 * tb * td
    ad = 0.507 + 0.205 * tb - 0.080 * td - 0.190 * tb * td
    return scalar_or_array(ab), scalar_or_array(ad)


def clear_sky_w_m2(
    sun_altitude_deg: ArrayLike, extraterrestrial: ArrayLike, tau_beam: ArrayLike, tau_diffuse: ArrayLike
) -> tuple[FloatArray, FloatArray]:
    """(beam normal, diffuse horizontal) of a clear sky from the two optical depths of a place and month.

    Formula: E_b = E_0·exp(−τ_b·m^ab); E_d = E_0·exp(−τ_d·m^ad); exponents from both optical depths
    Parameters: sun_altitude_deg; extraterrestrial E_0, W/m²; tau_beam τ_b and tau_diffuse τ_d of the month
    Returns: beam on a surface that faces the sun, and diffuse on the level, W/m²
    Validity: clear sky, sun above the horizon; τ_b above 0 to 2, τ_d above 0 to 4
    Source: ASHRAE Handbook Fundamentals (SI), ch. 14, eqs. 17 to 20
    Check: examples 3 and 4 of that chapter within 0.4 and 0.6 %
    """
    tb, td = floats(tau_beam), floats(tau_diffuse)
    possible = (tb > 0) & (tb <= 2) & (td > 0) & (td <= 4)
    sentence = (
        "A clear sky needs optical depths above 0, of the beam up to 2 and of the diffuse light up to 4."
    )
    tb, td = answer(tb, possible, sentence), answer(td, possible, sentence)
    mass, e0 = air_mass(sun_altitude_deg), floats(extraterrestrial)
    ab, ad = tau_exponents(tb, td)
    return scalar_or_array(e0 * np.exp(-tb * mass**ab)), scalar_or_array(e0 * np.exp(-td * mass**ad))
