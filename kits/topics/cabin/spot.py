"""Open cars: how fast and how cold a vent's air is when it reaches a face, and which question applies."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from kits.bom.resolved import Finding
from kits.sizing.cabin.spot import (
    inner_surface_c,
    jet_reach_m,
    jet_temperature_c,
    jet_velocity_m_s,
    mean_radiant_c,
    operative_c,
    spot_defaults,
    sun_field_w_m2,
    sun_rise_k,
)
from kits.sizing.case.case import Car, Duty
from kits.sizing.verdict.record import DutyAnswer
from kits.topics.context import Context
from kits.topics.figure import Bar, Figure, Input, Picture, Table, Topic, figure, given
from kits.topics.origins import of_car, of_parts
from kits.topics.per_coil import of_each_coil, remarks_of_each_coil
from vehicles.heatload.films import (
    INSIDE_FILM_W_M2K,
    REFERENCE_OUTSIDE_FILM_W_M2K,
    outside_film_w_m2k,
    resistance_inward_m2k_w,
    sol_air_c,
)
from vehicles.heatload.inputs import BOUNDARIES, AirSide, CabinData, LoadPoint, Seat, Surface
from vehicles.heatload.prepare import engine_temperatures_c
from vehicles.physics.arrays import FloatArray, floats
from vehicles.physics.quantities import celsius, format_number, in_unit, unit_key
from vehicles.physics.sun import on_surface

CODE, TITLE = "spot", "Cooling the people"

ROOM_HOLDS = ("strong enough", "marginal")


@dataclass(frozen=True, kw_only=True)
class Around:
    """What is around the people at a duty point.

    ambient_c  the air a jet draws in: outside air in an open car, else what the cabin comes to with the kit
    field      sunshine taken up, W per m² of skin; radiant_c without it
    """

    duty: Duty
    answer: DutyAnswer
    ambient_c: float
    radiant_c: float
    hottest: str
    hottest_c: float
    transmittance: float
    field_w_m2: float

    @property
    def felt_radiant_c(self) -> float:
        """Mean radiant temperature with the sun's rise."""
        return self.radiant_c + float(sun_rise_k(self.field_w_m2))


@dataclass(frozen=True)
class Reached:
    """What reaches the face of one seat at a duty point, from the weakest to the strongest vent."""

    around: Around
    seat: Seat
    distance_m: float
    velocity_m_s: FloatArray
    temperature_c: FloatArray
    operative_c: FloatArray


def default(key: str) -> float:
    """A value of the data file."""
    return spot_defaults()[key].value


@of_each_coil
def spot(context: Context) -> Topic | None:
    """What reaches the faces in an open car or one with a canvas top; None for a closed car."""
    cabin = context.case.car.cabin
    is_open = _is_open(cabin)
    if not _applies(cabin):
        return None
    at = context.case.car.where.get("cabin", "variant")
    surveyed = [seat for seat in cabin.seats if seat.face_x_mm and seat.face_x_mm > 0]
    arounds = list(_arounds(context, is_open))
    reached = [r for around in arounds for r in _reached(context, around, surveyed)]
    question = _question(context, is_open)
    remarks = tuple(_remarks(context))
    told = [r for r in reached if not _is_too_fast(r.around.duty, is_open)]
    if not told:
        answer = f"{question} What reaches a face is not known: {_why_not(arounds, surveyed)}."
        return Topic(CODE, TITLE, answer, remarks=remarks)
    worst = _worst(told)
    return Topic(
        CODE, TITLE, f"{question} {_sentence(worst)}", figures=_figures(context, worst, is_open, at),
        tables=(_table(told),), remarks=remarks,
        cautions=("The air speed is that of a vent aimed at the face in still air; wind in an open car takes it.",),
        pictures=_pictures(told, worst),
    )  # fmt: skip


