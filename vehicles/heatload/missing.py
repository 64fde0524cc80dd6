"""What a point lacks: each required value that is absent or impossible, by path, with a sentence."""

import math
from collections.abc import Iterator, Sequence

from vehicles.heatload.exchange import leakage_m3_h
from vehicles.heatload.films import HIGHEST_U_W_M2K
from vehicles.heatload.glass import HIGHEST_TRANSMITTANCE
from vehicles.heatload.inputs import (
    ACTIVITIES,
    AIR_MODES,
    BOUNDARIES,
    DRIVES,
    ENGINE_STATES,
    SURFACE_KINDS,
    AirSide,
    CabinData,
    ClimateState,
    EngineTemperatures,
    LoadPoint,
    Missing,
    Surface,
)
from vehicles.physics.quantities import format_value, in_unit
from vehicles.physics.ranges import possible


def _number(path: str, what: str, value: float | None, low: float, high: float) -> Iterator[Missing]:
    """Nothing if the value is there and in its range; what is wrong otherwise."""
    if value is None or not math.isfinite(value):
        yield Missing(path, f"{what} is missing.")
    elif not low <= value <= high:
        span = f"{format_value(path, low)} to {format_value(path, high)}"
        yield Missing(path, f"{what} is {format_value(path, value)}; it must lie within {span}.")


def _ranged(path: str, what: str, value: float | None, model: str) -> Iterator[Missing]:
    """As `_number`, with the range of the model's field that the path ends in."""
    yield from _number(path, what, value, *possible(model, path.rpartition(".")[2]))


def _choice(path: str, what: str, value: str, allowed: tuple[str, ...]) -> Iterator[Missing]:
    """Nothing if the value is one of those allowed."""
    if not value:
        yield Missing(path, f"{what} is missing.")
    elif value not in allowed:
        yield Missing(path, f"{what} is “{value}”; it must be one of: {', '.join(allowed)}.")


def _in_surface(surface: Surface) -> Iterator[Missing]:
    """What one surface lacks; what a kind and boundary does not use is not asked for."""
    at, name = f"cabin.{surface.code}", surface.name or surface.code
    yield from _choice(f"{at}.kind", f"The kind of {name}", surface.kind, SURFACE_KINDS)
    yield from _choice(f"{at}.boundary", f"What lies beyond {name}", surface.boundary, BOUNDARIES)
    yield from _ranged(f"{at}.area_m2", f"The area of {name}", surface.area_m2, "Surface")
    if surface.boundary == "none":
        return
    yield from _in_insulation(surface, at, name)
    if surface.boundary == "outside":
        yield from _in_sun_side(surface, at, name)


def _in_insulation(surface: Surface, at: str, name: str) -> Iterator[Missing]:
    if surface.u_w_m2k is not None or not surface.layers:
        what = f"The U value (or the layers) of {name}"
        yield from _number(f"{at}.u_w_m2k", what, surface.u_w_m2k, 0.05, HIGHEST_U_W_M2K)
        return
    for order, (thickness_mm, conductivity_w_mk) in enumerate(surface.layers, start=1):
        layer = f"of layer {order} of {name}"
        yield from _ranged(
            f"{at}.layers.{order}.thickness_mm", f"The thickness {layer}", thickness_mm, "SurfaceLayer"
        )
        path = f"{at}.layers.{order}.conductivity_w_mk"
        yield from _number(
            path,
            f"The conductivity {layer}",
            conductivity_w_mk,
            *possible("SurfaceLayer", "conductivity_w_mk"),
        )


def _in_sun_side(surface: Surface, at: str, name: str) -> Iterator[Missing]:
    yield from _ranged(f"{at}.tilt_deg", f"The tilt of {name}", surface.tilt_deg, "Surface")
    if surface.tilt_deg not in (0, 180):
        yield from _ranged(f"{at}.facing_deg", f"The facing of {name}", surface.facing_deg, "Surface")
    yield from _number(f"{at}.absorptance", f"The absorptance of {name}", surface.absorptance, 0, 1)
    yield from _number(f"{at}.shade_factor", f"The shade factor of {name}", surface.shade_factor, 0, 1)
    if surface.kind == "opaque":
        if surface.shade_factor != 1:
            yield Missing(f"{at}.shade_factor", f"A shade factor is for glass and canvas; {name} is opaque.")
        return
    highest = HIGHEST_TRANSMITTANCE if surface.kind == "glass" else 1.0
    what = f"The transmittance of {name}"
    yield from _number(f"{at}.transmittance", what, surface.transmittance, 0, highest)
    if surface.kind == "glass":
        what = f"The share of absorbed sun that {name} gives inward"
        yield from _number(f"{at}.inward_share", what, surface.inward_share, 0, 1)
    if (surface.absorptance or 0) + (surface.transmittance or 0) > 1 + 1e-9:
        yield Missing(f"{at}.absorptance", f"{name} absorbs and lets through more than all the sun.")


