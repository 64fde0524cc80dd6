"""The heater: what a matrix gives to the air, with its valve open, leaking or shut, and what the cabin asks for.

The engine's water is on one side, the blower's air on the other; both flows are known, and the effectiveness
follows from the matrix's conductance. An electric or air-cooled car has no hot water and no answer here.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from kits.sizing.heat.effectiveness import LARGEST_NTU, effectiveness_from_ntu, ntu_from_effectiveness
from kits.sizing.words.defaults import default_value
from vehicles.physics.air import STANDARD_PRESSURE_PA, specific_volume_m3_kg
from vehicles.physics.arrays import FloatArray, Refusal, answer, floats, scalar_or_array

CP_AIR_J_KGK = 1006.0
FLOW = "crossflow"
S_PER_MIN = 60.0


@dataclass(frozen=True)
class RatedMatrixPoint:
    """One line of a matrix's data sheet; air as volume at its inlet at sea level, plain water."""

    airflow_m3_h: float
    coolant_flow_l_min: float
    air_in_c: float
    water_in_c: float
    heat_w: float


@dataclass(frozen=True, kw_only=True)
class MatrixModel:
    """1/UA = air_k_w·(m_air/ref_air_kg_s)^-air_exponent + water_k_w·(V/ref_coolant_l_min)^-water_exponent.

    worst_error_share  largest relative error of heat over the rated points
    assumed            what had to be assumed because the data sheet does not say it
    """

    air_k_w: float
    water_k_w: float
    ref_air_kg_s: float
    ref_coolant_l_min: float
    air_exponent: float
    water_exponent: float
    worst_error_share: float
    points: int
    assumed: tuple[str, ...] = ()


class MatrixHeat(NamedTuple):
    """What a matrix gives, W, and the temperatures at which air and coolant leave it."""

    heat_w: FloatArray
    air_out_c: FloatArray
    coolant_out_c: FloatArray


class Needed(NamedTuple):
    """Heat in relation to what is needed: margin as a share, and the word of the verdict."""

    margin_share: float
    word: str


def air_mass_flow_kg_s(airflow_m3_h: ArrayLike, air_c: ArrayLike) -> FloatArray:
    """Mass flow of dry air from a volume flow at its own temperature and sea level.

    Formula: m = V/3600/v, v the specific volume of dry air
    Parameters: airflow_m3_h V, m³/h, above 0; air_c in °C
    Returns: kg/s
    Validity: sea level; moisture below 1 % in winter
    Source: ASHRAE Fundamentals ch. 1 eq. 26
    Check: by hand: 300 m³/h of 1.204 kg/m³ at 20 °C

    >>> round(float(air_mass_flow_kg_s(300, 20)), 4)
    0.1003
    """
    volume = specific_volume_m3_kg(air_c, 0.0, STANDARD_PRESSURE_PA)
    flow = floats(airflow_m3_h)
    valid = (flow > 0) & np.isfinite(flow) & np.isfinite(volume)
    return answer(flow / 3600 / volume, valid, "A mass flow needs an air flow above 0 and its temperature.")


def matrix_conductance_w_k(
    model: MatrixModel,
    air_kg_s: ArrayLike,
    coolant_l_min: ArrayLike,
    coolant_j_lk: float | None = None,
) -> FloatArray:
    """Heat a matrix gives for each kelvin between coolant inlet and air inlet.

    Formula: q = ε(NTU, Cr)·C_min; NTU = UA/C_min; 1/UA = R_air·(m/m0)^-n + R_water·(V/V0)^-k; ε of crossflow, both
        unmixed
    Parameters: model from fit_matrix; air_kg_s dry air, above 0; coolant_l_min litres a minute, 0 or more (0: shut);
        coolant_j_lk heat of a litre of coolant, J/(l·K) (None: half water, half glycol, from the defaults)
    Returns: W/K
    Validity: NTU up to 10; far from the rated flows it is an extrapolation by the exponents
    Source: Kays and London, Compact Heat Exchangers; Incropera et al. Table 11.3
    Check: every rated point comes back within the fit's stated error; never above C_min
    """
    per_litre = default_value("coolant_j_lk") if coolant_j_lk is None else coolant_j_lk
    air, coolant = np.broadcast_arrays(floats(air_kg_s), floats(coolant_l_min))
    valid = (air > 0) & (coolant >= 0) & np.isfinite(air) & np.isfinite(coolant)
    flows = valid & (coolant > 0)
    safe_air, safe_coolant = np.where(flows, air, 1.0), np.where(flows, coolant, 1.0)
    c_air, c_coolant = safe_air * CP_AIR_J_KGK, safe_coolant / S_PER_MIN * per_litre
    least, most = np.minimum(c_air, c_coolant), np.maximum(c_air, c_coolant)
    resistance = model.air_k_w * (safe_air / model.ref_air_kg_s) ** -model.air_exponent
    resistance = (
        resistance + model.water_k_w * (safe_coolant / model.ref_coolant_l_min) ** -model.water_exponent
    )
    ntu = 1 / resistance / least
    in_range = ntu <= LARGEST_NTU
    share = effectiveness_from_ntu(
        np.atleast_1d(np.where(in_range, ntu, 1.0)), np.atleast_1d(least / most), FLOW
    )
    found = np.where(flows, np.reshape(share, least.shape) * least, 0.0)
    return answer(
        found,
        valid & (in_range | ~flows),
        "A matrix needs an air flow above 0, a coolant flow of 0 or more, and no more than 10 transfer units.",
    )


