"""The sun by place, date and hour: the worst hour and heading of a design day beside the duty point as fixed."""

from collections.abc import Iterator
from dataclasses import dataclass

from kits.bom.mending import new_row
from kits.bom.resolved import Finding
from kits.sizing.case.case import Duty
from kits.sizing.verdict.record import DutyAnswer
from kits.topics.context import Context
from kits.topics.figure import Figure, Input, Line, Picture, Spot, Table, Topic, figure, given
from vehicles.heatload.inputs import AirSide, CabinData, LoadPoint, SiteHour
from vehicles.heatload.sweep import HEADING_WORDS, HOURS, Sweep, design_day_sweep
from vehicles.physics.air import humidity_ratio, pressure_from_altitude_pa
from vehicles.physics.design_day import DesignDay, sun_of_day
from vehicles.physics.quantities import in_unit

CODE, TITLE = "sun", "Sun by place and hour"
MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
    "December",
)  # fmt: skip
CAUTION = "A clear sky and each hour as a steady state: a cabin warms up later than the sun says, and cools down later."


@dataclass(frozen=True, kw_only=True)
class Swept:
    """A duty point at a site, its answer, and the loads of its design day."""

    cabin: CabinData
    cabin_at: str
    duty: Duty
    at: SiteHour
    day: DesignDay
    answer: DutyAnswer
    sweep: Sweep

    @property
    def date(self) -> str:
        """Day and month in words."""
        return f"{self.day.day} {MONTHS[self.day.month - 1]}"


def sun(context: Context) -> Topic | None:
    """The topic of a fitment whose duty points have a site; None where none has one."""
    placed = _placed(context)
    if not placed:
        return None
    answers = {answer.code: answer for answer in context.record.duties}
    tried = [_swept(context, duty, at, answers.get(duty.code)) for duty, at in placed]
    swept = [one for one in tried if one is not None]
    told = tuple(remarks(context))
    if not swept:
        answer = "The sun by the hour says nothing yet: no duty point at a site is sized."
        return Topic(CODE, TITLE, answer, remarks=told)
    return Topic(
        CODE, TITLE, " ".join(_answer(one) for one in swept),
        figures=tuple(found for one in swept for found in _figures(one)),
        tables=tuple(_table(one) for one in swept), remarks=told, cautions=(CAUTION,),
        pictures=tuple(_picture(one, number) for number, one in enumerate(swept, start=1)),
    )  # fmt: skip


def remarks(context: Context) -> Iterator[Finding]:
    """Duty points whose site has no design state of their month."""
    return (_without_day(duty, at) for duty, at in _placed(context) if at.design_day is None)


def _placed(context: Context) -> list[tuple[Duty, SiteHour]]:
    """The cooling duty points that have a site."""
    return [
        (d, d.climate.at_site) for d in context.case.duties if d.climate.at_site and not d.climate.is_heating
    ]


def _swept(context: Context, duty: Duty, at: SiteHour, answer: DutyAnswer | None) -> Swept | None:
    """The sweep with the cabin and the air side as the duty point was answered; None where it was not."""
    if at.design_day is None or answer is None:
        return None
    cabin_c, rh, flow, terms = (
        answer.judged_at_c, answer.cabin_humidity_share, answer.intake_air_m3_h, answer.sensible_w_by_term,
    )  # fmt: skip
    if cabin_c is None or rh is None or flow is None or answer.load_w is None:
        return None
    car = context.case.car
    air_side = AirSide(flow, terms["blower"], terms["duct"], terms["matrix"])
    point = LoadPoint(car.cabin, car.engine, duty.climate, air_side)
    pressure_pa = pressure_from_altitude_pa(duty.climate.altitude_m or 0.0)
    cabin_w = float(humidity_ratio(cabin_c, rh, pressure_pa))
    sweep = design_day_sweep(point, at.design_day, cabin_c, cabin_w)
    return Swept(
        cabin=car.cabin,
        cabin_at=car.where.get("cabin", ""),
        duty=duty,
        at=at,
        day=at.design_day,
        answer=answer,
        sweep=sweep,
    )


def _without_day(duty: Duty, at: SiteHour) -> Finding:
    text = (
        f"“{duty.name}” is at {at.site.name}, which has no design state of {MONTHS[at.month - 1]}: enter one."
    )
    mend = new_row("Design states", "dry_bulb_max_c", site=at.site.code, month=at.month)
    return Finding("design-state-missing", "warns", f"duty:{duty.code}", text, mend)


def _kw(watts: float) -> str:
    return in_unit("kw", watts / 1000)


def _hour(hour_h: float) -> str:
    """An hour of the day: 15:00."""
    minutes = round(hour_h * 60)
    return f"{minutes // 60}:{minutes % 60:02d}"


def _answer(one: Swept) -> str:
    outside = in_unit("c", one.duty.climate.outside_c or 0.0)
    return (
        f"“{one.duty.name}”: at {one.at.site.name} on {one.date} the load is greatest at "
        f"{_hour(one.sweep.worst_hour_h)} with the car heading {one.sweep.worst_heading}, {_kw(one.sweep.worst_w)}; "
        f"as the duty point stands ({_hour(one.at.hour_h)}, {outside} outside) it is {_kw(one.answer.load_w or 0.0)}."
    )


def _degrees(value: float, positive: str, negative: str) -> str:
    return f"{abs(value):.2f}° {positive if value >= 0 else negative}"


