"""The condenser: conductance from rated points, and the air it really gets where it is installed."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from kits.sizing.words.defaults import default_value
from vehicles.physics.air import STANDARD_PRESSURE_PA, density_kg_m3
from vehicles.physics.arrays import FloatArray, Refusal, answer, floats, scalar_or_array

CP_AIR_J_KGK = 1007.0
LEAST_EXPONENT, LARGEST_EXPONENT = 0.2, 1.0
"""A fitted exponent outside says that the rated points contradict each other."""


@dataclass(frozen=True)
class RatedCondenserPoint:
    """One line of a condenser's data sheet; flow is volume at the air inlet, sea level."""

    airflow_m3_h: float
    air_in_c: float
    condensing_c: float
    heat_w: float


@dataclass(frozen=True)
class CondenserModel:
    """UA = ua_w_k·(m/ref_air_kg_s)^exponent.

    rms_error_share  root mean square of the relative errors of heat
    assumed          what had to be assumed because the data sheet does not say it; empty when nothing
    """

    ua_w_k: float
    ref_air_kg_s: float
    exponent: float
    rms_error_share: float
    points: int
    assumed: tuple[str, ...] = ()


class InstalledAir(NamedTuple):
    """Air through an installed condenser, as volume at its inlet and as mass."""

    m3_h: FloatArray
    kg_s: FloatArray


def heat_rejected_w(
    ua_w_k: ArrayLike,
    ref_air_kg_s: ArrayLike,
    exponent: ArrayLike,
    air_kg_s: ArrayLike,
    air_in_c: ArrayLike,
    condensing_c: ArrayLike,
) -> FloatArray:
    """Heat that a condenser gives to its air.

    Formula: Q = (1 − exp(−UA/C))·C·(T_c − T_in), C = m·1007, UA = ua·(m/ref)^exponent.
    Parameters: ua_w_k, conductance at the reference flow, W/K; ref_air_kg_s, kg/s; exponent, its growth with air flow;
    air_kg_s m, kg/s; all above 0; air_in_c T_in and condensing_c T_c, °C.
    Returns: W.
    Validity: the whole condenser is taken at condensing temperature (the gas arrives hotter, the liquid leaves colder).
    Source: effectiveness of a heat exchanger with one side at constant temperature (Kays and London, Compact Heat
    Exchangers).
    Check: by hand: 500 W/K and 0.5 kg/s at 20 K: (1 − e^(−500/503.5))·503.5·20 = 6,340 W.

    >>> round(float(heat_rejected_w(500, 0.5, 0.5, 0.5, 35, 55)))
    6340
    """
    by_kelvin = conductance_w_k(ua_w_k, ref_air_kg_s, exponent, air_kg_s)
    return scalar_or_array(by_kelvin * (floats(condensing_c) - floats(air_in_c)))


def conductance_w_k(
    ua_w_k: ArrayLike, ref_air_kg_s: ArrayLike, exponent: ArrayLike, air_kg_s: ArrayLike
) -> FloatArray:
    """Heat that a condenser rejects for each kelvin of condensing temperature above its air inlet.

    Formula: (1 − exp(−UA/C))·C, C = m·1007, UA = ua·(m/ref)^exponent.
    Parameters: ua_w_k, conductance at the reference flow, W/K; ref_air_kg_s, kg/s; exponent, its growth with air flow;
    air_kg_s m, kg/s; all above 0.
    Returns: W/K.
    Validity: as heat_rejected_w.
    Source: effectiveness of a heat exchanger with one side at constant temperature (Kays and London, Compact Heat
    Exchangers).
    Check: by hand: a huge conductance gives all that the air can carry, 0.5 kg/s · 1007 J/(kg K).

    >>> float(conductance_w_k(1e6, 0.5, 0.5, 0.5))
    503.5
    """
    m = floats(air_kg_s)
    capacity = m * CP_AIR_J_KGK
    ua = floats(ua_w_k) * (m / floats(ref_air_kg_s)) ** floats(exponent)
    return scalar_or_array(-np.expm1(-ua / capacity) * capacity)


