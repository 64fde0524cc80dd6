"""The cold walls of a fitment: what is cold in a kit, in which air it stands, and what it is wrapped in."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from kits.bom.joints import SUCTION
from kits.bom.resolved import explode
from kits.parts.covered import CASING, DUCT, SUCTION_HOSE, VALVE
from kits.sizing.case.plant_reader import all_of
from kits.sizing.heat.condensation import WallState, condensation_defaults, flat_wall, round_wall
from kits.sizing.verdict.record import DutyAnswer
from kits.topics.context import Context
from kits.topics.figure import Input, given, in_words
from kits.topics.origins import of_parts
from vehicles.heatload.films import INSIDE_FILM_W_M2K as CABIN_FILM_W_M2K
from vehicles.heatload.films import outside_film_w_m2k, resistance_inward_m2k_w
from vehicles.heatload.inputs import BOUNDARIES, AirSide, LoadPoint
from vehicles.heatload.prepare import engine_temperatures_c
from vehicles.physics import air
from vehicles.physics.arrays import FloatArray, floats
from vehicles.physics.quantities import unit_key

STILL = ("Film towards the air", "still_film_w_m2k")
AREA = "Surface"
MOVING = (STILL, ("Film on the cold side", "duct_air_film_w_m2k"))


@dataclass(frozen=True, kw_only=True)
class Airs:
    """The air of the duty points that came out, one value a duty point."""

    duties: tuple[DutyAnswer, ...]
    off_coil_c: FloatArray
    vent_c: FloatArray
    evaporating_c: FloatArray
    cabin_c: FloatArray
    outside_c: FloatArray
    engine_side_c: FloatArray
    outside_film: FloatArray
    outside_dew_c: FloatArray
    cabin_dew_c: FloatArray


@dataclass(frozen=True)
class Wrap:
    """Insulation that a part of the kit brings; None where its data sheet is silent."""

    part: str
    name: str
    thickness_mm: float | None
    conductivity_w_mk: float | None
    length_m: float | None
    covers: str
    """what it goes round, one of kits.parts.covered; empty where nobody has said so"""


@dataclass(frozen=True, kw_only=True)
class Wall:
    """A cold wall. Round where it has radii; extent in m (round) or m² (flat).

    air_c     the moist air it faces; beyond_c what it takes heat from, where that is hotter
    is_fitted False: only where cold air runs along it, which the data of a kit don't say
    """

    name: str
    where: str
    cold_c: FloatArray
    air_c: FloatArray
    beyond_c: FloatArray
    cold_film: float
    air_film: FloatArray
    bare_m2k_w: float
    radii_m: tuple[float, float] | None
    pipe_w_mk: float
    wrap: Wrap | None
    extent: float
    faces_cabin: bool
    assumed: tuple[tuple[str, str], ...]
    """what stands in for missing data: words and key of the default"""
    is_fitted: bool = True
    bore_origin: str = ""
    length_origin: str = ""
    helps: str = ""
    """what keeps it dry where nothing can be put round it; empty where insulation does"""

    def state(self, thickness_mm: float, k: float, air_c: FloatArray) -> WallState:
        """Surfaces and heat with an insulation, in this air."""
        if self.radii_m is None:
            resistance = self.bare_m2k_w + thickness_mm / 1000 / k
            return flat_wall(self.cold_c, air_c, self.cold_film, resistance, self.air_film)
        bore, pipe = self.radii_m
        outer = pipe + thickness_mm / 1000
        return round_wall(
            inside_c=self.cold_c,
            outside_c=air_c,
            inside_film_w_m2k=self.cold_film,
            bore_radius_m=bore,
            pipe_radius_m=pipe,
            pipe_w_mk=self.pipe_w_mk,
            outer_radius_m=outer,
            insulation_w_mk=k,
            outside_film_w_m2k=self.air_film,
        )


def default(key: str) -> float:
    """A value of the data file."""
    return condensation_defaults()[key].value


def assumed(label: str, key: str) -> Input:
    """A default as an input, with its source."""
    row = condensation_defaults()[key]
    return given(label, unit_key(key), row.value, f"assumed: {row.source}")


def airs_of(context: Context) -> Airs | None:
    """The air of every cooling duty point that has an answer; None when there is none."""
    climates = {duty.code: duty for duty in context.case.duties}
    held = []
    for answer in context.record.duties:
        climate = climates[answer.code].climate
        numbers = (
            answer.air_off_c, answer.vent_c, answer.evaporating_c, answer.judged_at_c,
            answer.cabin_humidity_share, climate.outside_c, climate.rh, climate.altitude_m or 0.0,
            climate.road_speed_km_h or 0.0, _engine_side_c(context, answer.code),
        )  # fmt: skip
        if not climate.is_heating and None not in numbers:
            held.append((answer, numbers))
    if not held:
        return None
    off, vent, evaporating, cabin, share, outside, rh, altitude, speed, engine = floats(
        [[float(v) for v in numbers if v is not None] for _, numbers in held]
    ).T
    pressure = air.pressure_from_altitude_pa(altitude)
    water = air.humidity_ratio(np.array([outside, cabin]), np.array([rh, share]), pressure)
    dew = air.dew_point_c(water, pressure)
    film = outside_film_w_m2k(speed)
    return Airs(
        duties=tuple(a for a, _ in held),
        off_coil_c=off,
        vent_c=vent,
        evaporating_c=evaporating,
        cabin_c=cabin,
        outside_c=outside,
        engine_side_c=engine,
        outside_film=film,
        outside_dew_c=dew[0],
        cabin_dew_c=dew[1],
    )


def _engine_side_c(context: Context, code: str) -> float:
    """The hottest air beyond the engine-side panels that the car has, or the outside air."""
    climate = next(duty.climate for duty in context.case.duties if duty.code == code)
    car = context.case.car
    beyond, _ = engine_temperatures_c(
        LoadPoint(car.cabin, car.engine, climate, AirSide(None, None, None, None))
    )
    present = {surface.boundary for surface in car.cabin.surfaces}
    hot = [
        t for t, b in zip(beyond, BOUNDARIES, strict=True) if b in ("bulkhead", "engine_lid") and b in present
    ]
    return max(hot, default=climate.outside_c or 0.0)


def wraps_of(context: Context) -> tuple[Wrap, ...]:
    """The insulations of a kit with their names."""
    rows = {row.item.part: row for row in explode(context.kit)}
    found = []
    for key, held in context.kit.plant.items():
        number, data = held.part, held.data
        if key.partition("/")[0] == "insulation" and number in rows:
            row = rows[number]
            length = float(row.quantity) if row.item.unit == "m" else None
            found.append(
                Wrap(
                    number,
                    row.item.name,
                    data.get("thickness_mm"),
                    data.get("conductivity_w_mk"),
                    length,
                    str(data.get("covers") or ""),
                )
            )
    return tuple(found)


def _round(wraps: tuple[Wrap, ...], thing: str) -> Wrap | None:
    """The first insulation that goes round a thing."""
    return next((wrap for wrap in wraps if wrap.covers == thing), None)


def walls_of(context: Context, airs: Airs) -> tuple[Wall, ...]:
    """All cold walls of the fitment."""
    wraps = wraps_of(context)
    return (
        *_ducts(context, airs, _round(wraps, DUCT)),
        *_suction(context, airs, _round(wraps, SUCTION_HOSE)),
        *_unit(context, airs, wraps),
        *(() if context.is_rear else _panels(context, airs)),
    )


def _ducts(context: Context, airs: Airs, wrap: Wrap | None) -> Iterator[Wall]:
    """The ducts of one diameter are one wall with their lengths added up."""
    lengths: dict[float, float] = {}
    for outlet in context.case.plant.air_path.outlets:
        lengths[outlet.diameter_mm] = lengths.get(outlet.diameter_mm, 0.0) + outlet.length_m
    parts: dict[float, list[str]] = {}
    for number, data in all_of(context.kit, "duct"):
        parts.setdefault(data["diameter_mm"], []).append(number)
    still = floats(default("still_film_w_m2k"))
    for diameter, length in lengths.items():
        bore, origin = diameter / 2000, of_parts(context, parts.get(diameter, ()))
        yield Wall(
            name=f"Ducts {diameter:g} mm",
            where="kit",
            cold_c=airs.off_coil_c,
            air_c=airs.cabin_c,
            beyond_c=airs.cabin_c,
            cold_film=default("duct_air_film_w_m2k"),
            air_film=still,
            bare_m2k_w=0.0,
            radii_m=(bore, bore + default("duct_wall_mm") / 1000),
            pipe_w_mk=default("duct_wall_w_mk"),
            wrap=wrap,
            extent=length,
            faces_cabin=True,
            assumed=(*MOVING, ("Wall of the duct", "duct_wall_mm")),
            bore_origin=origin,
            length_origin=origin,
        )


def _suction(context: Context, airs: Airs, wrap: Wrap | None) -> Iterator[Wall]:
    """Sweating is judged in outside air, cooling lost in the air of the engine's side."""
    gas = airs.evaporating_c + context.case.plant.superheat_k
    still = floats(default("still_film_w_m2k"))
    for hose in context.kit.hoses:
        if hose.side == SUCTION and hose.bore_mm and hose.cut_mm:
            bore = hose.bore_mm / 2000
            yield Wall(
                name=hose.name,
                where=f"position:{hose.position}",
                cold_c=gas,
                air_c=airs.outside_c,
                beyond_c=airs.engine_side_c,
                cold_film=np.inf,
                air_film=still,
                bare_m2k_w=0.0,
                radii_m=(bore, bore + default("hose_wall_mm") / 1000),
                pipe_w_mk=default("hose_wall_w_mk"),
                wrap=wrap,
                extent=hose.cut_mm / 1000,
                faces_cabin=False,
                assumed=(STILL, ("Wall of the hose", "hose_wall_mm")),
                bore_origin=of_parts(context, (hose.hose,)),
                length_origin=in_words(hose.routed_origin or "not measured"),
            )


