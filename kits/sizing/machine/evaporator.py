"""The evaporator: the bypass-factor coil, wet or dry, and its conductances from rated points."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from kits.sizing.words.defaults import default_value
from vehicles.physics.air import (
    STANDARD_PRESSURE_PA,
    enthalpy_j_kg,
    humidity_ratio,
    saturation_humidity_ratio,
    specific_volume_m3_kg,
    temperature_from_enthalpy,
)
from vehicles.physics.arrays import FloatArray, IntArray, Refusal, floats, scalar_or_array
from vehicles.physics.newton import bracket_batch

UA_EXPONENT = 0.8
"""Air-side conductance grows with air flow to this power (turbulent flow between fins)."""

TELLS_APART = 1e-3
"""Least effect of the weaker combination of conductances on the rated heats, against the stronger one."""


class Coil(NamedTuple):
    """The air after a coil surface of one temperature, per second of air."""

    total_w: FloatArray
    sensible_w: FloatArray
    latent_w: FloatArray
    air_off_c: FloatArray
    air_off_w: FloatArray
    bypass_factor: FloatArray


def bypass_factor(
    ua_air_w_k: ArrayLike, ref_air_kg_s: ArrayLike, air_kg_s: ArrayLike, air_in_w: ArrayLike
) -> FloatArray:
    """Share of the air that passes as if it had not touched the coil.

    Formula: BF = exp(−NTU), NTU = UA·(m/m_ref)^0.8/(m·(1006 + 1860·W)).
    Parameters: ua_air_w_k UA, air-side conductance at the reference flow, W/K; ref_air_kg_s m_ref and air_kg_s m, dry
    air, kg/s; all above 0; air_in_w W, humidity ratio of the inlet, kg/kg, 0 or more.
    Returns: a share, 0 to 1.
    Validity: fins at one temperature; turbulent flow between fins.
    Source: bypass method, e.g. ASHRAE Systems and Equipment, air-cooling coils; exponent as for turbulent flow in tubes
    (Dittus-Boelter).
    Check: by hand: as much conductance as the air's capacity leaves 1/e.

    >>> round(float(bypass_factor(100.6, 0.1, 0.1, 0.0)), 4)
    0.3679
    """
    m = floats(air_kg_s)
    ua = floats(ua_air_w_k) * (m / floats(ref_air_kg_s)) ** UA_EXPONENT
    return scalar_or_array(np.exp(-ua / (m * (1006.0 + 1860.0 * floats(air_in_w)))))


def coil(
    surface_c: ArrayLike,
    air_kg_s: ArrayLike,
    air_in_c: ArrayLike,
    air_in_w: ArrayLike,
    pressure_pa: ArrayLike,
    bypass: ArrayLike,
) -> Coil:
    """What a coil with fins at one temperature takes from the air.

    Formula: wet where saturated air at the surface holds less water than the inlet: h_out = h_in − (1−BF)·(h_in − h_s),
    W_out = W_in − (1−BF)·(W_in − W_s); dry otherwise: T_out = T_in − (1−BF)·(T_in − T_s). Total heat m·(h_in − h_out),
    sensible m·(1006 + 1860·W_in)·(T_in − T_out), latent the rest.
    Parameters: surface_c, of the fins, °C; air_kg_s m, dry air, kg/s; air_in_c, °C, and air_in_w, kg/kg, of the inlet;
    pressure_pa, of the air, Pa; bypass BF, 0 to 1.
    Returns: total, sensible and latent heat in W, air leaving in °C and kg/kg, bypass factor.
    Validity: one temperature of all fins; heat in the condensate is left out. Wet and dry meet without a step.
    Source: bypass method, e.g. ASHRAE Systems and Equipment, air-cooling coils.
    Check: by hand: 0.1 kg/s of dry air from 25 °C over fins of 5 °C, a fifth of it bypassed: 0.1·1006·16 W.

    >>> taken = coil(5.0, 0.1, 25.0, 0.0, 101325.0, 0.2)
    >>> round(float(taken.total_w), 3), round(float(taken.air_off_c), 6)
    (1609.6, 9.0)
    """
    surface, m, t_in, w_in = (floats(v) for v in (surface_c, air_kg_s, air_in_c, air_in_w))
    contact = 1.0 - floats(bypass)
    # where the surface is dry its humidity is the inlet's, and the wet relations become the dry ones
    w_surface = np.minimum(saturation_humidity_ratio(surface, pressure_pa), w_in)
    h_in = enthalpy_j_kg(t_in, w_in)
    h_out = h_in - contact * (h_in - enthalpy_j_kg(surface, w_surface))
    w_out = w_in - contact * (w_in - w_surface)
    t_out = temperature_from_enthalpy(h_out, w_out)
    total = m * (h_in - h_out)
    sensible = m * (1006.0 + 1860.0 * w_in) * (t_in - t_out)
    made = (total, sensible, total - sensible, t_out, w_out, 1.0 - contact)
    return Coil(*(scalar_or_array(v) for v in made))


@dataclass(frozen=True)
class RatedCoilPoint:
    """One line of a coil's data sheet; the sensible part may be unknown."""

    airflow_m3_h: float
    air_in_c: float
    rh: float
    evaporating_c: float
    total_w: float
    sensible_w: float | None = None