def _place_inputs(one: Swept) -> tuple[Input, ...]:
    site, where = one.day.site, f"site:{one.day.site.code}"
    offset = f"{site.utc_offset_h:+g} h".replace("-", "\N{MINUS SIGN}")
    return (
        given("latitude", "", _degrees(site.latitude_deg, "north", "south"), site.origin, where),
        given("longitude", "", _degrees(site.longitude_deg, "east", "west"), site.origin, where),
        given("standard time off universal time", "", offset, site.origin, where),
    )


def _sky_inputs(one: Swept) -> tuple[Input, ...]:
    day, where = one.day, f"design:{one.day.site.code}/{one.day.month}"
    return (
        given("date", "", one.date, day.origin, where),
        given("optical depth of the beam", "", day.beam_tau, day.origin, where),
        given("optical depth of the diffuse light", "", day.diffuse_tau, day.origin, where),
    )


def _air_inputs(one: Swept) -> tuple[Input, ...]:
    day, where = one.day, f"design:{one.day.site.code}/{one.day.month}"
    site = day.site
    at_cabin = f"calculated: {one.duty.name}, as sized"
    glass = sum(surface.kind == "glass" for surface in one.cabin.surfaces)
    return (
        given("surfaces", "", f"{len(one.cabin.surfaces)}, {glass} of glass", "from the cabin", one.cabin_at),
        given("highest temperature of the day", "c", day.dry_bulb_max_c, day.origin, where),
        given("daily range", "k", day.daily_range_k, day.origin, where),
        given("humidity ratio", "kg_kg", day.humidity_kg_kg, day.origin, where),
        given("altitude", "", f"{site.altitude_m:,.0f} m", site.origin, f"site:{site.code}"),
        given(
            "reflectance of the ground", "", f"{site.ground_reflectance:g}", site.origin, f"site:{site.code}"
        ),
        given("cabin", "c", one.answer.judged_at_c, at_cabin),
        given(
            "humidity in the cabin", "", f"{100 * (one.answer.cabin_humidity_share or 0.0):.0f} %", at_cabin
        ),
        given("air flow", "m3_h", one.answer.intake_air_m3_h, at_cabin),
    )


def _figures(one: Swept) -> tuple[Figure, ...]:
    name, sweep, climate = one.duty.name, one.sweep, one.duty.climate
    of_day = (*_place_inputs(one), *_sky_inputs(one), *_air_inputs(one))
    of_hour = (
        *_place_inputs(one),
        *_sky_inputs(one),
        given("hour, standard time", "", _hour(one.at.hour_h), "duty point", f"duty:{one.duty.code}"),
    )
    function = f"{design_day_sweep.__module__}:{design_day_sweep.__qualname__}"
    share = 100 * (sweep.worst_w / (one.answer.load_w or float("nan")) - 1)
    above = f"{share:+.0f} %".replace("-", "\N{MINUS SIGN}")
    return (
        figure(f"Greatest load of the day, {name}", "w", sweep.worst_w, design_day_sweep, *of_day),
        Figure(f"Its hour, {name}", _hour(sweep.worst_hour_h), function, of_day),
        Figure(f"Its heading, {name}", sweep.worst_heading, function, of_day),
        Figure(f"Greatest load against the duty point’s, {name}", above, function, (
            given("load of the duty point", "w", one.answer.load_w, "calculated: as sized"),
        )),
        figure(f"Sun’s altitude at the duty point, {name}", "deg", climate.sun_altitude_deg, sun_of_day, *of_hour),
        figure(f"Beam at the duty point, {name}", "w_m2", climate.beam_normal_w_m2, sun_of_day, *of_hour),
        figure(f"Diffuse sunshine at the duty point, {name}", "w_m2", climate.diffuse_horizontal_w_m2, sun_of_day,
               *of_hour),
    )  # fmt: skip


def _table(one: Swept) -> Table:
    """The hours with sun: air, sun, and the heading with the greatest load."""
    weather, load = one.sweep.weather, one.sweep.load_w
    rows = tuple(
        (
            _hour(weather.hour_h[i]),
            in_unit("c", weather.outside_c[i]),
            in_unit("deg", weather.sun.altitude_deg[i]),
            in_unit("w_m2", weather.sun.beam_normal_w_m2[i]),
            HEADING_WORDS[int(load[i].argmax())],
            in_unit("w", load[i].max()),
            in_unit("w", load[i].min()),
        )
        for i in range(HOURS.size)
        if weather.sun.beam_normal_w_m2[i] > 0
    )
    heads = ("hour", "outside", "sun over the horizon", "beam", "worst heading", "load there", "least load")
    return Table(f"{one.day.site.name}, {one.date}: {one.duty.name}", heads, rows)


def _picture(one: Swept, number: int) -> Picture:
    weather, load = one.sweep.weather, one.sweep.load_w / 1000
    hours = tuple(float(h) for h in weather.hour_h)
    words = (
        f"The load over {one.date} at {one.day.site.name}, at the worst and at the best heading of each hour: at most "
        f"{_kw(one.sweep.worst_w)} at {_hour(one.sweep.worst_hour_h)}, heading {one.sweep.worst_heading}."
    )
    worst = Line("worst heading", hours, tuple(float(v) for v in load.max(axis=1)))
    best = Line("best heading", hours, tuple(float(v) for v in load.min(axis=1)), "other")
    spot = Spot(f"heading {one.sweep.worst_heading}", one.sweep.worst_hour_h, one.sweep.worst_w / 1000)
    return Picture(
        f"day-{number}", f"Load over the day: {one.duty.name}", words, "standard time, h", y_label="load, kW",
        lines=(worst, best), spots=(spot,),
    )  # fmt: skip
