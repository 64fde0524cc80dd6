"""Cold surfaces: how cold they are, whether they sweat, what insulation helps, what cooling they lose, the drain.

A wall has a cold and a warm side; which of the two carries the moist air makes no difference to the heat, so
every function gives both surfaces. Films are W/m²K and contain radiation; an endless one (a fluid that holds
the wall at its own temperature) is written as infinity. All arguments broadcast; scalars give scalars.
"""

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import lambertw

from kits.sizing.words.defaults import Default
from vehicles.physics.arrays import BoolArray, FloatArray, answer, floats

WATER_KG_M3 = 1000.0
GRAVITY_M_S2 = 9.80665
LARGEST_EXPONENT = 600.0
"""Beyond it the closed form of the thickness round a pipe leaves the range of numbers."""

WALL_SENTENCE = (
    "A wall needs films above zero, a resistance that is not negative, and temperatures that are numbers."
)
PIPE_SENTENCE = (
    "A pipe needs films and conductivities above zero and radii above zero that grow from inside to outside."
)


@dataclass(frozen=True)
class WallState:
    """Surface temperatures of a wall, °C, and the heat through it: W/m² (flat) or W/m (round).

    heat  from the second (outer) side to the first (inner) one; positive where the first side is the colder
    """

    first_c: FloatArray
    second_c: FloatArray
    heat: FloatArray


@dataclass(frozen=True, kw_only=True)
class Material:
    """An insulation by its conductivity at two mean temperatures, and the hottest it bears."""

    code: str
    name: str
    low_c: float
    low_w_mk: float
    high_c: float
    high_w_mk: float
    vapour_perm_ng_smpa: float
    limit_c: float
    source: str


@cache
def _data() -> dict[str, Any]:
    read: dict[str, Any] = json.loads(
        (Path(__file__).parent / "data" / "condensation.json").read_text(encoding="utf-8")
    )
    return read


@cache
def condensation_defaults() -> dict[str, Default]:
    """The values that stand in where a kit or a car has none, by key."""
    return {row["key"]: Default(**row) for row in _data()["defaults"]}


@cache
def stock_mm() -> tuple[float, ...]:
    """The thicknesses in which insulation is stocked, thinnest first."""
    return tuple(float(t) for t in _data()["stock"]["thickness_mm"])


@cache
def materials() -> dict[str, Material]:
    """The insulations that are proposed, by code."""
    return {row["code"]: Material(**row) for row in _data()["materials"]}


def conductivity_w_mk(material: str, mean_c: ArrayLike) -> FloatArray:
    """Conductivity of an insulation at its mean temperature.

    Formula: straight line through the two stated temperatures,
        k = k_low + (k_high − k_low)·(t − t_low)/(t_high − t_low)
    Parameters: material, a code of the data file; mean_c, mean of cold and warm surface, °C
    Returns: W/mK; an unknown material is a KeyError
    Validity: mean temperature −40 to 60 °C
    Source: ASHRAE Handbook Fundamentals 2021 (SI) ch. 23 Table 8 (largest values the standards allow)
    Check: above still air (CoolProp), rising with temperature; elastomeric foam as measured conducts up to 15 % less
    """
    found, mean = materials()[material], floats(mean_c)
    slope = (found.high_w_mk - found.low_w_mk) / (found.high_c - found.low_c)
    k = found.low_w_mk + slope * (mean - found.low_c)
    return answer(
        k, (mean >= -40) & (mean <= 60), "Insulation is rated at mean temperatures from −40 to 60 °C."
    )


def _above_zero(*values: FloatArray) -> BoolArray:
    """True where every value is above zero; infinity passes, NaN does not."""
    checks: BoolArray = np.asarray(np.logical_and.reduce([v > 0 for v in np.broadcast_arrays(*values)]))
    return checks


def _state(
    *,
    first: FloatArray,
    second: FloatArray,
    r_first: FloatArray,
    r_total: FloatArray,
    r_second: FloatArray,
    valid: BoolArray,
    sentence: str,
) -> WallState:
    """Both surfaces from the resistances of the first film, of all, and of the second film."""
    possible = valid & (r_total > 0) & np.isfinite(first) & np.isfinite(second)
    heat = (second - first) / np.where(possible, r_total, 1.0)
    return WallState(
        answer(first + heat * r_first, possible, sentence),
        answer(second - heat * r_second, possible, sentence),
        answer(heat, possible, sentence),
    )