@dataclass(frozen=True)
class EvaporatorModel:
    """A coil fitted to its rated points.

    rms_error_share   root mean square of the relative errors of total (and sensible) heat
    assumed           what had to be assumed because the data sheet does not say it; empty when nothing
    """

    ua_air_w_k: float
    ref_air_kg_s: float
    ua_ref_w_k: float
    rms_error_share: float
    points: int
    assumed: tuple[str, ...] = ()


def rated_heat_w(
    ua_air_w_k: float, ref_air_kg_s: float, ua_ref_w_k: float, points: Sequence[RatedCoilPoint]
) -> Coil:
    """What the model of a coil gives at rated points: the fins' temperature where air side and refrigerant side agree.

    Formula: heat taken from the air at the surface T_s = UA_ref·(T_s − T_evaporating).
    Parameters: ua_air_w_k, air-side conductance at the reference flow, W/K; ref_air_kg_s, kg/s; ua_ref_w_k UA_ref,
    refrigerant-side conductance, W/K; all above 0; points with airflow_m3_h, m³/h at the inlet, air_in_c and
    evaporating_c, °C, and rh, relative humidity as a share.
    Returns: heats in W and air leaving in °C and kg/kg, one for each point.
    Validity: sea level; one temperature of all fins.
    Source: bypass method, e.g. ASHRAE Systems and Equipment, air-cooling coils; heat balance.
    Check: by hand: with both conductances huge, 300 m³/h of dry air of 25 °C (0.0987 kg/s) come down to 5 °C:
    0.0987·1006·20 = 1,985 W.

    >>> round(float(rated_heat_w(1e9, 0.1, 1e12, [RatedCoilPoint(300, 25, 0.0, 5, 2000)]).total_w[0]))
    1985
    """
    m, t_in, w_in, evaporating = _rated_air(points)
    bypass = bypass_factor(ua_air_w_k, ref_air_kg_s, m, w_in)

    def surplus(surface: FloatArray, r: IntArray) -> FloatArray:
        taken = coil(surface, m[r], t_in[r], w_in[r], STANDARD_PRESSURE_PA, bypass[r]).total_w
        difference: FloatArray = taken - ua_ref_w_k * (surface - evaporating[r])
        return difference

    surface = bracket_batch(surplus, evaporating, t_in, x_tolerance=1e-12).x
    return coil(surface, m, t_in, w_in, STANDARD_PRESSURE_PA, bypass)