def in_cabin(cabin: CabinData) -> Iterator[Missing]:
    """What a cabin lacks, apart from what only some duty points ask of it.

    Formula: none: each value that the kind of surface, opening, seat or leakage row uses must be there and in its
    range.
    Parameters: cabin as surveyed: volume in m³, areas in m², angles in degrees, U in W/m²K, layers in mm and W/mK,
    leakage in m³/h at km/h.
    Returns: for each value that is absent or impossible its path and a sentence.
    Validity: single values; whether they fit together is asked only for what a surface absorbs and lets through.
    Source: the ranges of the data model; energy balance of a pane.
    Check: a cabin without volume and surfaces lacks both.

    >>> [lack.path for lack in in_cabin(CabinData(volume_m3=None, surfaces=()))]
    ['cabin.volume_m3', 'cabin.surfaces']
    """
    yield from _ranged("cabin.volume_m3", "The cabin's volume", cabin.volume_m3, "Cabin")
    if not cabin.surfaces:
        yield Missing("cabin.surfaces", "The cabin has no surfaces.")
    for surface in cabin.surfaces:
        yield from _in_surface(surface)
    for opening in cabin.openings:
        at = f"cabin.{opening.code}"
        yield from _ranged(f"{at}.area_m2", f"The area of opening {opening.code}", opening.area_m2, "Opening")
        yield from _ranged(
            f"{at}.height_m", f"The height of opening {opening.code}", opening.height_m, "Opening"
        )
    for seat in cabin.seats:
        yield from _choice(
            f"cabin.{seat.code}.activity", f"The activity on seat {seat.code}", seat.activity, ACTIVITIES
        )
    for speed, flow in cabin.leakage_m3_h:
        yield from _number(
            "cabin.leakage.speed_km_h",
            "A road speed of the leakage table",
            speed,
            *possible("CabinLeakage", "road_speed_km_h"),
        )
        yield from _ranged("cabin.leakage_m3_h", "A flow of the leakage table", flow, "CabinLeakage")


def _in_climate(climate: ClimateState) -> Iterator[Missing]:
    """What a duty point lacks by itself."""
    c = climate
    at = "climate."
    yield from _ranged(at + "outside_c", "The outside temperature", c.outside_c, "DutyPoint")
    yield from _number(at + "rh", "The outside humidity", c.rh, 0, 1)
    yield from _ranged(at + "altitude_m", "The altitude", c.altitude_m, "DutyPoint")
    yield from _in_sunshine(c, at)
    yield from _ranged(at + "road_speed_km_h", "The road speed", c.road_speed_km_h, "DutyPoint")
    yield from _ranged(at + "target_c", "The target temperature", c.target_c, "DutyPoint")
    yield from _ranged(at + "occupants", "The number of people", c.occupants, "DutyPoint")
    if c.heading_deg is not None:
        yield from _ranged(at + "heading_deg", "The heading from the sun", c.heading_deg, "DutyPoint")
    yield from _choice(at + "engine_state", "The engine state", c.engine_state, ENGINE_STATES)
    yield from _choice(at + "air_mode", "The air mode", c.air_mode, AIR_MODES)
    if c.air_mode == "mixed":
        yield from _number(at + "fresh_share", "The share of fresh air", c.fresh_share, 0, 1)


def _in_sunshine(c: ClimateState, at: str) -> Iterator[Missing]:
    """What is wrong with the sun of a duty point, given as it stands or by its site."""
    if c.at_site is not None and c.at_site.design_day is None:
        site = c.at_site.site.name
        sentence = f"{site} has no design state of month {c.at_site.month}: the sun there is not known."
        yield Missing(at + "at_site", sentence)
        return
    yield from _ranged(at + "beam_normal_w_m2", "The sun's beam", c.beam_normal_w_m2, "DutyPoint")
    yield from _ranged(
        at + "diffuse_horizontal_w_m2", "The diffuse sunshine", c.diffuse_horizontal_w_m2, "DutyPoint"
    )
    # a day walked hour by hour has its nights
    yield from _number(at + "sun_altitude_deg", "The sun's altitude", c.sun_altitude_deg, -90, 90)
    yield from _number(at + "ground_reflectance", "The reflectance of the ground", c.ground_reflectance, 0, 1)
    if (c.beam_normal_w_m2 or 0) > 0 and (c.sun_altitude_deg or 0) < 0:
        yield Missing(at + "sun_altitude_deg", "The sun's beam can't come from below the horizon.")