def _why_not(arounds: list[Around], surveyed: list[Seat]) -> str:
    if not surveyed:
        return "no seat has the place of its face"
    if not arounds:
        return "no duty point has an answer"
    return f"every duty point is faster than the {default('open_speed_km_h'):g} km/h up to which anything is promised"


def _open_m2(cabin: CabinData) -> float:
    return sum(opening.area_m2 or 0.0 for opening in cabin.openings)


def _is_open(cabin: CabinData) -> bool:
    return _open_m2(cabin) > default("open_area_m2")


def _applies(cabin: CabinData) -> bool:
    """Whether the car is open or has a canvas top."""
    return _is_open(cabin) or any(surface.kind == "canvas" for surface in cabin.surfaces)


def _question(context: Context, is_open: bool) -> str:
    """Which of the two questions applies: the room or the people."""
    if is_open:
        return "The car is open: the question is what reaches the people, not the room."
    if context.record.verdict in ROOM_HOLDS:
        return f"The canvas top is up and the kit is {context.record.verdict} for the room: the room’s verdict applies."
    return f"As a room the kit is {context.record.verdict}: under canvas the question is what reaches the people."


def _arounds(context: Context, is_open: bool) -> Iterator[Around]:
    return (_around(context.case.car, duty, answer, is_open) for duty, answer in _answered(context))


def _answered(context: Context) -> Iterator[tuple[Duty, DutyAnswer]]:
    """The cooling duty points that say what leaves the vents."""
    duties = {duty.code: duty for duty in context.case.duties}
    for answer in context.record.duties:
        duty = duties[answer.code]
        if not duty.climate.is_heating and answer.vent_c is not None and answer.vent_velocity_m_s:
            yield duty, answer


def _around(car: Car, duty: Duty, answer: DutyAnswer, is_open: bool) -> Around:
    climate, cabin = duty.climate, car.cabin
    outside = float(climate.outside_c or 0.0)
    held = answer.holds_c if answer.holds_c is not None else answer.judged_at_c
    ambient = outside if is_open or held is None else held
    surfaces = [s for s in cabin.surfaces if s.boundary != "none" and s.area_m2 and (s.u_w_m2k or s.layers)]
    faces = _faces_c(car, duty, surfaces, ambient)
    area = [s.area_m2 or 0.0 for s in surfaces]
    openings = _open_m2(cabin)
    radiant = float(
        mean_radiant_c([*faces, outside], [*area, openings]) if openings else mean_radiant_c(faces, area)
    )
    tops = [k for k, s in enumerate(surfaces) if s.kind == "canvas"] or list(range(len(surfaces)))
    top = max(tops, key=lambda k: faces[k])
    tau = 1.0 if is_open else max((_passed(s) for s in surfaces if s.kind == "glass"), default=0.0)
    field = sun_field_w_m2(
        beam_w_m2=climate.beam_normal_w_m2 or 0.0, diffuse_w_m2=climate.diffuse_horizontal_w_m2 or 0.0,
        sun_altitude_deg=max(climate.sun_altitude_deg or 0.0, 0.0),
        sun_from_front_deg=_off_front_deg(climate.heading_deg), transmittance=tau,
        exposed_share=default("exposed_share"),
        sky_share=default("sky_share_open" if is_open else "sky_share_closed"), absorptance=default("absorptance"),
        ground_reflectance=default("ground_reflectance"),
    )  # fmt: skip
    name = surfaces[top].name or surfaces[top].code
    return Around(
        duty=duty, answer=answer, ambient_c=ambient, radiant_c=radiant, hottest=name, hottest_c=float(faces[top]),
        transmittance=tau, field_w_m2=float(field),
    )  # fmt: skip


def _passed(surface: Surface) -> float:
    return (surface.transmittance or 0.0) * surface.shade_factor


def _off_front_deg(heading_deg: float | None) -> float:
    """Angle between the sun and the way the people face; a duty point without a heading has the sun ahead."""
    turned = (heading_deg or 0.0) % 360
    return min(turned, 360 - turned)