def _rated_air(points: Sequence[RatedCoilPoint]) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Dry air kg/s, inlet °C, inlet kg/kg, evaporating °C. Flow is volume at the coil inlet, sea level."""
    t_in = np.array([p.air_in_c for p in points])
    w_in = humidity_ratio(t_in, np.array([p.rh for p in points]))
    volume = np.array([p.airflow_m3_h for p in points]) / 3600
    return volume / specific_volume_m3_kg(t_in, w_in), t_in, w_in, np.array([p.evaporating_c for p in points])


def fit_evaporator(points: Sequence[RatedCoilPoint]) -> EvaporatorModel:
    """Conductances of a coil from the rated points of its data sheet.

    Formula: air-side conductance at the mean flow of the points, and refrigerant-side conductance, by least squares
    over the relative errors of total and sensible heat. Where the points can't tell the two apart, the surface lies at
    T_evaporating + share·(T_air − T_evaporating), for the first point whose air can give so much to it.
    Parameters: points, one or more: airflow_m3_h, m³/h at the inlet; air_in_c and evaporating_c, °C; rh, relative
    humidity as a share; total_w and, if known, sensible_w, W.
    Returns: both conductances in W/K, the reference flow in kg/s, and the error of heat over the points.
    Validity: sea level. A single point that gives only the total, or points that hardly differ, can't tell air and
    refrigerant side apart; then the default share `coil_refrigerant_side_share` stands in, and the result says so.
    Source: bypass method, e.g. ASHRAE Systems and Equipment, air-cooling coils; least squares.
    Check: by hand: 3,000 W from 27 °C to 0 °C with the default share of 0.17: 3000/(0.17·27) = 654 W/K to the
    refrigerant.

    >>> round(fit_evaporator([RatedCoilPoint(300, 27, 0.5, 0, 3000)]).ua_ref_w_k)
    654
    """
    _check_points(points)
    m = _rated_air(points)[0]
    ref = float(m.mean())
    sensible = [p.sensible_w for p in points if p.sensible_w is not None]
    assumed: tuple[str, ...] = ()
    two = _fit_two(points, ref) if len(points) + len(sensible) > 1 else None
    if two is not None:
        ua_air, ua_ref = two
    else:
        share = default_value("coil_refrigerant_side_share")
        ua_air, ua_ref = _fit_first(points, ref, share)
        assumed = (
            f"coil_refrigerant_side_share = {share:g}: the rated points do not tell air and refrigerant "
            "side apart",
        )
    errors = _errors(ua_air, ref, ua_ref, points)
    rms = float(np.sqrt(np.mean(errors**2)))
    return EvaporatorModel(ua_air, ref, ua_ref, rms, len(points), assumed)


def _check_points(points: Sequence[RatedCoilPoint]) -> None:
    if not points:
        raise Refusal("An evaporator needs at least one rated point.")
    for p in points:
        values = [p.airflow_m3_h, p.air_in_c, p.rh, p.evaporating_c, p.total_w]
        if not np.all(np.isfinite(values)):
            raise Refusal("A rated point of the evaporator has a value that is not a number.")
        if p.airflow_m3_h <= 0 or p.total_w <= 0:
            raise Refusal("A rated point of the evaporator needs air flow and heat above zero.")
        if not 0 < p.rh <= 1:
            raise Refusal("A rated point's relative humidity is a share above 0, up to 1.")
        if p.evaporating_c >= p.air_in_c:
            raise Refusal("A rated point of the evaporator must evaporate below its air inlet.")
        if p.sensible_w is not None and not 0 < p.sensible_w <= p.total_w:
            raise Refusal("A rated point's sensible heat lies above zero and up to the total.")


def _fit_first(points: Sequence[RatedCoilPoint], ref: float, share: float) -> tuple[float, float]:
    """Both conductances from the first point that allows it. Raises Refusal with what is wrong of each."""
    refusals = []
    for point in points:
        try:
            return _fit_one(point, ref, share)
        except ValueError as refusal:
            refusals.append(str(refusal))
    raise Refusal(" ".join(refusals))


def _fit_one(point: RatedCoilPoint, ref: float, share: float) -> tuple[float, float]:
    """Both conductances from one total when the surface is known by the default share."""
    m, t_in, w_in, evaporating = _rated_air([point])
    surface = evaporating + share * (t_in - evaporating)
    full = coil(surface, m, t_in, w_in, STANDARD_PRESSURE_PA, 0.0).total_w
    contact = float(point.total_w / full[0])
    if contact >= 1:
        raise Refusal(
            f"Rated are {point.total_w:.0f} W at {point.airflow_m3_h:g} m³/h of {point.air_in_c:g} °C and "
            f"{point.rh:.0%} humidity, evaporating at {point.evaporating_c:g} °C; to a surface at "
            f"{float(surface[0]):.1f} °C this air gives {float(full[0]):.0f} W at most."
        )
    cp = 1006.0 + 1860.0 * float(w_in[0])
    own_flow = float(m[0])
    ua_air = -own_flow * cp * float(np.log(1 - contact)) * (ref / own_flow) ** UA_EXPONENT
    return ua_air, float(point.total_w / (surface - evaporating)[0])


def _errors(ua_air: float, ref: float, ua_ref: float, points: Sequence[RatedCoilPoint]) -> FloatArray:
    got = rated_heat_w(ua_air, ref, ua_ref, points)
    total = got.total_w / np.array([p.total_w for p in points]) - 1
    known = [i for i, p in enumerate(points) if p.sensible_w is not None]
    sensible = got.sensible_w[known] / np.array([points[i].sensible_w for i in known], dtype=float) - 1
    return np.concatenate([total, sensible])


def _fit_two(points: Sequence[RatedCoilPoint], ref: float) -> tuple[float, float] | None:
    """Both conductances, or None when the points leave one of them open."""
    from scipy.optimize import least_squares

    first = points[0]
    scale = first.total_w / (first.air_in_c - first.evaporating_c)

    def errors(ln: FloatArray) -> FloatArray:
        return _errors(float(np.exp(ln[0])), ref, float(np.exp(ln[1])), points)

    best = least_squares(
        errors,
        np.log([scale, 5 * scale]),
        bounds=(np.log(scale) - 5, np.log(scale) + 8),
        x_scale=1.0,
        xtol=1e-12,
        ftol=1e-12,
    )
    if not best.success:
        raise Refusal("The rated points of the evaporator do not fit any coil.")
    jacobian: FloatArray = np.asarray(best.jac)
    singular = np.linalg.svd(jacobian, compute_uv=False)
    if singular.size < 2 or singular[1] < TELLS_APART * singular[0]:
        return None
    return float(np.exp(best.x[0])), float(np.exp(best.x[1]))