def fit_condenser(points: Sequence[RatedCondenserPoint]) -> CondenserModel:
    """Conductance of a condenser and its growth with air flow, from the rated points of its data sheet.

    Formula: each point has UA = −ln(1 − Q/(C·(T_c − T_in)))·C; a straight line of ln UA over ln flow by least squares,
    about the geometric mean of the flows.
    Parameters: points, one or more: airflow_m3_h, m³/h at the air inlet, air_in_c and condensing_c, °C, heat_w, W.
    Returns: conductance at the reference flow in W/K, the reference flow in kg/s, the exponent, and the error of heat
    over the points.
    Validity: dry air at sea level. With a single flow the exponent is the default `condenser_ua_exponent`, and the
    result says so; points whose exponent lies outside 0.2 to 1 contradict each other and are refused, as is one that
    gives more than its air can carry.
    Source: effectiveness of a heat exchanger with one side at constant temperature (Kays and London, Compact Heat
    Exchangers); least squares.
    Check: two points are met exactly; one comes back.

    >>> sheet = [RatedCondenserPoint(1500, 35, 55, 6000)]
    >>> model = fit_condenser(sheet)
    >>> round(float(heat_rejected_w(model.ua_w_k, model.ref_air_kg_s, model.exponent, model.ref_air_kg_s, 35, 55)))
    6000
    """
    _check_points(points)
    t_in = np.array([p.air_in_c for p in points])
    m = np.array([p.airflow_m3_h for p in points]) / 3600 * density_kg_m3(t_in, 0.0)
    heat = np.array([p.heat_w for p in points])
    lift = np.array([p.condensing_c for p in points]) - t_in
    share = heat / (m * CP_AIR_J_KGK * lift)
    if (share >= 1).any():
        raise Refusal("A rated point rejects more heat than its air can carry at that temperature.")
    ln_ua = np.log(-np.log1p(-share) * m * CP_AIR_J_KGK)
    ln_ref = float(np.log(m).mean())
    offset = np.log(m) - ln_ref
    assumed: tuple[str, ...] = ()
    if np.ptp(offset) < 1e-6:
        exponent = default_value("condenser_ua_exponent")
        assumed = (f"condenser_ua_exponent = {exponent:g}: the rated points are all at one air flow",)
    else:
        exponent = float((offset * ln_ua).sum() / (offset**2).sum())
        if not LEAST_EXPONENT <= exponent <= LARGEST_EXPONENT:
            raise Refusal(
                f"The rated points of the condenser contradict each other: conductance would grow with "
                f"air flow to the power {exponent:.2f}, which should lie between 0.2 and 1."
            )
    ua, ref = float(np.exp(ln_ua.mean())), float(np.exp(ln_ref))
    got = heat_rejected_w(ua, ref, exponent, m, t_in, t_in + lift)
    rms = float(np.sqrt(np.mean((got / heat - 1) ** 2)))
    return CondenserModel(ua, ref, exponent, rms, len(points), assumed)


def _check_points(points: Sequence[RatedCondenserPoint]) -> None:
    if not points:
        raise Refusal("A condenser needs at least one rated point.")
    for p in points:
        if not np.all(np.isfinite([p.airflow_m3_h, p.air_in_c, p.condensing_c, p.heat_w])):
            raise Refusal("A rated point of the condenser has a value that is not a number.")
        if p.airflow_m3_h <= 0 or p.heat_w <= 0:
            raise Refusal("A rated point of the condenser needs air flow and heat above zero.")
        if p.condensing_c <= p.air_in_c:
            raise Refusal("A rated point of the condenser must condense above its air inlet.")


def installed_air(
    *,
    fan_free_m3_h: ArrayLike,
    installed_share: ArrayLike,
    road_speed_km_h: ArrayLike,
    ram_share: ArrayLike,
    face_area_m2: ArrayLike,
    air_in_c: ArrayLike,
    pressure_pa: ArrayLike = STANDARD_PRESSURE_PA,
) -> InstalledAir:
    """Air through the condenser where it is installed: the larger of what the fan and what the road gives.

    Formula: V = max(free·share, speed·ram·face area); m = V·ρ of dry air.
    Parameters: fan_free_m3_h, fan in free air, m³/h, not negative; installed_share, what is left of it in place, 0 to
    1; road_speed_km_h, km/h, not negative; ram_share, face velocity over road speed, 0 to 1; face_area_m2, m², above 0;
    air_in_c, at the condenser, °C; pressure_pa, Pa, above 0.
    Returns: volume at the inlet in m³/h and mass in kg/s.
    Validity: fan and ram together give more than the larger of them; how much is not known, so this is on the safe
    side.
    Source: continuity; that only the larger counts: common practice, no source.
    Check: by hand: 60 km/h, a fifth of it, on 0.2 m² are 2,400 m³/h; at rest 70 % of the fan's 2,000.

    >>> [round(float(installed_air(fan_free_m3_h=2000, installed_share=0.7, road_speed_km_h=speed, ram_share=0.2,
    ...     face_area_m2=0.2, air_in_c=35).m3_h)) for speed in (60, 0)]
    [2400, 1400]
    """
    free, share, speed = (floats(v) for v in (fan_free_m3_h, installed_share, road_speed_km_h))
    ram, face = floats(ram_share), floats(face_area_m2)
    valid = (free >= 0) & (share >= 0) & (share <= 1) & (speed >= 0) & (ram >= 0) & (ram <= 1) & (face > 0)
    volume = answer(
        np.maximum(free * share, speed * 1000 * ram * face),
        valid & np.isfinite(free * speed * face),
        "Condenser air needs a fan and a road speed not negative, shares from 0 to 1, a face above zero.",
    )
    return InstalledAir(volume, scalar_or_array(volume / 3600 * density_kg_m3(air_in_c, 0.0, pressure_pa)))