def _unit(context: Context, airs: Airs, wraps: tuple[Wrap, ...]) -> Iterator[Wall]:
    """Expansion valve and casing with its drain pan, both in cabin air."""
    still = floats(default("still_film_w_m2k"))
    parts = context.kit.plant
    if "expansion valve" in parts:
        yield Wall(
            name="Expansion valve",
            where=f"part:{parts['expansion valve'].part}",
            cold_c=airs.evaporating_c,
            air_c=airs.cabin_c,
            beyond_c=airs.cabin_c,
            cold_film=np.inf,
            air_film=still,
            bare_m2k_w=0.0,
            radii_m=None,
            pipe_w_mk=1.0,
            wrap=_round(wraps, VALVE),
            extent=default("valve_area_m2"),
            faces_cabin=True,
            assumed=(STILL, (AREA, "valve_area_m2")),
        )
    wall = default("casing_wall_mm") / 1000 / default("duct_wall_w_mk")
    yield Wall(
        name="Coil casing and drain pan",
        where=f"part:{parts['evaporator'].part}",
        cold_c=airs.off_coil_c,
        air_c=airs.cabin_c,
        beyond_c=airs.cabin_c,
        cold_film=default("duct_air_film_w_m2k"),
        air_film=still,
        bare_m2k_w=wall,
        radii_m=None,
        pipe_w_mk=1.0,
        wrap=_round(wraps, CASING),
        extent=default("casing_area_m2"),
        faces_cabin=True,
        assumed=(*MOVING, ("Wall", "casing_wall_mm"), (AREA, "casing_area_m2")),
    )


