"""What the heat load is computed from: frozen values, None where nothing is known.

Surfaces and angles: tilt 0 faces up, 90 is vertical, 180 faces down; facing 0 is forward, 90 to the right,
180 to the rear, 270 to the left.

**U values.** `u_w_m2k` is the overall value from outside air to cabin air and contains an outside film of
25 W/m²K, the film that data sheets and EN 673 / ISO 6946 use. For surfaces in the open air that film is taken
out and the one of the road speed is put in; engine-side surfaces use the value as it stands, from the
temperature beside the panel. Layers instead of U get films added: the outside one and 7.7 W/m²K inside.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from vehicles.physics.design_day import DesignDay, Site
from vehicles.physics.sun import ALBEDO

SURFACE_KINDS = ("opaque", "glass", "canvas")
ENGINE_BOUNDARIES = ("bulkhead", "tunnel", "floor", "engine_lid")
BOUNDARIES = ("outside", *ENGINE_BOUNDARIES, "none")
"""What lies beyond a surface; "none" is a space at cabin temperature, through which no heat passes."""
ENGINE_STATES = ("idle", "cruise", "fixed", "off")
"""At a fixed speed the panels are as at idle when the car stands and as at cruise when it moves. With the
engine off they have the outside temperature on their other side."""
DRIVES = ("combustion", "electric")
AIR_MODES = ("recirculated", "fresh", "mixed")
ACTIVITIES = ("driver", "passenger")


@dataclass(frozen=True, kw_only=True)
class Surface:
    """One surface round the cabin.

    layers         from outside to inside, ((thickness_mm, conductivity_w_mk), ...); used when U is None
    absorptance    share of the sunshine absorbed at the outside (glass: in the pane)
    transmittance  share let through (glass: at normal incidence; canvas: scattered)
    inward_share   glass: the part of the absorbed heat that flows in
    shade_factor   multiplies the sun that comes through (tint, film, blind); 1 is none
    """

    code: str
    name: str
    kind: str
    boundary: str
    area_m2: float | None
    tilt_deg: float | None = None
    facing_deg: float | None = None
    u_w_m2k: float | None = None
    layers: tuple[tuple[float, float], ...] = ()
    absorptance: float | None = None
    transmittance: float | None = None
    inward_share: float | None = None
    shade_factor: float = 1.0


@dataclass(frozen=True)
class Opening:
    """A hole to the outside: an open window, a missing door, an open back."""

    code: str
    area_m2: float | None
    height_m: float | None


@dataclass(frozen=True)
class Seat:
    """A place for one person; seats are taken in the order they stand, the driver's first.

    face_x_mm, face_y_mm, face_z_mm  where the face is: behind the dash line, right of the middle, above the
                                     floor; None: not surveyed
    """

    code: str
    activity: str
    face_x_mm: float | None = None
    face_y_mm: float | None = None
    face_z_mm: float | None = None


@dataclass(frozen=True, kw_only=True)
class CabinData:
    """A cabin as built.

    leakage_m3_h     air changed through gaps, closed and recirculating: ((speed_km_h, flow_m3_h), ...)
    intake_rise_k    how much warmer than outside the air at the intake is (3 to 10 K at a scuttle)
    flap_leak_share  share of the coil's air that the closed flap still draws from outside
    fresh_air_m3_h   what the open intake can pass; None: all the coil's air comes from outside in fresh mode
    """

    volume_m3: float | None
    surfaces: tuple[Surface, ...]
    seats: tuple[Seat, ...] = ()
    openings: tuple[Opening, ...] = ()
    leakage_m3_h: tuple[tuple[float, float], ...] = ()
    intake_rise_k: float | None = None
    flap_leak_share: float | None = None
    fresh_air_m3_h: float | None = None


@dataclass(frozen=True)
class EngineTemperatures:
    """Temperatures beside the engine-side panels, by state and boundary: {"idle": {"bulkhead": 72.0}}.

    outside_c  outside temperature when they were taken; they follow the duty point's by the difference.
               None: they are used as they stand.
    What is missing is replaced by the default of the drive and reported.
    """

    drive: str = "combustion"
    by_state: Mapping[str, Mapping[str, float]] = field(default_factory=lambda: MappingProxyType({}))
    outside_c: float | None = None


@dataclass(frozen=True)
class SiteHour:
    """The place, month and standard hour by which a duty point's sun is known; None: no such day of the site."""

    site: Site
    month: int
    hour_h: float
    design_day: DesignDay | None


@dataclass(frozen=True, kw_only=True)
class ClimateState:
    """One duty point: weather, sun, driving and what the cabin has to hold.

    rh             relative humidity outside, 0 to 1
    heading_deg    heading of the car from the sun's azimuth (0: the sun ahead); None: the worst of eight
    fresh_share    in mixed air mode, the share of the coil's air that comes from outside
    is_heating     a winter point: the worst heading is the one with the least sun
    at_site        where the sun comes from; None: beam, diffuse and altitude were given as they stand
    """

    outside_c: float | None
    rh: float | None
    altitude_m: float | None
    beam_normal_w_m2: float | None
    diffuse_horizontal_w_m2: float | None
    sun_altitude_deg: float | None
    heading_deg: float | None
    road_speed_km_h: float | None
    engine_state: str
    occupants: int | None
    air_mode: str
    target_c: float | None
    fresh_share: float | None = None
    is_heating: bool = False
    ground_reflectance: float = ALBEDO
    at_site: SiteHour | None = None


@dataclass(frozen=True)
class AirSide:
    """What the kit's air side brings into the load, per point.

    coil_air_m3_h  air through the coil
    blower_w       heat of the blower motor into the air
    duct_gain_w    heat the ducts pick up outside the cabin
    matrix_leak_w  heat of a heater matrix whose valve leaks
    """

    coil_air_m3_h: float | None
    blower_w: float | None
    duct_gain_w: float | None
    matrix_leak_w: float | None


@dataclass(frozen=True)
class LoadPoint:
    """One car in one duty point with one kit's air side."""

    cabin: CabinData
    engine: EngineTemperatures
    climate: ClimateState
    air_side: AirSide


@dataclass(frozen=True)
class Missing:
    """A required value that is absent or impossible, by path, and the sentence that says so."""

    path: str
    sentence: str