def matrix_heat(
    model: MatrixModel,
    air_kg_s: ArrayLike,
    air_in_c: ArrayLike,
    coolant_l_min: ArrayLike,
    coolant_in_c: ArrayLike,
    coolant_j_lk: float | None = None,
) -> MatrixHeat:
    """Heat a matrix gives, and the air and coolant that leave it.

    Formula: Q = q·(T_coolant − T_air); T_air,out = T_air + Q/(m·1006); T_coolant,out = T_coolant − Q/(V·c)
    Parameters: as matrix_conductance_w_k; air_in_c and coolant_in_c in °C
    Returns: heat W (negative when the coolant is colder than the air), air_out_c, coolant_out_c in °C
    Validity: as matrix_conductance_w_k; steady
    Source: Kays and London, Compact Heat Exchangers
    Check: heat of air and coolant agree; a shut valve leaves the air as it came
    """
    per_litre = default_value("coolant_j_lk") if coolant_j_lk is None else coolant_j_lk
    each_k = matrix_conductance_w_k(model, air_kg_s, coolant_l_min, per_litre)
    heat = each_k * (floats(coolant_in_c) - floats(air_in_c))
    c_coolant = floats(coolant_l_min) / S_PER_MIN * per_litre
    drop = np.where(c_coolant > 0, heat / np.where(c_coolant > 0, c_coolant, 1.0), 0.0)
    return MatrixHeat(
        scalar_or_array(heat),
        vent_with_heat_c(air_in_c, heat, air_kg_s),
        scalar_or_array(floats(coolant_in_c) - drop),
    )


def vent_with_heat_c(air_in_c: ArrayLike, heat_w: ArrayLike, air_kg_s: ArrayLike) -> FloatArray:
    """Air temperature behind a heat source: the vent of a heater, or what a leaking water valve adds to cold air.

    Formula: T = T_in + Q/(m·1006)
    Parameters: air_in_c in °C; heat_w in W; air_kg_s dry air, above 0
    Returns: °C
    Validity: dry air; moisture makes the rise up to 2 % smaller
    Source: heat balance of the air
    Check: 300 W into 308 m³/h of cold air is +2.9 K
    """
    air = floats(air_kg_s)
    valid = (air > 0) & np.isfinite(air)
    rise = floats(heat_w) / (np.where(valid, air, 1.0) * CP_AIR_J_KGK)
    found = floats(air_in_c) + rise
    return answer(
        found, valid & np.isfinite(found), "The air flow must be above 0, temperature and heat numbers."
    )