def _faces_c(car: Car, duty: Duty, surfaces: list[Surface], inside_c: float) -> FloatArray:
    """Temperature of the inner face of each surface, °C."""
    climate = duty.climate
    beyond, _ = engine_temperatures_c(
        LoadPoint(car.cabin, car.engine, climate, AirSide(None, None, None, None))
    )
    outdoors = np.array([s.boundary == "outside" for s in surfaces])
    film = np.where(
        outdoors, outside_film_w_m2k(climate.road_speed_km_h or 0.0), REFERENCE_OUTSIDE_FILM_W_M2K
    )
    resistance = floats([resistance_inward_m2k_w(s.u_w_m2k, s.layers) for s in surfaces])
    light = on_surface(
        climate.beam_normal_w_m2 or 0.0,
        climate.diffuse_horizontal_w_m2 or 0.0,
        climate.sun_altitude_deg or 0.0,
        floats([s.tilt_deg or 0.0 for s in surfaces]),
        (climate.heading_deg or 0.0) + floats([s.facing_deg or 0.0 for s in surfaces]),
        climate.ground_reflectance,
    )
    absorbed = floats([s.absorptance or 0.0 for s in surfaces])
    sunlit = sol_air_c(climate.outside_c or 0.0, absorbed, light.total, film)
    behind = floats([beyond[BOUNDARIES.index(s.boundary)] for s in surfaces])
    # a bare sheet's U value may, by rounding, leave less than the inside film it contains
    u = np.minimum(1 / (1 / film + resistance), INSIDE_FILM_W_M2K)
    return inner_surface_c(np.where(outdoors, sunlit, behind), inside_c, u, INSIDE_FILM_W_M2K)


def _reached(context: Context, around: Around, seats: list[Seat]) -> Iterator[Reached]:
    """Each seat's face, from every vent: which vent is aimed at whom is not in the data."""
    area = {o.code: o.free_area_cm2 * 1e-4 for o in context.case.unit.air_path.outlets}
    vents = [(v, area[code]) for code, v in around.answer.vent_velocity_m_s.items() if code in area]
    vents.sort(key=lambda vent: vent[0] * vent[1] ** 0.5)
    outlet, free = floats(vents).T
    k, share = default("jet_constant"), default("jet_temperature_share")
    for seat in seats:
        x = (seat.face_x_mm or 0.0) / 1000
        velocity = jet_velocity_m_s(outlet, free, x, k)
        temperature = jet_temperature_c(around.answer.vent_c or 0.0, around.ambient_c, free, x, k, share)
        felt = operative_c(temperature, around.felt_radiant_c, velocity)
        yield Reached(around, seat, x, velocity, temperature, felt)


def _is_too_fast(duty: Duty, is_open: bool) -> bool:
    return is_open and (duty.climate.road_speed_km_h or 0.0) > default("open_speed_km_h")


def _worst(told: list[Reached]) -> Reached:
    """The seat and duty point that feel hottest, among the required duty points where there are any."""
    asked = [r for r in told if r.around.duty.required] or told
    return max(asked, key=lambda r: float(r.operative_c.min()))


def _span(key: str, values: FloatArray, decimals: int) -> str:
    """From the least to the most with one unit: "1.9 to 2.8 m/s"."""
    low, high = float(values.min()), float(values.max())
    texts = [format_number(v, decimals) for v in (low, high)]
    unit = in_unit(key, high).rpartition(" ")[2]
    return f"{texts[0]} {unit}" if texts[0] == texts[1] else f"{texts[0]} to {texts[1]} {unit}"


def _sentence(worst: Reached) -> str:
    velocity, air = _span("m_s", worst.velocity_m_s, 1), _span("c", worst.temperature_c, 0)
    return (
        f"At “{worst.around.duty.name}” the air reaches the face at {velocity} and {air} (seat {worst.seat.code}); "
        f"with sun and warm surfaces it feels like {_span('c', worst.operative_c, 0)}."
    )


