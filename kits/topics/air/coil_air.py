"""The cabin's air through the coil on a psychrometric picture, at the duty point that decides."""

import numpy as np

from kits.sizing.verdict.record import DutyAnswer
from kits.topics.air.air_points import AirPoint, air_points, bypass_share, condensate_kg_h, sensible_share
from kits.topics.context import Context
from kits.topics.figure import Figure, Line, Picture, Spot, Table, Topic, figure, given
from kits.topics.per_coil import of_each_coil
from kits.topics.pieces import governing, percent, told
from vehicles.physics.air import humidity_ratio, pressure_from_altitude_pa, relative_humidity
from vehicles.physics.quantities import in_unit

CODE, TITLE = "coil-air", "Air through the coil"
HEADS = ("where", "°C", "water, g/kg", "relative humidity, %")
ON_THE_WAY = ("cabin", "into the coil", "off the coil", "at the vents")
HALF = 0.5
STEP_C = 1.0


@of_each_coil
def coil_air(context: Context) -> Topic | None:
    """The topic of the air's states; None where no duty point was solved."""
    main = governing(context.record)
    if main is None:
        return None
    climate = next(d.climate for d in context.case.duties if d.code == main.code)
    points = air_points(climate, main)
    pressure_pa = float(pressure_from_altitude_pa(climate.altitude_m or 0.0))
    return Topic(
        CODE,
        TITLE,
        _answer(main),
        figures=_figures(main),
        tables=(_table(main, points, pressure_pa),),
        pictures=(_picture(main, points, pressure_pa),),
    )


def _answer(a: DutyAnswer) -> str:
    share = float(sensible_share(a.capacity_sensible_w or 0.0, a.capacity_w or 0.0))
    water = f"{in_unit('kg_h', a.condensate_kg_h or 0.0)} of water run off"
    if not (a.condensate_kg_h or 0.0) > 0:
        water = "the coil stays dry"
    return (
        f"At “{a.name}” the coil cools {a.airflow_m3_h:.0f} m³/h from {a.air_in_c:.0f} to {a.air_off_c:.0f} °C: "
        f"{percent(share)} of its {in_unit('kw', (a.capacity_w or 0.0) / 1000)} lower the temperature, {water}. "
        f"The cabin settles at {percent(a.cabin_humidity_share or 0.0)} humidity."
    )


def _figures(a: DutyAnswer) -> tuple[Figure, ...]:
    share = float(sensible_share(a.capacity_sensible_w or 0.0, a.capacity_w or 0.0))
    bypass = float(bypass_share(a.air_in_c or 0.0, a.air_off_c or 0.0, a.surface_c or 0.0))
    air_in, off, fins = (
        given(label, "c", value, "sized")
        for label, value in (
            ("into the coil", a.air_in_c),
            ("off the coil", a.air_off_c),
            ("fins", a.surface_c),
        )
    )
    flow = a.coil_air_kg_s or 0.0
    wet_in, wet_off = a.air_in_kg_kg or 0.0, a.air_off_kg_kg or 0.0
    return (
        told(
            f"Share of the cooling that lowers the temperature, {a.name}", percent(share), sensible_share,
            given("sensible capacity", "w", a.capacity_sensible_w, "sized"),
            given("capacity", "w", a.capacity_w, "sized"),
        ),
        figure(
            f"Water off the coil, {a.name}", "kg_h", float(condensate_kg_h(flow, wet_in, wet_off)), condensate_kg_h,
            given("dry air", "kg_s", flow, "sized"),
            given("water before the coil", "kg_kg", wet_in, "sized"),
            given("water behind it", "kg_kg", wet_off, "sized"),
        ),
        told(
            f"Air that passes as if untouched, {a.name}", percent(bypass), bypass_share, air_in, off, fins,
        ),
    )  # fmt: skip


def _number(value: float, decimals: int) -> str:
    return f"{value:.{decimals}f}".replace("-", "\N{MINUS SIGN}")


def _table(a: DutyAnswer, points: tuple[AirPoint, ...], pressure_pa: float) -> Table:
    rows = tuple(
        (
            p.place,
            _number(p.temperature_c, 1),
            _number(1000 * p.humidity_kg_kg, 1),
            _number(100 * float(relative_humidity(p.temperature_c, p.humidity_kg_kg, pressure_pa)), 0),
        )
        for p in points
    )
    return Table(f"Air at “{a.name}”", HEADS, rows)


def _picture(a: DutyAnswer, points: tuple[AirPoint, ...], pressure_pa: float) -> Picture:
    temperatures = [p.temperature_c for p in points]
    wettest = 1000 * max(p.humidity_kg_kg for p in points)
    t = np.arange(np.floor(min(temperatures)) - 2, np.ceil(max(temperatures)) + 2 + STEP_C / 2, STEP_C)
    by_place = {p.place: p for p in points}
    way = [by_place[place] for place in ON_THE_WAY]
    lines = (
        _humidity_line("saturated", t, 1.0, pressure_pa, wettest),
        _humidity_line("50 % humidity", t, HALF, pressure_pa, wettest),
        _air_line("into the coil from outside", [by_place["outside"], by_place["into the coil"]], "other"),
        _air_line("towards the fins", [by_place["off the coil"], by_place["at the fins"]], "other"),
        _air_line(a.name, way, "main"),
    )
    spots = tuple(Spot(p.place, p.temperature_c, 1000 * p.humidity_kg_kg) for p in points)
    said = "; ".join(
        f"{p.place} {_number(p.temperature_c, 0)} °C, {_number(1000 * p.humidity_kg_kg, 1)} g/kg"
        for p in points
    )
    return Picture(
        "psychrometric", f"Air at “{a.name}”", f"Water in the air over its temperature: {said}.",
        "temperature, °C", y_label="water in dry air, g/kg", lines=lines, spots=spots,
    )  # fmt: skip


def _air_line(label: str, points: list[AirPoint], weight: str) -> Line:
    x = tuple(p.temperature_c for p in points)
    return Line(
        label, x, tuple(1000 * p.humidity_kg_kg for p in points), "main" if weight == "main" else "other"
    )


def _humidity_line(label: str, t: np.ndarray, rh: float, pressure_pa: float, wettest: float) -> Line:
    """A line of one relative humidity, as far up as the air of the picture is wet."""
    w = 1000 * np.asarray(humidity_ratio(t, rh, pressure_pa))
    shown = w <= 1.15 * wettest
    return Line(label, tuple(map(float, t[shown])), tuple(map(float, w[shown])), "thin")
