"""Surfaces of many points as one table: what the sun and the engine side bring in, and the conductances."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vehicles.heatload.films import REFERENCE_OUTSIDE_FILM_W_M2K, outside_film_w_m2k, resistance_inward_m2k_w
from vehicles.heatload.glass import diffuse_cosines, pane_transmittance
from vehicles.heatload.inputs import BOUNDARIES, SURFACE_KINDS, CabinData
from vehicles.physics.arrays import FloatArray, IntArray, floats
from vehicles.physics.sun import HEADINGS_DEG, on_surface

OPAQUE, GLASS, CANVAS = range(len(SURFACE_KINDS))
OUTSIDE, NONE = BOUNDARIES.index("outside"), BOUNDARIES.index("none")
RowArray = NDArray[np.void]
ROW = np.dtype(
    [
        ("kind", np.intp),
        ("boundary", np.intp),
        *(
            (name, np.float64)
            for name in (
                "area_m2",
                "tilt_deg",
                "facing_deg",
                "inward_m2k_w",
                "absorptance",
                "transmittance",
                "inward_share",
                "shade_factor",
            )
        ),
    ]
)


def table_of(cabin: CabinData) -> RowArray:
    """A cabin's surfaces as rows of numbers; what a surface does not use stands as 0.

    Formula: resistance from the outer face to the cabin's air 1/U − 1/25, or Σ d/k + 1/7.7 from layers; the rest is
    copied.
    Parameters: cabin, complete: areas in m², tilt and facing in degrees, U in W/m²K or layers, shares.
    Returns: one row for each surface: areas in m², angles in degrees, resistance in m²K/W, shares.
    Validity: a cabin that lacks nothing (missing_of); what is missing would stand as 0.
    Source: ISO 6946; films of EN 673.
    Check: by hand: U = 5 has 1/5 − 1/25 m²K/W.

    >>> from vehicles.heatload.inputs import Surface
    >>> floor = Surface(code="floor", name="Floor", kind="opaque", boundary="floor", area_m2=2.0, u_w_m2k=5.0)
    >>> round(float(table_of(CabinData(volume_m3=2.0, surfaces=(floor,)))["inward_m2k_w"][0]), 9)
    0.16
    """
    rows = np.zeros(len(cabin.surfaces), dtype=ROW)
    for row, surface in zip(rows, cabin.surfaces, strict=True):
        row["kind"], row["boundary"] = SURFACE_KINDS.index(surface.kind), BOUNDARIES.index(surface.boundary)
        row["area_m2"], row["shade_factor"] = surface.area_m2 or 0.0, surface.shade_factor
        if surface.boundary == "none":
            continue
        row["inward_m2k_w"] = resistance_inward_m2k_w(surface.u_w_m2k, surface.layers)
        for name in ("tilt_deg", "facing_deg", "absorptance", "transmittance", "inward_share"):
            row[name] = getattr(surface, name) or 0.0
    return rows


@dataclass(frozen=True)
class SurfaceSums:
    """Per point: conductance and sunshine by kind (kind, n), the engine side, the heading used.

    engine_ua_t_w is Σ U·A·T of the engine side, so that its heat is engine_ua_t_w − engine_ua_w_k·T_cabin.
    """

    ua_w_k: FloatArray
    solar_w: FloatArray
    engine_ua_w_k: FloatArray
    engine_ua_t_w: FloatArray
    heading_deg: FloatArray


@dataclass(frozen=True, kw_only=True)
class Sunshine:
    """Sun and driving of n points; heading_deg NaN asks for the worst of eight (heating: the least sunny)."""

    beam_normal_w_m2: FloatArray
    diffuse_horizontal_w_m2: FloatArray
    altitude_deg: FloatArray
    heading_deg: FloatArray
    road_speed_km_h: FloatArray
    is_heating: FloatArray
    ground_reflectance: FloatArray


def sum_surfaces(rows: RowArray, owner: IntArray, engine_c: FloatArray, sun: Sunshine) -> SurfaceSums:
    """What the surfaces of many cars bring in at their duty points, summed by point.

    Formula: U·A = A/(1/h + R), h of the driving air at surfaces to the outside, 25 W/m²K at the engine side; sunshine
    of opaque and canvas U·A·α·I/h, of canvas also A·s·τ·I, of glass A·s·(τ(θ)·beam + τ(sky)·sky + τ(ground)·ground +
    α·N·I), I the sunshine on the surface, s the shade factor, N the inward share.
    Parameters: rows, surfaces as of table_of; owner, the point each belongs to; engine_c, temperature beyond each
    boundary of each point, °C, shape (n, boundaries); sun, beam and diffuse sunshine in W/m², altitude and heading in
    degrees, road speed in km/h.
    Returns: conductance to the outside in W/K and sunshine in W by kind and point; U·A in W/K and Σ U·A·T of the engine
    side; the heading in degrees, given or the worst of eight (heating: the least sunny).
    Validity: steady state; light that got in stays in; rows that border on nothing bring nothing.
    Source: sol-air temperature and solar gain of glass, ASHRAE Handbook Fundamentals (SI) ch. 15 and 18; transmittance
    of panes by Duffie and Beckman ch. 5; ISO 6946.
    Check: by hand: 2 m² of U = 3 at the bulkhead, 60 °C beside it: 6 W/K and 360 W at 0 °C in the cabin.

    >>> from vehicles.heatload.inputs import Surface
    >>> wall = Surface(code="wall", name="Wall", kind="opaque", boundary="bulkhead", area_m2=2.0, u_w_m2k=3.0)
    >>> dark, none = np.zeros(1), np.array([0])
    >>> night = Sunshine(beam_normal_w_m2=dark, diffuse_horizontal_w_m2=dark, altitude_deg=dark, heading_deg=dark,
    ...     road_speed_km_h=dark, is_heating=dark, ground_reflectance=dark)
    >>> hot = np.full((1, len(BOUNDARIES)), 60.0)
    >>> found = sum_surfaces(table_of(CabinData(volume_m3=2.0, surfaces=(wall,))), none, hot, night)
    >>> round(float(found.engine_ua_w_k[0]), 6), round(float(found.engine_ua_t_w[0]), 6)
    (6.0, 360.0)
    """
    n = sun.road_speed_km_h.size
    is_outside = rows["boundary"] == OUTSIDE
    film = np.where(is_outside, outside_film_w_m2k(sun.road_speed_km_h)[owner], REFERENCE_OUTSIDE_FILM_W_M2K)
    ua = rows["area_m2"] / (1 / film + rows["inward_m2k_w"])
    is_engine = ~is_outside & (rows["boundary"] != NONE)
    engine_ua = np.where(is_engine, ua, 0.0)
    beyond_c = np.where(is_engine, engine_c[owner, rows["boundary"]], 0.0)
    outdoors = np.flatnonzero(is_outside)
    solar, heading = _solar(rows[outdoors], owner[outdoors], (ua / film)[outdoors], sun)
    return SurfaceSums(
        ua_w_k=_by_kind(rows["kind"], owner, np.where(is_outside, ua, 0.0), n),
        solar_w=_by_kind(rows["kind"][outdoors], owner[outdoors], solar, n),
        engine_ua_w_k=_sum_on(owner, engine_ua, n),
        engine_ua_t_w=_sum_on(owner, engine_ua * beyond_c, n),
        heading_deg=heading,
    )


def _by_kind(kind: IntArray, owner: IntArray, value: FloatArray, n: int) -> FloatArray:
    return _sum_on(kind * n + owner, value, len(SURFACE_KINDS) * n).reshape(len(SURFACE_KINDS), n)


def _sum_on(owner: IntArray, value: FloatArray, n: int) -> FloatArray:
    """Sum values onto their owners, n of them."""
    total: FloatArray = np.bincount(owner, value, n).astype(np.float64)
    return total


def _solar(
    rows: RowArray, owner: IntArray, ua_over_film_m2: FloatArray, sun: Sunshine
) -> tuple[FloatArray, FloatArray]:
    """Sunshine into the cabin per surface, W, at each point's own or worst heading; and that heading."""
    n = sun.road_speed_km_h.size
    per_heading = np.stack(
        [_solar_at(rows, owner, ua_over_film_m2, sun, floats(heading)) for heading in HEADINGS_DEG]
    )
    total = np.stack([_sum_on(owner, gain, n) for gain in per_heading])
    worst = np.where(sun.is_heating > 0, total.argmin(axis=0), total.argmax(axis=0))
    is_given = np.isfinite(sun.heading_deg)
    given = _solar_at(rows, owner, ua_over_film_m2, sun, np.where(is_given, sun.heading_deg, 0.0)[owner])
    chosen = per_heading[worst[owner], np.arange(owner.size)]
    heading = np.where(is_given, sun.heading_deg, HEADINGS_DEG[worst])
    return np.where(is_given[owner], given, chosen), heading


