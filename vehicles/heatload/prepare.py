"""Everything about a batch of points that does not depend on the cabin's state, worked out once."""

from collections.abc import Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import ArrayLike

from vehicles.heatload.defaults import default_value, defaults
from vehicles.heatload.exchange import leakage_m3_h
from vehicles.heatload.inputs import BOUNDARIES, ENGINE_BOUNDARIES, CabinData, LoadPoint, Missing
from vehicles.heatload.missing import missing_of
from vehicles.heatload.people import people_w
from vehicles.heatload.surfaces import Sunshine, SurfaceSums, sum_surfaces, table_of
from vehicles.physics.air import humidity_ratio, pressure_from_altitude_pa, specific_volume_m3_kg
from vehicles.physics.arrays import BoolArray, FloatArray
from vehicles.physics.origin import Origin


@dataclass(frozen=True, kw_only=True)
class Prepared:
    """A batch of n points, ready for any cabin state; every array has n as its first axis.

    is_complete   False where something is missing: all numbers of that row are NaN
    missing       per point, what is missing
    assumed       per point, the defaults that stand in, by path
    solar_*_w     sunshine into the cabin through opaque, glass, canvas
    ua_*_w_k      conductance to the outside air; engine_ua_t_w is Σ U·A·T of the engine side
    coil_air_kg_s dry air through the coil; intake_share of it comes from outside, at intake_c
    leakage_kg_s  dry air through gaps when nothing presses against it
    opening_*     areas and heights, padded with zeros to the largest number of openings
    """

    is_complete: BoolArray
    missing: tuple[tuple[Missing, ...], ...]
    assumed: tuple[dict[str, Origin], ...]
    target_c: FloatArray
    outside_c: FloatArray
    outside_w: FloatArray
    pressure_pa: FloatArray
    road_speed_km_h: FloatArray
    heading_deg: FloatArray
    solar_opaque_w: FloatArray
    solar_glass_w: FloatArray
    solar_canvas_w: FloatArray
    ua_opaque_w_k: FloatArray
    ua_glass_w_k: FloatArray
    ua_canvas_w_k: FloatArray
    engine_ua_w_k: FloatArray
    engine_ua_t_w: FloatArray
    coil_air_kg_s: FloatArray
    intake_share: FloatArray
    intake_c: FloatArray
    leakage_kg_s: FloatArray
    opening_area_m2: FloatArray
    opening_height_m: FloatArray
    people_w: FloatArray
    blower_w: FloatArray
    matrix_leak_w: FloatArray
    duct_gain_w: FloatArray

    def take(self, rows: ArrayLike) -> "Prepared":
        """The same for some of the points, by position."""
        at = np.atleast_1d(np.asarray(rows, dtype=np.intp))
        chosen = {
            f.name: getattr(self, f.name)[at]
            for f in fields(self)
            if isinstance(getattr(self, f.name), np.ndarray)
        }
        return replace(
            self,
            missing=tuple(self.missing[k] for k in at),
            assumed=tuple(self.assumed[k] for k in at),
            **chosen,
        )


def engine_temperatures_c(point: LoadPoint) -> tuple[list[float], dict[str, Origin]]:
    """Temperature beyond each boundary of the cabin, and the defaults used.

    Formula: measured + (outside − outside of the survey), else default + (outside − 35); outside itself where the
    boundary is none of the engine's, no surface borders on it, or the engine is off.
    Parameters: point, a car in a duty point; temperatures in °C. A fixed engine state is cruise while the car moves,
    else idle.
    Returns: °C for each of BOUNDARIES, and the defaults used, by path.
    Validity: the engine side follows the outside temperature degree by degree; measured values do so only when the
    survey noted its own outside temperature, else they are used as they stand.
    Source: the survey's own readings; defaults with their sources in the data file; the shift: common practice, no
    source.
    Check: by hand: 72 °C read at 30 °C outside are 77 °C at 35 °C.

    >>> from vehicles.heatload.inputs import AirSide, ClimateState, EngineTemperatures, Surface
    >>> wall = Surface(code="wall", name="Wall", kind="opaque", boundary="bulkhead", area_m2=2.0, u_w_m2k=3.0)
    >>> read = EngineTemperatures(by_state={"idle": {"bulkhead": 72.0}}, outside_c=30.0)
    >>> standing = ClimateState(outside_c=35, rh=0.4, altitude_m=0, beam_normal_w_m2=0, diffuse_horizontal_w_m2=0,
    ...     sun_altitude_deg=50, heading_deg=None, road_speed_km_h=0, engine_state="idle", occupants=1,
    ...     air_mode="recirculated", target_c=25)
    >>> air = AirSide(coil_air_m3_h=300, blower_w=100, duct_gain_w=0, matrix_leak_w=0)
    >>> point = LoadPoint(CabinData(volume_m3=2.0, surfaces=(wall,)), read, standing, air)
    >>> engine_temperatures_c(point)[0][BOUNDARIES.index("bulkhead")]
    77.0
    """
    climate, engine = point.climate, point.engine
    outside_c = climate.outside_c or 0.0
    shift_measured = 0.0 if engine.outside_c is None else outside_c - engine.outside_c
    shift_default = outside_c - default_value("reference_outside_c")
    state = climate.engine_state
    if state == "fixed":
        state = "cruise" if climate.road_speed_km_h else "idle"
    present = {surface.boundary for surface in point.cabin.surfaces}
    beyond, assumed = [], {}
    for boundary in BOUNDARIES:
        key = f"{state}.{boundary}_c"
        if boundary not in ENGINE_BOUNDARIES or boundary not in present or state == "off":
            beyond.append(outside_c)
            continue
        measured = engine.by_state.get(state, {}).get(boundary)
        if measured is not None:
            beyond.append(measured + shift_measured)
            continue
        default = defaults()[f"{engine.drive}.{key}"]
        beyond.append(default.value + shift_default)
        assumed[f"engine.{key}"] = default.origin()
    return beyond, assumed