def flat_wall(
    first_c: ArrayLike,
    second_c: ArrayLike,
    first_film_w_m2k: ArrayLike,
    resistance_m2k_w: ArrayLike,
    second_film_w_m2k: ArrayLike,
) -> WallState:
    """Both surfaces of a flat wall and the heat through it; either side may be the cold one.

    Formula: q = (t2 − t1)/(1/h1 + R + 1/h2); t_s1 = t1 + q/h1; t_s2 = t2 − q/h2
    Parameters: first_c, second_c, air or fluid on the two sides, °C; films h1, h2, W/m²K, above 0, may be
        infinite; resistance_m2k_w, sum of thickness over conductivity of the layers, m²K/W, not negative
    Returns: surface temperatures in °C and heat from the second to the first side in W/m²
    Validity: steady heat, no water on the surface, one-dimensional
    Source: ASHRAE Handbook Fundamentals 2021 (SI) ch. 23; Incropera et al. ch. 3
    Check: with the thickness of ASHRAE ch. 23 Table 4 the surface is at the dew point
    """
    first, second, h1, r, h2 = np.broadcast_arrays(
        floats(first_c),
        floats(second_c),
        floats(first_film_w_m2k),
        floats(resistance_m2k_w),
        floats(second_film_w_m2k),
    )
    valid = _above_zero(h1, h2) & (r >= 0) & np.isfinite(r)
    r1, r2 = 1 / np.where(valid, h1, 1.0), 1 / np.where(valid, h2, 1.0)
    return _state(
        first=first,
        second=second,
        r_first=r1,
        r_total=r1 + np.where(valid, r, 1.0) + r2,
        r_second=r2,
        valid=valid,
        sentence=WALL_SENTENCE,
    )


def round_wall(
    *,
    inside_c: ArrayLike,
    outside_c: ArrayLike,
    inside_film_w_m2k: ArrayLike,
    bore_radius_m: ArrayLike,
    pipe_radius_m: ArrayLike,
    pipe_w_mk: ArrayLike,
    outer_radius_m: ArrayLike,
    insulation_w_mk: ArrayLike,
    outside_film_w_m2k: ArrayLike,
) -> WallState:
    """Both surfaces of an insulated pipe, hose or duct and the heat into each metre of it.

    Formula: q' = (t_o − t_i)/(1/(2π·r1·h_i) + ln(r2/r1)/(2π·k_p) + ln(r3/r2)/(2π·k) + 1/(2π·r3·h_o))
    Parameters: inside_c, outside_c in °C; films in W/m²K, above 0, may be infinite; bore_radius_m r1,
        pipe_radius_m r2 ≥ r1, outer_radius_m r3 ≥ r2 (r3 = r2: bare); conductivities k_p, k in W/mK, above 0
    Returns: temperatures of bore and outer surface in °C, heat from outside to inside in W/m
    Validity: steady heat, round and concentric, insulation that is not crushed at clips
    Source: Incropera et al. ch. 3; Cengel, Heat and Mass Transfer, ch. 3
    Check: Cengel, ch. 7, "Effect of Insulation on Surface Temperature"
    """
    inside, outside, hi, r1, r2, kp, r3, k, ho = np.broadcast_arrays(
        *(
            floats(v)
            for v in (
                inside_c, outside_c, inside_film_w_m2k, bore_radius_m, pipe_radius_m, pipe_w_mk, outer_radius_m,
                insulation_w_mk, outside_film_w_m2k,
            )
        )
    )  # fmt: skip
    valid = _above_zero(hi, r1, kp, k, ho) & (r2 >= r1) & (r3 >= r2) & np.isfinite(r3)
    r1, r2, r3, hi, ho, kp, k = (np.where(valid, v, 1.0) for v in (r1, r2, r3, hi, ho, kp, k))
    first, last = 1 / (2 * np.pi * r1 * hi), 1 / (2 * np.pi * r3 * ho)
    between = (np.log(r2 / r1) / kp + np.log(r3 / r2) / k) / (2 * np.pi)
    return _state(
        first=inside,
        second=outside,
        r_first=first,
        r_total=first + between + last,
        r_second=last,
        valid=valid,
        sentence=PIPE_SENTENCE,
    )