def _table(told: list[Reached]) -> Table:
    rows = tuple(
        (
            r.around.duty.name, r.seat.code, f"{r.distance_m:.2f}", _span("m_s", r.velocity_m_s, 1),
            _span("c", r.temperature_c, 0), format_number(r.around.felt_radiant_c, 0), _span("c", r.operative_c, 0),
        )
        for r in told
    )  # fmt: skip
    heads = (
        "duty point", "seat", "from the dash, m", "reaches the face at", "and", "surroundings with sun, °C",
        "feels like",
    )  # fmt: skip
    return Table("What reaches each face, from the weakest to the strongest vent", heads, rows)


def _pictures(told: list[Reached], worst: Reached) -> tuple[Picture, ...]:
    """What the strongest vent brings to each face at the duty point that is told."""
    here = [r for r in told if r.around is worst.around]
    at = worst.around.duty.name
    felt_from = default("felt_velocity_m_s")
    speeds = tuple(
        Bar(f"seat {r.seat.code}", round(speed, 2), in_unit("m_s", speed), felt_from)
        for r in here
        for speed in [float(r.velocity_m_s[-1])]
    )
    airs = tuple(
        Bar(f"seat {r.seat.code}: {label}", round(value, 1), celsius(value))
        for r in here
        for label, value in (("air", float(r.temperature_c[-1])), ("feels like", float(r.operative_c[-1])))
    )
    told_speeds, told_airs = ("; ".join(f"{b.label} {b.text}" for b in bars) for bars in (speeds, airs))
    limit = f"the limit is the least that is felt, {in_unit('m_s', felt_from)}"
    speed_axis, air_axis = f"air speed at the face, m/s; {limit}", "temperature, °C"
    caption = f"at the face, strongest vent: {at}"
    return (
        Picture("face-speed", f"Air speed {caption}", f"{told_speeds}; {limit}.", speed_axis, bars=speeds),
        Picture("face-air", f"Air {caption}", f"{told_airs}.", air_axis, bars=airs),
    )


def _assumed(label: str, key: str) -> Input:
    row = spot_defaults()[key]
    return given(label, unit_key(key), row.value, f"assumed: {row.source}")