def prepare(points: Sequence[LoadPoint]) -> Prepared:
    """Work out all of a batch of duty points that does not depend on the cabin's state.

    Formula: dry air through the coil m = V/3600/v, v at the mix share·intake + (1 − share)·target; share of outside air
    1 in fresh mode (or what the intake passes over what the coil takes, if less), the set share in mixed mode, the
    flap's leak when recirculating; leakage m = V/3600/v outside, V from the cabin's table at the road speed; surfaces
    by sum_surfaces; heat of the people by their seats.
    Parameters: points, each a car in a duty point with a kit's air side: temperatures in °C, air in m³/h, heat in W.
    Returns: one row for each point: temperatures in °C, humidity in kg/kg, dry air in kg/s, conductances in W/K, heat
    in W, pressure in Pa. Nothing is refused: an incomplete point is marked, with what it lacks, and its row is NaN.
    Validity: humidity of the coil's air is taken as outside, which changes its volume by less than 1 %.
    Source: ASHRAE Fundamentals ch. 1 for moist air; heat balance.
    Check: a cabin without surfaces is marked, and its row is NaN.

    >>> from vehicles.heatload.inputs import AirSide, ClimateState, EngineTemperatures
    >>> standing = ClimateState(outside_c=35, rh=0.4, altitude_m=0, beam_normal_w_m2=0, diffuse_horizontal_w_m2=0,
    ...     sun_altitude_deg=50, heading_deg=None, road_speed_km_h=0, engine_state="idle", occupants=1,
    ...     air_mode="recirculated", target_c=25)
    >>> air = AirSide(coil_air_m3_h=300, blower_w=100, duct_gain_w=0, matrix_leak_w=0)
    >>> bare = CabinData(volume_m3=2.0, surfaces=())
    >>> found = prepare([LoadPoint(bare, EngineTemperatures(), standing, air)])
    >>> found.missing[0][0].sentence, bool(found.is_complete[0]), bool(np.isnan(found.coil_air_kg_s[0]))
    ('The cabin has no surfaces.', False, True)
    """
    missing = missing_of(points)
    is_complete = np.array([not lacks for lacks in missing], dtype=bool)
    good = [point for point, lacks in zip(points, missing, strict=True) if not lacks]
    engine = [engine_temperatures_c(point) for point in good]
    columns = _columns(good, np.array([beyond for beyond, _ in engine]).reshape(len(good), len(BOUNDARIES)))
    spread = {name: _spread(value, is_complete) for name, value in columns.items()}
    defaults_used = iter([assumed for _, assumed in engine])
    assumed = tuple(next(defaults_used) if complete else {} for complete in is_complete)
    return Prepared(is_complete=is_complete, missing=missing, assumed=assumed, **spread)


def _spread(values: FloatArray, is_complete: BoolArray) -> FloatArray:
    """Rows of the complete points back in their places, NaN elsewhere."""
    every = np.full((is_complete.size, *values.shape[1:]), np.nan)
    every[is_complete] = values
    return every