def flat_thickness_mm(
    *,
    cold_c: ArrayLike,
    air_c: ArrayLike,
    surface_c: ArrayLike,
    cold_film_w_m2k: ArrayLike,
    bare_m2k_w: ArrayLike,
    insulation_w_mk: ArrayLike,
    air_film_w_m2k: ArrayLike,
) -> FloatArray:
    """Insulation on a flat wall that holds its surface towards the air at a temperature.

    Formula: L = k·((t_s − t_cold)/(h_o·(t_air − t_s)) − R_bare − 1/h_i)
    Parameters: cold_c, air_c in °C; surface_c, the temperature asked for (dew point plus margin), °C; films in
        W/m²K, above 0, the cold one may be infinite; bare_m2k_w, what the wall itself resists, m²K/W;
        insulation_w_mk, above 0
    Returns: mm; 0 where the bare wall holds it; infinity where the surface would have to be as warm as the air
        or warmer, which no insulation does
    Validity: air warmer than the cold side; steady heat
    Source: ASHRAE Handbook Fundamentals 2021 (SI) ch. 23, condensation control
    Check: ASHRAE ch. 23 Table 4 (4 °C in 27 °C air, 30 to 95 %)
    """
    cold, air, surface, hi, bare, k, ho = np.broadcast_arrays(
        *(
            floats(v)
            for v in (cold_c, air_c, surface_c, cold_film_w_m2k, bare_m2k_w, insulation_w_mk, air_film_w_m2k)
        )
    )
    valid = _above_zero(hi, k, ho) & (bare >= 0) & (air > cold) & np.isfinite(surface)
    reachable = valid & (surface < air)
    ratio = (surface - cold) / np.where(reachable, ho * (air - surface), 1.0)
    thickness = 1000 * k * (ratio - np.where(valid, bare, 0.0) - 1 / np.where(valid, hi, 1.0))
    needed = np.where(reachable, np.maximum(thickness, 0.0), np.inf)
    return answer(
        needed, valid, "Insulation needs air warmer than the cold side, films and conductivity above zero."
    )


def round_thickness_mm(
    *,
    cold_c: ArrayLike,
    air_c: ArrayLike,
    surface_c: ArrayLike,
    inside_film_w_m2k: ArrayLike,
    bore_radius_m: ArrayLike,
    pipe_radius_m: ArrayLike,
    pipe_w_mk: ArrayLike,
    insulation_w_mk: ArrayLike,
    air_film_w_m2k: ArrayLike,
) -> FloatArray:
    """Insulation round a pipe, hose or duct that holds its outer surface at a temperature.

    Formula: h_o·r3·(1/(h_i·r1) + ln(r2/r1)/k_p + ln(r3/r2)/k) = (t_s − t_in)/(t_air − t_s), solved for r3 in
        closed form: with A = 1/(h_i·r1) + ln(r2/r1)/k_p and B the right side over h_o,
        u = W(B·k·e^(k·A)/r2) (Lambert's W) and r3 = r2·e^(u − k·A); L = r3 − r2
    Parameters: cold_c (inside) and air_c in °C, either may be the warmer; surface_c, the temperature asked for,
        °C; films in W/m²K, above 0, the inner one may be infinite; radii in m; conductivities in W/mK, above 0
    Returns: mm; 0 where the bare pipe holds it; infinity where the surface would have to reach the air's
        temperature
    Validity: steady heat, round and concentric
    Source: Cengel, Heat and Mass Transfer, ch. 7; Incropera et al. ch. 3
    Check: Cengel, ch. 7, "Effect of Insulation on Surface Temperature": 6.97 mm
    """
    cold, air, surface, hi, r1, r2, kp, k, ho = np.broadcast_arrays(
        *(
            floats(v)
            for v in (
                cold_c, air_c, surface_c, inside_film_w_m2k, bore_radius_m, pipe_radius_m, pipe_w_mk,
                insulation_w_mk, air_film_w_m2k,
            )
        )
    )  # fmt: skip
    valid = (
        _above_zero(hi, r1, kp, k, ho)
        & (r2 >= r1)
        & np.isfinite(r2)
        & (np.abs(air - cold) > 0)
        & np.isfinite(surface)
    )
    r1, r2, hi, kp, k, ho = (np.where(valid, v, 1.0) for v in (r1, r2, hi, kp, k, ho))
    # measured from the inside towards the air, so that a hot pipe in cold air is the same question
    way = np.sign(air - cold)
    up, left = way * (surface - cold), way * (air - surface)
    reachable = valid & (left > 0)
    inner_k = k * (1 / (hi * r1) + np.log(r2 / r1) / kp)
    valid &= inner_k < LARGEST_EXPONENT
    b = np.maximum(up, 0.0) / np.where(reachable, left, 1.0) / ho
    u = np.real(lambertw(b * k * np.exp(np.minimum(inner_k, LARGEST_EXPONENT)) / r2))
    r3 = r2 * np.exp(np.minimum(u - inner_k, LARGEST_EXPONENT))
    needed = np.where(reachable, np.maximum(1000 * (r3 - r2), 0.0), np.inf)
    return answer(needed, valid, PIPE_SENTENCE)


