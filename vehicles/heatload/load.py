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
    """Air exchange at a cabin temperature; coil_air_kg_s replaces the prepared flow when given."""
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
    """Heat load at a cabin state.

    cabin_c        cabin temperature, °C
    cabin_w        cabin humidity ratio, kg/kg
    coil_air_kg_s  dry air through the coil where it differs from the prepared flow
    Moist air is split so that sensible is (1006 + 1860·W_out)·ΔT and latent is ΔW·(2501000 + 1860·T_cabin):
    together exactly the enthalpy difference.
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
    """Water the coil must take out to hold the cabin's humidity, kg/s: people and crossing air.

    The latent load is this times (2501000 + 1860·T_cabin); negative when outside is drier.
    """
    t = floats(cabin_c)
    people = prepared.people_w * (1 - sensible_share(t)) / _vapour_enthalpy(t)
    crossing = crossing_air(prepared, t, coil_air_kg_s).total_kg_s
    return people + crossing * (prepared.outside_w - floats(cabin_w))


def coil_inlet(prepared: Prepared, cabin_c: ArrayLike, cabin_w: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """(temperature °C, humidity ratio kg/kg) of the air at the coil: cabin and intake air, mixed by share.

    The shares are of dry air, so the flow itself does not matter. Enthalpy and water are kept exactly.
    """
    share = prepared.intake_share
    w = share * prepared.outside_w + (1 - share) * floats(cabin_w)
    intake_h = enthalpy_j_kg(prepared.intake_c, prepared.outside_w)
    h = share * intake_h + (1 - share) * enthalpy_j_kg(cabin_c, cabin_w)
    return temperature_from_enthalpy(h, w), w


def heating_load_w(prepared: Prepared, cabin_c: ArrayLike) -> FloatArray:
    """Heat the cabin loses at a temperature, W: what a heater must give (negative: no heating is needed).

    The same terms with the sign turned; moisture is left out, a cabin in winter is not humidified.
    """
    return -heat_load(prepared, cabin_c, 0.0).total_sensible_w


def _vapour_enthalpy(t_c: ArrayLike) -> FloatArray:
    """Enthalpy of water vapour at a temperature, J/kg."""
    return EVAPORATION_AT_0_C + HEAT_VAPOUR * floats(t_c)