def _in_air_side(air_side: AirSide) -> Iterator[Missing]:
    """What the kit's air side lacks."""
    at = "air."
    yield from _number(
        at + "coil_air_m3_h", "The air flow through the coil", air_side.coil_air_m3_h, 0, 10000
    )
    yield from _number(at + "blower_w", "The blower motor's heat", air_side.blower_w, 0, 5000)
    yield from _number(at + "duct_gain_w", "The ducts' heat gain", air_side.duct_gain_w, -2000, 2000)
    yield from _number(at + "matrix_leak_w", "The heater matrix's leak", air_side.matrix_leak_w, 0, 10000)


def _in_engine(engine: EngineTemperatures) -> Iterator[Missing]:
    """What is impossible in the engine-side temperatures (absent ones are replaced by defaults)."""
    yield from _choice("engine.drive", "The drive", engine.drive, DRIVES)
    for state, by_boundary in engine.by_state.items():
        for boundary, value in by_boundary.items():
            what = f"The temperature beside the {boundary.replace('_', ' ')}"
            limits = possible("EngineTemperature", "temperature_c")
            yield from _number(f"engine.{state}.{boundary}_c", what, value, *limits)
    if engine.outside_c is not None:
        yield from _number(
            "engine.outside_c", "The outside temperature of the survey", engine.outside_c, -40, 60
        )


def _in_combination(point: LoadPoint) -> Iterator[Missing]:
    """What this duty point asks of this cabin; all single values are already known to be there."""
    cabin, climate = point.cabin, point.climate
    speed = climate.road_speed_km_h
    if not cabin.leakage_m3_h:
        yield Missing("cabin.leakage_m3_h", "The cabin's leakage is missing.")
    elif speed is not None and math.isnan(leakage_m3_h(cabin.leakage_m3_h, speed)):
        known = " to ".join(in_unit("km_h", f(cabin.leakage_m3_h)[0]) for f in (min, max))
        sentence = f"The cabin's leakage is known from {known} only, not at {in_unit('km_h', speed)}."
        yield Missing("cabin.leakage_m3_h", sentence)
    yield from _ranged(
        "cabin.intake_rise_k", "The rise of the intake air over outside", cabin.intake_rise_k, "Cabin"
    )
    if climate.air_mode == "recirculated":
        yield from _number("cabin.flap_leak_share", "The flap's leak", cabin.flap_leak_share, 0, 1)
    if climate.air_mode == "fresh" and cabin.fresh_air_m3_h is not None:
        what = "The air the open intake can pass"
        yield from _ranged("cabin.fresh_air_m3_h", what, cabin.fresh_air_m3_h, "Cabin")
    if climate.occupants is not None and climate.occupants > len(cabin.seats):
        sentence = f"{climate.occupants} people are to ride, but the cabin has {len(cabin.seats)} seats."
        yield Missing("cabin.seats", sentence)


def missing_of(points: Sequence[LoadPoint]) -> tuple[tuple[Missing, ...], ...]:
    """Everything that duty points lack, in the order cabin, engine, climate, air side, and what they ask together.

    Formula: none: each required value must be there and in its range; a cabin that many points share is looked at once.
    Parameters: points, each a car in a duty point with a kit's air side: temperatures in °C, air in m³/h, heat in W.
    Returns: for each point the values that are absent or impossible, by path, with a sentence.
    Validity: engine-side temperatures that are absent are no lack: defaults stand in.
    Source: the ranges of the data model.
    Check: a person and no seat.

    >>> from vehicles.heatload.inputs import Surface
    >>> roof = Surface(code="roof", name="Roof", kind="opaque", boundary="none", area_m2=2.0)
    >>> cabin = CabinData(volume_m3=2.0, surfaces=(roof,), leakage_m3_h=((0, 15),), intake_rise_k=4.0,
    ...     flap_leak_share=0.1)
    >>> standing = ClimateState(outside_c=35, rh=0.4, altitude_m=0, beam_normal_w_m2=0, diffuse_horizontal_w_m2=0,
    ...     sun_altitude_deg=50, heading_deg=None, road_speed_km_h=0, engine_state="idle", occupants=1,
    ...     air_mode="recirculated", target_c=25)
    >>> air = AirSide(coil_air_m3_h=300, blower_w=100, duct_gain_w=0, matrix_leak_w=0)
    >>> lacks = missing_of([LoadPoint(cabin, EngineTemperatures(), standing, air)])
    >>> [lack.sentence for lack in lacks[0]]
    ['1 people are to ride, but the cabin has 0 seats.']
    """
    cabins = {id(point.cabin): point.cabin for point in points}
    of_cabin = {key: tuple(in_cabin(cabin)) for key, cabin in cabins.items()}
    return tuple((*of_cabin[id(point.cabin)], *_beside_the_cabin(point)) for point in points)


def _beside_the_cabin(point: LoadPoint) -> Iterator[Missing]:
    yield from _in_engine(point.engine)
    yield from _in_climate(point.climate)
    yield from _in_air_side(point.air_side)
    yield from _in_combination(point)