def next_stock_mm(thickness_mm: ArrayLike) -> FloatArray:
    """The thinnest stocked insulation that is at least as thick.

    Formula: smallest of the stock list not below the thickness; 0 stays 0
    Parameters: thickness_mm, not negative
    Returns: mm; infinity where nothing on the list is thick enough
    Validity: one layer
    Source: the stock list of the data file (common practice, no source)
    Check: 3.1 mm takes 5 mm, 13 mm takes 13 mm, more than the thickest takes none
    """
    needed = floats(thickness_mm)
    stock = np.array([0.0, *stock_mm(), np.inf])
    found = stock[np.searchsorted(stock, np.where(needed >= 0, needed, 0.0) - 1e-9)]
    return answer(found, needed >= 0, "A thickness can't be negative.")


def trap_height_mm(coil_pa: ArrayLike, reserve_mm: ArrayLike = 0.0) -> FloatArray:
    """Water a drain trap has to hold against the pressure at the coil.

    Formula: h = |p|/(ρ·g) + reserve, with ρ = 1,000 kg/m³
    Parameters: coil_pa, static pressure in the coil's casing against the cabin, Pa, either sign (below zero it
        sucks the water back, above zero it blows cold air out of the drain); reserve_mm, not negative
    Returns: mm of water between the trap's bend and its outlet
    Validity: at rest; a trap that dried out holds nothing
    Source: hydrostatics
    Check: −250 Pa needs 25 mm
    """
    pressure, reserve = floats(coil_pa), floats(reserve_mm)
    height = 1000 * np.abs(pressure) / (WATER_KG_M3 * GRAVITY_M_S2) + reserve
    valid = np.isfinite(pressure) & (reserve >= 0) & np.isfinite(reserve)
    return answer(height, valid, "A trap needs a pressure and a reserve that is not negative.")


def water_ml_min(condensate_kg_h: ArrayLike) -> FloatArray:
    """Water that runs out of the drain.

    Formula: V = 1,000·m/60 (1 kg is 1,000 ml)
    Parameters: condensate_kg_h, water taken out of the air, not negative
    Returns: ml/min
    Validity: once pan and fins are wet: the first minutes less, after stopping a little more
    Source: conservation of mass
    Check: 3 kg/h are 50 ml/min
    """
    rate = floats(condensate_kg_h)
    return answer(rate * 1000 / 60, (rate >= 0) & np.isfinite(rate), "A water rate can't be negative.")


def warmer_by_k(surface_c: ArrayLike, dew_c: ArrayLike) -> FloatArray:
    """How far a surface stays above the dew point of the air it faces.

    Formula: t_s − t_dew; below zero it sweats
    Parameters: surface_c, dew_c in °C
    Returns: K
    Validity: clean, dry surface; below 0 °C it is frost
    Source: ASHRAE Handbook Fundamentals 2021 (SI) ch. 1 (dew point)
    Check: zero where the thickness of ASHRAE ch. 23 Table 4 is fitted
    """
    above = floats(surface_c) - floats(dew_c)
    return answer(above, np.isfinite(above), "A surface and a dew point must be temperatures.")
