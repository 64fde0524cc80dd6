"""The fitment in other weather and at other engine speeds: up to which outside temperature it carries the load."""

import numpy as np

from kits.sizing.verdict.outlook import STOPPED, carries, crossing_c, steps, weather
from kits.sizing.verdict.record import LIMIT_WORDS, Outlook, Reach
from kits.topics.context import Context
from kits.topics.figure import Figure, Line, Picture, Spot, Table, Topic, figure, given
from kits.topics.pieces import percent
from vehicles.physics.quantities import celsius, signed_percent

CODE, TITLE = "outlook", "In other weather"
ESTIMATE = (
    "Only outside temperature and engine speed change: sun, road speed, people and the water in the air outside stay "
    "as at the duty point, as far as colder air can hold it."
)
HEADS = ("outside, °C", "load, kW", "capacity, kW", "margin", "what holds it", "head, bar g", "state")


def outlook(context: Context) -> Topic | None:
    """The topic of a fitment's outlook; None where no required duty point on the road was solved."""
    found = context.record.outlook
    if found is None:
        return None
    return Topic(
        CODE,
        TITLE,
        _answer(found),
        figures=_figures(context, found),
        tables=(_curve_table(found), _map_table(context, found)),
        cautions=(ESTIMATE,),
        pictures=(_picture(found),) if any(r.load_w is not None for r in found.curve) else (),
    )


def _answer(o: Outlook) -> str:
    at = f"At “{o.name}” in other weather the kit"
    hottest, coldest = o.curve[-1], o.curve[0]
    if o.crossing_c is not None:
        held = celsius(o.judged_at_c)
        return f"{at} carries the load up to {celsius(o.crossing_c)} outside, with {held} in the cabin."
    if carries(hottest):
        return f"{at} still carries the load at {celsius(hottest.outside_c)} outside, the hottest looked at."
    if not any(carries(r) for r in o.curve):
        return f"{at} does not carry the load, not even at {celsius(coldest.outside_c)} outside."
    last = max((r for r in o.curve if carries(r)), key=lambda r: r.outside_c)
    after = next((r for r in o.curve if r.outside_c > last.outside_c), last)
    return (
        f"{at} carries the load at {celsius(last.outside_c)} outside; at {celsius(after.outside_c)} nothing balances: "
        f"{after.reason}"
    )


def _figures(context: Context, o: Outlook) -> tuple[Figure, ...]:
    duty = next(d for d in context.case.duties if d.code == o.code)
    stays = (
        given("duty point", "", duty.name, "as required"),
        given("water outside", "kg_kg", o.outside_kg_kg, "from the duty point"),
        given("steps", "", f"{len(o.curve)}, {_kelvin(o)} K apart", "chosen"),
    )
    cut_out = given(
        "high cut-out", "bar_g", context.kit.settings.get("high_cut_out_bar_g"), "as the kit states", "kit"
    )
    crossing = figure("Load carried up to, outside", "c", o.crossing_c, crossing_c, *stays, cut_out)
    driest = weather(duty.climate, o.curve[0].outside_c)
    humidity = Figure(
        f"Humidity outside at {celsius(o.curve[0].outside_c)}", percent(driest.rh or 0.0),
        f"{weather.__module__}:{weather.__qualname__}", stays[:2],
    )  # fmt: skip
    return crossing, humidity


def _kelvin(o: Outlook) -> str:
    return f"{o.curve[1].outside_c - o.curve[0].outside_c:g}" if len(o.curve) > 1 else "–"


def _kw(watts: float | None) -> str:
    return "not known" if watts is None else f"{watts / 1000:.1f}"


def _curve_table(o: Outlook) -> Table:
    rows = tuple(
        (
            f"{r.outside_c:.0f}",
            _kw(r.load_w),
            _kw(r.capacity_w),
            "–" if r.margin_share is None else signed_percent(r.margin_share),
            LIMIT_WORDS.get(r.limit, "–"),
            "–" if r.high_side_bar_g is None else f"{r.high_side_bar_g:.1f}",
            _state(r),
        )
        for r in o.curve
    )
    return Table(f"Load and capacity, {o.name}", HEADS, rows)


def _state(r: Reach) -> str:
    if r.margin_share is None:
        return f"not solved: {r.reason}"
    if r.status in STOPPED:
        return f"stops: {r.status}"
    return "carries the load" if carries(r) else "too little"


def _map_table(context: Context, o: Outlook) -> Table:
    """Capacity and what holds it, outside temperature down, speed across."""
    columns = len(steps().engine_shares)
    speeds = tuple(f"{r.rpm:,.0f} rpm" if r.rpm is not None else "–" for r in o.grid[:columns])
    rows = tuple(
        (f"{o.grid[i].outside_c:.0f} °C", *(_cell(r) for r in o.grid[i : i + columns]))
        for i in range(0, len(o.grid), columns)
    )
    whose = "compressor" if context.case.plant.compressor.electric else "engine"
    return Table(
        f"Capacity over outside temperature and speed of the {whose}, {o.name}", ("outside", *speeds), rows
    )


def _cell(r: Reach) -> str:
    if r.capacity_w is None:
        return "not solved"
    if r.status in STOPPED:
        return f"stops: {r.status}"
    enough = "enough" if carries(r) else "too little"
    return f"{r.capacity_w / 1000:.1f} kW, {LIMIT_WORDS.get(r.limit, 'nothing')}, {enough}"


def _picture(o: Outlook) -> Picture:
    known = [r for r in o.curve if r.load_w is not None and r.capacity_w is not None]
    x = tuple(r.outside_c for r in known)
    loads, heats = (
        tuple((r.load_w or 0.0) / 1000 for r in known),
        tuple((r.capacity_w or 0.0) / 1000 for r in known),
    )
    spots: tuple[Spot, ...] = ()
    if o.crossing_c is not None:
        spots = (
            Spot(f"carried up to {celsius(o.crossing_c)}", o.crossing_c, _between(x, heats, o.crossing_c)),
        )
    words = (
        f"Load and capacity over outside temperature at “{o.name}”: "
        + "; ".join(
            f"{t:.0f} °C load {q:.1f}, capacity {c:.1f} kW" for t, q, c in zip(x, loads, heats, strict=True)
        )
        + f". {_answer(o)}"
    )
    lines = (Line("load", x, loads, "main"), Line("capacity", x, heats, "other"))
    return Picture(
        "crossing",
        f"Load and capacity in other weather, {o.name}",
        words,
        "outside, °C",
        y_label="kW",
        lines=lines,
        spots=spots,
    )


def _between(x: tuple[float, ...], y: tuple[float, ...], at: float) -> float:
    return float(np.interp(at, x, y))