def _figures(context: Context, worst: Reached, is_open: bool, at: str) -> tuple[Figure, ...]:
    """The figures of the seat and duty point that are told, by the vent that carries farthest."""
    around, climate = worst.around, worst.around.duty.climate
    outlets = {o.code: o.free_area_cm2 for o in context.case.unit.air_path.outlets}
    code, outlet = max(around.answer.vent_velocity_m_s.items(), key=lambda v: v[1] * outlets[v[0]] ** 0.5)
    free, vent = outlets[code], context.vent_parts()[code]
    k, felt_from = _assumed("Constant of the vent", "jet_constant"), default("felt_velocity_m_s")
    jet = (
        given("Duty point", "", around.duty.name, "duty point", f"duty:{around.duty.code}"),
        given("Strongest vent: air speed", "m_s", outlet, "calculated, as sized"),
        given("Its free area", "cm2", free, of_parts(context, (vent,)), f"part:{vent}"),
        given("Face behind the dash line", "m", worst.distance_m, f"assumed as the distance from a vent at "
              f"the dash line: the place of the vents is not in the data; seat {worst.seat.code} as surveyed", at),
        k,
    )  # fmt: skip
    judged = around.answer.judged_at_c
    at_cabin = "" if judged is None else f" with {celsius(judged)} in the cabin"
    held = "outside air of the duty point" if is_open else "what the cabin comes to with the kit"
    warm = (
        jet[0],
        *jet[2:],
        given("Air at the vents", "c", around.answer.vent_c, f"calculated, as sized{at_cabin}"),
        given("Air it draws in", "c", around.ambient_c, held),
        _assumed("Share left of the temperature difference", "jet_temperature_share"),
    )
    sky = "sky_share_open" if is_open else "sky_share_closed"
    sun = (
        given("Beam", "w_m2", climate.beam_normal_w_m2, "duty point"),
        given("Diffuse", "w_m2", climate.diffuse_horizontal_w_m2, "duty point"),
        given("Sun’s altitude", "deg", climate.sun_altitude_deg, "duty point"),
        given("Sun off the front", "deg", _off_front_deg(climate.heading_deg),
              "duty point" if climate.heading_deg is not None else "assumed: the sun ahead"),
        given("Passed by the glass", "", around.transmittance, "open" if is_open else "clearest pane", at),
        *(_assumed(label, key) for label, key in (
            ("Body in the sun", "exposed_share"), ("Sky seen", sky), ("Absorbed", "absorptance"),
            ("Thrown back by the ground", "ground_reflectance"))),
    )  # fmt: skip
    hottest = given(f"Hottest of them: {around.hottest}", "c", around.hottest_c, "calculated", at)
    roof = (
        given("Inside", "c", around.ambient_c, held),
        given("Outside", "c", climate.outside_c, "duty point"),
        given("Road speed", "km_h", climate.road_speed_km_h, "duty point"),
        given("Its U value and absorptance", "", "as surveyed", of_car(context, "cabin"), at),
    )
    rise = float(sun_rise_k(around.field_w_m2))
    strongest_c, fastest = float(worst.temperature_c[-1]), float(worst.velocity_m_s[-1])
    reach: tuple[Figure, ...] = ()
    if outlet >= felt_from:
        far = jet_reach_m(outlet, free * 1e-4, felt_from, default("jet_constant"))
        label = f"Reach of the strongest vent with {in_unit('m_s', felt_from)}"
        reach = (figure(label, "m", float(far), jet_reach_m, *jet[:3], k),)
    return (
        figure(f"Reaches the face at ({worst.seat.code})", "m_s", fastest, jet_velocity_m_s, *jet),
        figure(f"Air at that face ({worst.seat.code})", "c", strongest_c, jet_temperature_c, *warm),
        *reach,
        figure(f"Inner face: {around.hottest}", "c", around.hottest_c, inner_surface_c, *roof),
        figure("Warm surfaces around", "c", around.radiant_c, mean_radiant_c, hottest),
        figure("Sun on lap and torso", "w_m2", around.field_w_m2, sun_field_w_m2, *sun),
        figure("What that sun is worth", "k", rise, sun_rise_k,
               given("Sun", "w_m2", around.field_w_m2, "calculated")),
        figure("Feels like, at the strongest vent", "c", float(worst.operative_c[-1]), operative_c,
               given("Air", "c", strongest_c, "calculated"),
               given("Surroundings with sun", "c", around.felt_radiant_c, "calculated"),
               given("Air speed", "m_s", fastest, "calculated")),
    )  # fmt: skip


def _remarks(context: Context) -> Iterator[Finding]:
    cabin, at = context.case.car.cabin, context.case.car.where.get("cabin", "variant")
    if _applies(cabin):
        yield from _unsurveyed(cabin, at)
    if _is_open(cabin):
        yield from _too_fast((duty for duty, _ in _answered(context)), at)


remarks = remarks_of_each_coil(_remarks)


def _unsurveyed(cabin: CabinData, at: str) -> Iterator[Finding]:
    for seat in cabin.seats:
        if not seat.face_x_mm or seat.face_x_mm <= 0:
            sentence = f"Seat {seat.code} has no place of the face: what reaches it is not known."
            yield Finding("face_not_surveyed", "warns", at, sentence)


def _too_fast(duties: Iterable[Duty], at: str) -> Iterator[Finding]:
    fast = [duty.name for duty in duties if _is_too_fast(duty, is_open=True)]
    if fast:
        limit = default("open_speed_km_h")
        sentence = f"Nothing is promised in an open car above {limit:g} km/h: {'; '.join(fast)}."
        yield Finding("too_fast_open", "notes", at, sentence)