def _panels(context: Context, airs: Airs) -> Iterator[Wall]:
    """What sweats or loses cooling only where cold air runs along it, by each square metre.

    The bulkhead counts as the car was surveyed; felt that a kit adds is not taken off.
    """
    cabin = context.case.car.cabin
    at = context.case.car.where.get("cabin", "variant")
    moving, still = default("duct_air_film_w_m2k"), floats(default("still_film_w_m2k"))
    yield Wall(
        name="Dash panel with cold air behind it",
        where=at,
        cold_c=airs.off_coil_c,
        air_c=airs.cabin_c,
        beyond_c=airs.cabin_c,
        cold_film=moving,
        air_film=still,
        bare_m2k_w=0.0,
        radii_m=None,
        pipe_w_mk=1.0,
        wrap=None,
        extent=1.0,
        faces_cabin=True,
        assumed=MOVING,
        is_fitted=False,
    )
    for surface in cabin.surfaces:
        if surface.boundary == "bulkhead" and (surface.u_w_m2k or surface.layers):
            # a bare sheet's U value leaves nothing between the films, which rounding may turn below zero
            own = max(resistance_inward_m2k_w(surface.u_w_m2k, surface.layers) - 1 / CABIN_FILM_W_M2K, 0.0)
            yield Wall(
                name=f"{surface.name or surface.code} as a duct wall",
                where=at,
                cold_c=airs.off_coil_c,
                air_c=airs.engine_side_c,
                beyond_c=airs.engine_side_c,
                cold_film=moving,
                air_film=still,
                bare_m2k_w=own,
                radii_m=None,
                pipe_w_mk=1.0,
                wrap=None,
                extent=1.0,
                faces_cabin=False,
                assumed=MOVING,
                is_fitted=False,
            )
            break
    if any(s.kind == "glass" and s.boundary == "outside" for s in cabin.surfaces):
        pane = default("glass_mm") / 1000 / default("glass_w_mk")
        yield Wall(
            name="Outer face of glass that a vent blows on",
            where=at,
            cold_c=airs.vent_c,
            air_c=airs.outside_c,
            beyond_c=airs.outside_c,
            cold_film=default("blown_glass_film_w_m2k"),
            air_film=airs.outside_film,
            bare_m2k_w=pane,
            radii_m=None,
            pipe_w_mk=1.0,
            wrap=None,
            extent=1.0,
            faces_cabin=False,
            assumed=(("Film on the cold side", "blown_glass_film_w_m2k"), ("Pane", "glass_mm")),
            is_fitted=False,
            helps="no cold air straight on the glass",
        )