def _columns(points: list[LoadPoint], engine_c: FloatArray) -> dict[str, FloatArray]:
    """The arrays of `Prepared` for points that lack nothing."""

    def climate(name: str) -> FloatArray:
        return np.array([getattr(point.climate, name) for point in points], dtype=np.float64)

    def air_side(name: str) -> FloatArray:
        return np.array([getattr(point.air_side, name) for point in points], dtype=np.float64)

    outside_c, pressure = climate("outside_c"), pressure_from_altitude_pa(climate("altitude_m"))
    outside_w = humidity_ratio(outside_c, climate("rh"), pressure)
    share = np.array([_intake_share(point) for point in points], dtype=np.float64)
    intake_c = outside_c + np.array([point.cabin.intake_rise_k for point in points], dtype=np.float64)
    # the blower moves volume; its air is taken between target and intake temperature (humidity: under 1 %)
    coil_c = share * intake_c + (1 - share) * climate("target_c")
    coil_volume = specific_volume_m3_kg(coil_c, outside_w, pressure)
    leakage = np.array(
        [leakage_m3_h(point.cabin.leakage_m3_h, point.climate.road_speed_km_h or 0.0) for point in points]
    )
    sums = _surface_sums(points, engine_c)
    area, height = _openings([point.cabin for point in points])
    return {
        "target_c": climate("target_c"),
        "outside_c": outside_c,
        "outside_w": outside_w,
        "pressure_pa": pressure,
        "road_speed_km_h": climate("road_speed_km_h"),
        "heading_deg": sums.heading_deg,
        **{f"solar_{kind}_w": sums.solar_w[k] for k, kind in enumerate(("opaque", "glass", "canvas"))},
        **{f"ua_{kind}_w_k": sums.ua_w_k[k] for k, kind in enumerate(("opaque", "glass", "canvas"))},
        "engine_ua_w_k": sums.engine_ua_w_k,
        "engine_ua_t_w": sums.engine_ua_t_w,
        "coil_air_kg_s": air_side("coil_air_m3_h") / 3600 / coil_volume,
        "intake_share": share,
        "intake_c": intake_c,
        "leakage_kg_s": leakage / 3600 / specific_volume_m3_kg(outside_c, outside_w, pressure),
        "opening_area_m2": area,
        "opening_height_m": height,
        "people_w": np.array(
            [people_w(p.cabin.seats, p.climate.occupants or 0) for p in points], dtype=float
        ),
        "blower_w": air_side("blower_w"),
        "matrix_leak_w": air_side("matrix_leak_w"),
        "duct_gain_w": air_side("duct_gain_w"),
    }


def _intake_share(point: LoadPoint) -> float:
    """Share of the coil's air that comes from outside, by the air mode (recirculated: the flap's leak)."""
    mode = point.climate.air_mode
    if mode == "fresh":
        return _open_intake_share(point.cabin.fresh_air_m3_h, point.air_side.coil_air_m3_h or 0.0)
    share = point.climate.fresh_share if mode == "mixed" else point.cabin.flap_leak_share
    return float("nan") if share is None else share


def _open_intake_share(intake_m3_h: float | None, coil_m3_h: float) -> float:
    """All of it, unless the intake passes less than the coil takes."""
    if intake_m3_h is None or intake_m3_h >= coil_m3_h:
        return 1.0
    return intake_m3_h / coil_m3_h


def _surface_sums(points: list[LoadPoint], engine_c: FloatArray) -> SurfaceSums:
    """All surfaces of all points in one table; a cabin shared by many points is read once."""
    tables = {id(point.cabin): point.cabin for point in points}
    rows_of = {key: table_of(cabin) for key, cabin in tables.items()}
    parts = [rows_of[id(point.cabin)] for point in points]
    owner = np.repeat(np.arange(len(points)), [len(part) for part in parts])

    def climate(name: str) -> FloatArray:
        values = [getattr(point.climate, name) for point in points]
        return np.array([np.nan if value is None else value for value in values], dtype=np.float64)

    sun = Sunshine(
        beam_normal_w_m2=climate("beam_normal_w_m2"),
        diffuse_horizontal_w_m2=climate("diffuse_horizontal_w_m2"),
        altitude_deg=climate("sun_altitude_deg"),
        heading_deg=climate("heading_deg"),
        road_speed_km_h=climate("road_speed_km_h"),
        is_heating=climate("is_heating"),
        ground_reflectance=climate("ground_reflectance"),
    )
    rows = np.concatenate(parts) if parts else table_of(CabinData(volume_m3=None, surfaces=()))
    return sum_surfaces(rows, owner.astype(np.intp), engine_c, sun)


def _openings(cabins: list[CabinData]) -> tuple[FloatArray, FloatArray]:
    """Areas and heights of openings (n, most), zeros where a cabin has fewer."""
    most = max((len(cabin.openings) for cabin in cabins), default=0)
    area, height = np.zeros((len(cabins), most)), np.zeros((len(cabins), most))
    for k, cabin in enumerate(cabins):
        for j, opening in enumerate(cabin.openings):
            area[k, j], height[k, j] = opening.area_m2 or 0.0, opening.height_m or 0.0
    return area, height