def fit_matrix(points: Sequence[RatedMatrixPoint]) -> MatrixModel:
    """The matrix model that fits its rated points.

    Formula: UA of each point from its effectiveness Q/(C_min·(T_water − T_air)); R_air and R_water by least squares of
        UA·(R_air·x + R_water·y) = 1, both at least 0, x and y the flows' powers
    Parameters: points, at least one; exponents and, where the points do not tell them apart, the water side's share
        of the resistance from the defaults
    Returns: MatrixModel with the worst error of heat over the points
    Validity: a data sheet whose points lie below an effectiveness of 1
    Source: Kays and London, Compact Heat Exchangers; exponents are common practice, from memory
    Check: points made from a model give it back; one point comes back exactly
    """
    if not points:
        raise Refusal("A heater matrix needs at least one rated point.")
    for p in points:
        flows = (p.airflow_m3_h, p.coolant_flow_l_min, p.heat_w, p.water_in_c - p.air_in_c)
        if not all(np.isfinite(v) and v > 0 for v in flows):
            raise Refusal(
                "A rated point of a heater matrix needs flows and heat above 0 and water above air."
            )
    air, coolant, delta_k, heat = (
        np.array(column)
        for column in zip(
            *(
                (
                    float(air_mass_flow_kg_s(p.airflow_m3_h, p.air_in_c)),
                    p.coolant_flow_l_min,
                    p.water_in_c - p.air_in_c,
                    p.heat_w,
                )
                for p in points
            ),
            strict=True,
        )
    )
    per_litre = default_value("rating_water_j_lk")
    ua = _conductance_of(air, coolant, delta_k, heat, per_litre)
    n, k = default_value("matrix_air_exponent"), default_value("matrix_water_exponent")
    ref_air, ref_coolant = float(air.max()), float(coolant.max())
    x, y = (air / ref_air) ** -n, (coolant / ref_coolant) ** -k
    r_air, r_water, assumed = _resistances(x, y, ua, len(set(coolant.tolist())) > 1)
    model = MatrixModel(
        air_k_w=r_air,
        water_k_w=r_water,
        ref_air_kg_s=ref_air,
        ref_coolant_l_min=ref_coolant,
        air_exponent=n,
        water_exponent=k,
        worst_error_share=0.0,
        points=len(points),
        assumed=assumed,
    )
    back = matrix_conductance_w_k(model, air, coolant, per_litre) * delta_k
    worst = float(np.max(np.abs(back / heat - 1)))
    return MatrixModel(
        air_k_w=r_air,
        water_k_w=r_water,
        ref_air_kg_s=ref_air,
        ref_coolant_l_min=ref_coolant,
        air_exponent=n,
        water_exponent=k,
        worst_error_share=worst,
        points=len(points),
        assumed=assumed,
    )


def _conductance_of(
    air: FloatArray, coolant: FloatArray, delta_k: FloatArray, heat: FloatArray, per_litre: float
) -> FloatArray:
    """UA that gives each point its heat, W/K."""
    c_air, c_coolant = air * CP_AIR_J_KGK, coolant / S_PER_MIN * per_litre
    least, most = np.minimum(c_air, c_coolant), np.maximum(c_air, c_coolant)
    share = heat / (least * delta_k)
    if np.any(share >= 1):
        raise Refusal("A rated point gives more heat than its flows can carry.")
    ua: FloatArray = ntu_from_effectiveness(share, least / most, FLOW) * least
    if not np.all(np.isfinite(ua)):
        raise Refusal("A rated point gives more heat than a matrix of 10 transfer units.")
    return ua


def _resistances(
    x: FloatArray, y: FloatArray, ua: FloatArray, has_two_flows: bool
) -> tuple[float, float, tuple[str, ...]]:
    """Resistance of both sides at the largest flows, K/W, and what was assumed for it."""
    if has_two_flows:
        both = np.linalg.lstsq(np.column_stack([ua * x, ua * y]), np.ones(ua.size), rcond=None)[0]
        if both.min() > 0:
            return float(both[0]), float(both[1]), ()
        why = "the rated points of the matrix contradict each other about the water side"
    else:
        why = "one coolant flow only is rated"
    share = default_value("matrix_water_resistance_share")
    mixed = (1 - share) * x + share * y
    total = float(np.sum(ua * mixed) / np.sum((ua * mixed) ** 2))
    sentence = f"{why}: {100 * share:.0f} % of the resistance is taken to be the water's"
    return (1 - share) * total, share * total, (sentence,)


def heat_against_need(heat_w: float, needed_w: float, reserve_share: float) -> Needed:
    """Whether a heater is strong enough, marginal or not enough.

    Formula: margin = heat/needed − 1; below 0 not enough, below the reserve marginal
    Parameters: heat_w, W; needed_w heat the cabin loses at the target, W; reserve_share, 0 or more
    Returns: margin as a share (infinite where nothing is needed), and the word
    Validity: steady state at the target
    Source: the reserve is the house's own rule, as for cooling
    Check: the margin is 0 where heat and need are equal

    >>> heat_against_need(3300, 3000, 0.15).word
    'marginal'
    """
    if not (np.isfinite(heat_w) and np.isfinite(needed_w) and reserve_share >= 0):
        raise Refusal("Heat and need must be numbers, and the reserve 0 or more.")
    if needed_w <= 0:
        return Needed(float("inf"), "strong enough")
    margin = heat_w / needed_w - 1
    word = "not enough" if margin < 0 else "marginal" if margin < reserve_share else "strong enough"
    return Needed(margin, word)