def _solar_at(
    rows: RowArray,
    owner: IntArray,
    ua_over_film_m2: FloatArray,
    sun: Sunshine,
    heading_deg: FloatArray,
) -> FloatArray:
    """Sunshine into the cabin per surface at one heading, W.

    Opaque and canvas: U·A·α·I/h_o of the sol-air temperature; canvas also A·τ·I; glass A·(τ(θ)·beam +
    τ(sky)·sky + τ(ground)·ground) and the inward share of the absorbed, α·N·I·A. Light that got in stays in.
    """
    on = on_surface(
        sun.beam_normal_w_m2[owner],
        sun.diffuse_horizontal_w_m2[owner],
        sun.altitude_deg[owner],
        rows["tilt_deg"],
        heading_deg + rows["facing_deg"],
        sun.ground_reflectance[owner],
    )
    is_glass = rows["kind"] == GLASS
    total, area, tau = on.total, rows["area_m2"], rows["transmittance"]
    # canvas may pass more than a pane can; its rows do not take this branch
    pane = np.where(is_glass, tau, 0.0)
    sky_cosine, ground_cosine = diffuse_cosines(rows["tilt_deg"])
    through_glass = (
        pane_transmittance(on.cos_incidence, pane) * on.beam
        + pane_transmittance(sky_cosine, pane) * on.sky
        + pane_transmittance(ground_cosine, pane) * on.ground
    )
    inward = rows["absorptance"] * rows["inward_share"] * total
    glass = area * rows["shade_factor"] * (through_glass + inward)
    scattered = np.where(rows["kind"] == CANVAS, area * tau * rows["shade_factor"] * total, 0.0)
    skin = ua_over_film_m2 * rows["absorptance"] * total
    result: FloatArray = np.where(is_glass, glass, skin + scattered)
    return result
