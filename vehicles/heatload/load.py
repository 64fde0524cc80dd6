"""The heat load of prepared points at a cabin state, and the air that reaches the coil.

Control volume: the load is all heat the coil must take to hold the cabin. Air through the intake counts at
(intake − cabin) enthalpy although it passes the coil first, and the coil's inlet is the mix of both:
capacity is the coil's gross heat. Cabin states (n,) or with leading axes (..., n) broadcast. Negative terms
are losses.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from vehicles.heatload.exchange import opening_m3_s
from vehicles.heatload.people import sensible_share
from vehicles.heatload.prepare import Prepared
from vehicles.physics.air import (
    EVAPORATION_AT_0_C,
    HEAT_DRY_AIR,
    HEAT_VAPOUR,
    enthalpy_j_kg,
    specific_volume_m3_kg,
    temperature_from_enthalpy,
)
from vehicles.physics.arrays import FloatArray, floats

TERMS = (
    "opaque",
    "glass",
    "canvas",
    "engine_side",
    "fresh_air",
    "openings",
    "people",
    "blower",
    "matrix",
    "duct",
)


@dataclass(frozen=True)
class CrossingAir:
    """Dry air that crosses the cabin's skin, kg/s: through the intake, through gaps, through openings.

    Air pressed in through the intake keeps leakage out: gaps pass what exceeds it, so that together they are
    the larger of the two. Openings come on top.
    """

    intake_kg_s: FloatArray
    gaps_kg_s: FloatArray
    openings_kg_s: FloatArray

    @property
    def total_kg_s(self) -> FloatArray:
        """All three together."""
        return self.intake_kg_s + self.gaps_kg_s + self.openings_kg_s


@dataclass(frozen=True)
class HeatLoad:
    """Heat load by term (TERMS), W, sensible and latent, and the air that crosses the skin."""

    sensible_w: Mapping[str, FloatArray]
    latent_w: Mapping[str, FloatArray]
    crossing: CrossingAir

    @property
    def total_sensible_w(self) -> FloatArray:
        """All sensible terms together, W."""
        return _sum(self.sensible_w)

    @property
    def total_latent_w(self) -> FloatArray:
        """All latent terms together, W."""
        return _sum(self.latent_w)

    @property
    def total_w(self) -> FloatArray:
        """Sensible and latent together, W."""
        return self.total_sensible_w + self.total_latent_w

    @property
    def fresh_dry_air_kg_s(self) -> FloatArray:
        """Dry air that crosses the skin, kg/s."""
        return self.crossing.total_kg_s


def _sum(by_term: Mapping[str, FloatArray]) -> FloatArray:
    total: FloatArray = np.sum([by_term[term] for term in TERMS], axis=0)
    return total


def crossing_air(
    prepared: Prepared, cabin_c: ArrayLike, coil_air_kg_s: ArrayLike | None = None
) -> CrossingAir:
    """Dry air that crosses the cabin's skin at a cabin temperature: through the intake, through gaps, through openings.

    Formula: intake = coil flow · intake share; gaps = what leaks beyond the intake; openings as `opening_m3_s` over the
        outside air's specific volume
    Parameters: prepared points; cabin_c, °C; coil_air_kg_s of dry air where it differs from the prepared flow
    Returns: kg/s of dry air
    Validity: air pressed in through the intake keeps as much leakage out
    Source: balance of air
    Check: a closed car that recirculates without a leak exchanges nothing
    """
    p = prepared
    t = np.broadcast_to(floats(cabin_c), np.broadcast_shapes(np.shape(cabin_c), p.outside_c.shape))
    coil = p.coil_air_kg_s if coil_air_kg_s is None else floats(coil_air_kg_s)
    intake = np.broadcast_to(coil * p.intake_share, np.broadcast_shapes(np.shape(coil), t.shape))
    flow_m3_s = opening_m3_s(
        p.opening_area_m2,
        p.opening_height_m,
        p.outside_c[:, None],
        t[..., None],
        p.road_speed_km_h[:, None] / 3.6,
    ).sum(axis=-1)
    volume = specific_volume_m3_kg(p.outside_c, p.outside_w, p.pressure_pa)
    return CrossingAir(intake, np.maximum(p.leakage_kg_s - intake, 0.0), flow_m3_s / volume)


def heat_load(
    prepared: Prepared, cabin_c: ArrayLike, cabin_w: ArrayLike, coil_air_kg_s: ArrayLike | None = None
) -> HeatLoad:
    """Heat load of a cabin at its state, by term, sensible and latent.

    Formula: opaque, glass and canvas: sun + U·A·(T_o − T); engine side: Σ U·A·(T_beyond − T); air: sensible
        ṁ·(1006 + 1860·W_o)·ΔT, latent ṁ·ΔW·(2,501,000 + 1860·T), together exactly the enthalpy difference; people by
        their dry share; blower, matrix and duct as given
    Parameters: prepared points; cabin_c T, °C; cabin_w, kg/kg; coil_air_kg_s of dry air where that is not the prepared
    Returns: W by term, and the air that crosses the skin
    Validity: a steady state of one well mixed room; negative terms are losses
    Source: heat balance of the cabin; ASHRAE Handbook Fundamentals (SI), chs. 1 and 18
    Check: each term by hand; a cabin at the outside's state without sun, people or machines takes nothing
    """
    p = prepared
    crossing = crossing_air(p, cabin_c, coil_air_kg_s)
    t, w = np.broadcast_arrays(floats(cabin_c), floats(cabin_w))
    t, w = (np.broadcast_to(v, np.broadcast_shapes(v.shape, p.outside_c.shape)) for v in (t, w))
    outward = p.outside_c - t
    heat = HEAT_DRY_AIR + HEAT_VAPOUR * p.outside_w
    vapour = _vapour_enthalpy(t)
    moister = (p.outside_w - w) * vapour
    people_dry = sensible_share(t)
    fresh = crossing.intake_kg_s * (p.intake_c - t) + crossing.gaps_kg_s * outward
    nothing = np.zeros_like(outward)
    sensible = {
        "opaque": p.solar_opaque_w + p.ua_opaque_w_k * outward,
        "glass": p.solar_glass_w + p.ua_glass_w_k * outward,
        "canvas": p.solar_canvas_w + p.ua_canvas_w_k * outward,
        "engine_side": p.engine_ua_t_w - p.engine_ua_w_k * t,
        "fresh_air": heat * fresh,
        "openings": heat * crossing.openings_kg_s * outward,
        "people": p.people_w * people_dry,
        "blower": p.blower_w + nothing,
        "matrix": p.matrix_leak_w + nothing,
        "duct": p.duct_gain_w + nothing,
    }
    latent = dict.fromkeys(TERMS, nothing)
    latent["fresh_air"] = (crossing.intake_kg_s + crossing.gaps_kg_s) * moister
    latent["openings"] = crossing.openings_kg_s * moister
    latent["people"] = p.people_w * (1 - people_dry)
    return HeatLoad(sensible, latent, crossing)


def moisture_in_kg_s(
    prepared: Prepared, cabin_c: ArrayLike, cabin_w: ArrayLike, coil_air_kg_s: ArrayLike | None = None
) -> FloatArray:
    """Water that the coil must take out to hold the cabin's humidity.

    Formula: people's latent heat/(2,501,000 + 1860·T) + ṁ·(W_o − W)
    Parameters: prepared points; cabin_c T, °C; cabin_w W, kg/kg; coil_air_kg_s as `heat_load`
    Returns: kg/s, negative when the outside is drier
    Validity: as `heat_load`
    Source: balance of water
    Check: the latent load is this times the vapour's enthalpy
    """
    t = floats(cabin_c)
    people = prepared.people_w * (1 - sensible_share(t)) / _vapour_enthalpy(t)
    crossing = crossing_air(prepared, t, coil_air_kg_s).total_kg_s
    return people + crossing * (prepared.outside_w - floats(cabin_w))


def coil_inlet(prepared: Prepared, cabin_c: ArrayLike, cabin_w: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """State of the air at the coil: cabin air and intake air, mixed by share.

    Formula: W = s·W_o + (1 − s)·W_cabin and h = s·h_intake + (1 − s)·h_cabin, s the intake's share of dry air
    Parameters: prepared points; cabin_c, °C; cabin_w, kg/kg
    Returns: temperature, °C, and humidity ratio, kg/kg
    Validity: no heat on the way; the flow itself does not matter
    Source: ASHRAE Handbook Fundamentals (SI), ch. 1, adiabatic mixing
    Check: enthalpy and water are kept exactly; with no intake it is the cabin's air
    """
    share = prepared.intake_share
    w = share * prepared.outside_w + (1 - share) * floats(cabin_w)
    intake_h = enthalpy_j_kg(prepared.intake_c, prepared.outside_w)
    h = share * intake_h + (1 - share) * enthalpy_j_kg(cabin_c, cabin_w)
    return temperature_from_enthalpy(h, w), w


def heating_load_w(prepared: Prepared, cabin_c: ArrayLike) -> FloatArray:
    """Heat that a cabin loses at a temperature: what a heater must give.

    Formula: the sensible terms of `heat_load` with the sign turned
    Parameters: prepared points; cabin_c, °C
    Returns: W, negative where no heating is needed
    Validity: as `heat_load`; moisture is left out, since a cabin in winter is not humidified
    Source: heat balance of the cabin
    Check: the sensible load of the same point, turned
    """
    return -heat_load(prepared, cabin_c, 0.0).total_sensible_w


def _vapour_enthalpy(t_c: ArrayLike) -> FloatArray:
    """Enthalpy of water vapour at a temperature, J/kg."""
    return EVAPORATION_AT_0_C + HEAT_VAPOUR * floats(t_c)
