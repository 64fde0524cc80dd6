"""The freeze control in time: how many seconds a cycling compressor is on and off."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from kits.sizing.words.defaults import default_value
from vehicles.physics.arrays import FloatArray, answer, floats

SECONDS_PER_HOUR = 3600.0
WATER_J_KGK = 4190.0


class Cycling(NamedTuple):
    """One cycle of the freeze control."""

    on_s: FloatArray
    off_s: FloatArray
    cycles_per_h: FloatArray


def coil_heat_j_k(mass_kg: ArrayLike, water_kg: ArrayLike) -> FloatArray:
    """Heat that warms a wet coil by one kelvin.

    Formula: C = m·c + m_w·c_w.
    Parameters: mass_kg m of the dry coil, kg, above 0; water_kg m_w that hangs on its fins, kg, not negative; c is
    that of aluminium, c_w that of water.
    Returns: J/K.
    Validity: liquid refrigerant in the tubes is left out.
    Source: specific heats, handbook values.
    Check: by hand: 1.4 kg with 0.25 kg of water hold 2,308 J/K.
    """
    mass, water = floats(mass_kg), floats(water_kg)
    heat = mass * default_value("coil_specific_heat_j_kgk") + water * WATER_J_KGK
    valid = (mass > 0) & (water >= 0) & np.isfinite(heat)
    return answer(heat, valid, "A coil's mass must be above zero and its water not negative.")


def cycling(
    duty_share: ArrayLike,
    capacity_w: ArrayLike,
    heat_j_k: ArrayLike,
    cut_out_c: ArrayLike,
    cut_in_c: ArrayLike,
    late_s: ArrayLike,
) -> Cycling:
    """Seconds on and off of a compressor that a fin thermostat cycles.

    Formula: off: the air warms the fins at r = Q/C; on: the surplus cools them at r·(1-D)/D. A sensor late by τ lets
    them run on both ways: t_off = C·ΔT/Q + τ/D, t_on = t_off·D/(1-D).
    Parameters: duty_share D of the time that the compressor runs, 0 to 1; capacity_w Q, mean cooling, W, above 0;
    heat_j_k C of the coil, J/K, above 0; cut_out_c and cut_in_c, fins, °C, the first below the second; late_s τ of
    the sensor, s, not negative.
    Returns: seconds on and off, cycles per hour. At D = 1 it never stops, at 0 never runs.
    Validity: an order of size: both rates are taken as steady through the cycle, though a compressor moves less the
    colder the fins become; so how far they swing beyond the settings is not told.
    Source: heat balance of the fins.
    Check: t_on/(t_on + t_off) = D.
    """
    d, q, c, low, high, late = (
        floats(v) for v in (duty_share, capacity_w, heat_j_k, cut_out_c, cut_in_c, late_s)
    )
    valid = (d >= 0) & (d <= 1) & (q > 0) & (c > 0) & (low < high) & (late >= 0)
    valid = valid & np.isfinite(q * c * (high - low) * late)
    runs, stops = valid & (d > 0), valid & (d < 1)
    share = np.where(runs & stops, d, 0.5)
    warming_k_s = np.where(valid, q, 1.0) / np.where(valid, c, 1.0)
    off = (high - low) / warming_k_s + late / share
    on = off * share / (1 - share)
    per_hour = np.where(runs & stops, SECONDS_PER_HOUR / (on + off), 0.0)
    on = np.where(stops, np.where(runs, on, 0.0), np.inf)
    off = np.where(runs, np.where(stops, off, 0.0), np.inf)
    sentence = (
        "A cycle needs a duty from 0 to 1, cooling and heat of the coil above zero, a cut-out below the cut-in, "
        "and a sensor that is not early."
    )
    return Cycling(*(answer(value, valid, sentence) for value in (on, off, per_hour)))
