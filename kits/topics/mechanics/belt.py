"""The belt drive of a fitment: layout, compressor speeds, pull, and what the engine has to bear."""

from dataclasses import dataclass, replace

import numpy as np

from kits.sizing.case.case import Case, Point, PulleyAt
from kits.sizing.mechanics import belt as b
from kits.sizing.words.figure import Figure, Remark, Table, Topic, figure, given
from kits.topics.context import Context
from kits.topics.mechanics.belt_engine import (
    coolant_figures,
    coolant_remarks,
    idle_remarks,
    idle_torque,
    idle_torque_nm,
    of_compressor,
    speed_figures,
    speed_remarks,
    speed_table,
)
from kits.topics.mends import added_to, of_part, of_place

CODE, TITLE = "belt", "Belt and engine"

HEADS = (
    "pulley",
    "diameter, mm",
    "groove",
    "side",
    "wrap, °",
    "free to the next, mm",
    "offset, mm per 200 mm",
)
GENERATORS = ("dynamo", "alternator", "generator")
MOVING = "Moving belts and fans: engine off and key out before a hand goes near; check wrap, plane and tension first."


@dataclass(frozen=True)
class Layout:
    """The pulleys of one belt in its order with the belt's way over them; no way where they can't carry one."""

    pulleys: tuple[PulleyAt, ...]
    run: b.BeltRun | None
    offset_mm: tuple[float | None, ...] = ()
    """per 200 mm of the free length to the next pulley"""
    name: str = "the belt"

    def named(self, *names: str) -> int | None:
        """Place in the belt's order of the first pulley whose code has one of the names in it."""
        found = (i for i, p in enumerate(self.pulleys) if any(n in p.code.casefold() for n in names))
        return next(found, None)

    @property
    def wrapped(self) -> list[tuple[str, int]]:
        """The pulleys whose wrap is judged, by their names and places in the belt's order."""
        found = (("compressor", self.named("compressor")), ("generator", self.named(*GENERATORS)))
        return [(name, at) for name, at in found if at is not None]


def belt(context: Context) -> Topic | None:
    """The belt drive; None for an electric compressor."""
    case = context.case
    if case.plant.compressor.electric or case.car.is_electric:
        return None
    where = case.car.where.get("powertrain", "variant")
    layouts = belts_of(case.car.pulleys)
    layout = driving(layouts)
    return Topic(
        CODE,
        TITLE,
        _answer(context, layout),
        (
            *(made for one in layouts for made in _layout_figures(context, one, where)),
            *_pull_figures(context, layout, where),
            *speed_figures(context, where),
            *coolant_figures(context, where),
        ),
        (*(table for one in layouts for table in _layout_table(one)), *speed_table(context)),
        (
            *_missing(context, layouts, where),
            *(found for one in layouts for found in _layout_remarks(one, where)),
            *_diameter_remarks(case, layout, where),
            *_belt_remarks(context, layout),
            *_pull_remarks(context, layout, where),
            *speed_remarks(context, where),
            *idle_remarks(context, where),
            *coolant_remarks(context, where),
        ),
        (MOVING,),
    )


def belts_of(pulleys: tuple[PulleyAt, ...]) -> tuple[Layout, ...]:
    """The belts, one at least: the first one's order counts from 1, the second one's from 11, the third's from 21."""
    tens = sorted({p.order // 10 for p in pulleys if p.order is not None})
    if len(tens) < 2:
        return (layout_of(pulleys),)
    held = [tuple(p for p in pulleys if p.order is not None and p.order // 10 == ten) for ten in tens]
    return tuple(replace(layout_of(one), name=f"belt {n}") for n, one in enumerate(held, 1))


def driving(layouts: tuple[Layout, ...]) -> Layout:
    """The belt that turns the compressor; where none is said to, the first."""
    return next((one for one in layouts if one.named("compressor") is not None), layouts[0])


def layout_of(pulleys: tuple[PulleyAt, ...]) -> Layout:
    """One belt over the pulleys that have a place in its order."""
    on = tuple(sorted((p for p in pulleys if p.order is not None), key=lambda p: p.order or 0))
    if len(on) < 2:
        return Layout(on, None)
    x, y, d = np.array([(p.x_mm, p.y_mm, p.diameter_mm) for p in on]).T
    try:
        run = b.belt_run(x, y, d, np.array([p.side == "outer" for p in on]))
    except ValueError:
        return Layout(on, None)
    plane = np.array([np.nan if p.plane_mm is None else p.plane_mm for p in on])
    offset = np.atleast_1d(b.plane_offset_mm_per_200(plane, run.span_mm))
    return Layout(on, run, tuple(float(o) if np.isfinite(o) else None for o in offset))


def _layout_table(layout: Layout) -> list[Table]:
    if layout.run is None:
        return []
    rows = tuple(
        (
            p.code, f"{p.diameter_mm:g}", p.groove or "none", "back" if p.side == "outer" else "inner",
            f"{wrap:.0f}", f"{span:.0f}", "not known" if offset is None else f"{offset:.2f}",
        )
        for p, wrap, span, offset in zip(
            layout.pulleys, layout.run.wrap_deg, layout.run.span_mm, layout.offset_mm, strict=True
        )
    )  # fmt: skip
    return [Table(f"{layout.name.capitalize()} over its pulleys, in its order", HEADS, rows)]


def _layout_figures(context: Context, layout: Layout, where: str) -> list[Figure]:
    if layout.run is None:
        return []
    places = [
        given(
            p.code,
            "place",
            f"x {p.x_mm:g}, y {p.y_mm:g}, diameter {p.diameter_mm:g} mm",
            "pulleys of the car",
            where,
        )
        for p in layout.pulleys
    ]
    belts = [
        given("belt on the parts list", "belt", f"{i.part} {i.name}", "kit", f"position:{i.position}")
        for i in context.kit.items
        if i.role == "belt" and layout.named("compressor") is not None
    ]
    found = [
        figure(
            f"Length of {layout.name} on its line",
            "length_mm",
            float(layout.run.length_mm),
            b.belt_run,
            *places,
            *belts,
        )
    ]
    for name, at in layout.wrapped:
        wrap = float(layout.run.wrap_deg[at])
        found.append(figure(f"Wrap at the {name}", "wrap_deg", wrap, b.belt_run, *places))
    return found


def _missing(context: Context, layouts: tuple[Layout, ...], where: str) -> list[Remark]:
    """What the layout lacks, in plain words."""
    car, found = context.case.car, []
    on = [pulley for layout in layouts for pulley in layout.pulleys]
    for layout in layouts:
        if len(layout.pulleys) < 2:
            sentence = f"{car.name}: {layout.name} has no layout (place, diameter and order of two pulleys at least)."
            new = added_to(where, "Pulleys", "code")
            found.append(Remark("belt-layout-missing", "warns", where, sentence, new))
        elif layout.run is None:
            sentence = f"{car.name}: {layout.name} can't run over its pulleys; check places, sides and order."
            mend = of_place(where, "Pulleys", "belt_order", layout.pulleys[0].code)
            found.append(Remark("belt-layout-impossible", "warns", where, sentence, mend))
    if all(layout.named("compressor") is None for layout in layouts) and len(on) >= 2:
        sentence = (
            f"{car.name}: the layout is that of the car's own belt; the compressor's place is missing (a pulley "
            "“compressor” with x, y and its order), so its wrap, plane and belt length aren't known."
        )
        new = added_to(where, "Pulleys", "x_mm", code="compressor")
        found.append(Remark("compressor-place-missing", "warns", where, sentence, new))
    if on and all(layout.named(*GENERATORS) is None for layout in layouts):
        sentence = f"{car.name}: the layout has no dynamo or alternator; its wrap isn't known."
        new = added_to(where, "Pulleys", "x_mm", code=car.generator_kind or "alternator")
        found.append(Remark("generator-place-missing", "notes", where, sentence, new))
    no_plane = [p.code for p in on if p.plane_mm is None]
    if no_plane:
        sentence = f"{car.name}: no plane is recorded for {', '.join(no_plane)}."
        mend = of_place(where, "Pulleys", "plane_mm", no_plane[0])
        found.append(Remark("plane-missing", "warns", where, sentence, mend))
    off = [p.code for p in car.pulleys if p.order is None]
    if off and on:
        sentence = f"{car.name}: {', '.join(off)} has no place in the belt's order and was left out."
        mend = of_place(where, "Pulleys", "belt_order", off[0])
        found.append(Remark("pulley-without-order", "notes", where, sentence, mend))
    return found


def _layout_remarks(layout: Layout, where: str) -> list[Remark]:
    if layout.run is None:
        return []
    c, found = b.belt_constants(), []
    if bool(layout.run.is_crossed):
        sentence = "The belt runs through itself: check order and sides."
        mend = of_place(where, "Pulleys", "belt_order", layout.pulleys[0].code)
        found.append(Remark("belt-crossed", "warns", where, sentence, mend))
    least_deg = {"compressor": c.least_wrap_compressor_deg, "generator": c.least_wrap_generator_deg}
    for name, at in layout.wrapped:
        least = least_deg[name]
        if layout.run.wrap_deg[at] < least:
            sentence = f"The belt wraps the {name}'s pulley by {layout.run.wrap_deg[at]:.0f}°; {least:.0f}° are asked."
            mend = of_place(where, "Pulleys", "x_mm", layout.pulleys[at].code)
            found.append(Remark("wrap-small", "warns", where, sentence, mend))
    for i, offset in enumerate(layout.offset_mm):
        if offset is not None and offset > c.plane_offset_mm_per_200 + 1e-9:
            pair = f"{layout.pulleys[i].code} to {layout.pulleys[(i + 1) % len(layout.pulleys)].code}"
            sentence = (
                f"From {pair} the belt runs {offset:.1f} mm out of plane per 200 mm; "
                f"{c.plane_offset_mm_per_200:g} mm is the most."
            )
            mend = of_place(where, "Pulleys", "plane_mm", layout.pulleys[i].code)
            found.append(Remark("belt-offset", "warns", where, sentence, mend))
    widths = {w for p in layout.pulleys if p.side != "outer" and (w := b.groove_mm(p.groove)) is not None}
    if len(widths) > 1:
        told = " and ".join(f"{w:g}" for w in sorted(widths))
        mend = of_place(where, "Pulleys", "groove", layout.pulleys[0].code)
        found.append(
            Remark("groove-mixed", "warns", where, f"One belt can't fit grooves of {told} mm.", mend)
        )
    return found


def _diameter_remarks(case: Case, layout: Layout, where: str) -> list[Remark]:
    """The layout's diameters against those that the compressor's speed is worked out with."""
    found = []
    for name, used in (("crank", case.car.crank_pulley_mm), ("compressor", case.plant.pulley_mm)):
        at = layout.named(name)
        if at is None or used is None or layout.named("compressor") is None:
            continue
        drawn = layout.pulleys[at].diameter_mm
        if abs(drawn - used) > 0.5:
            sentence = (
                f"The layout has {drawn:g} mm at the {name} pulley, the compressor's speed is worked out with "
                f"{used:g} mm."
            )
            mend = of_place(where, "Pulleys", "diameter_mm", layout.pulleys[at].code)
            found.append(Remark("pulley-differs", "warns", where, sentence, mend))
    return found


def _belt_remarks(context: Context, layout: Layout) -> list[Remark]:
    """The belt on the parts list, by its name, against the layout; only where the layout is the kit's."""
    at = layout.named("compressor")
    if layout.run is None or at is None:
        return []
    found, needed, play = [], float(layout.run.length_mm), b.belt_constants().length_play_mm
    for item in context.kit.items:
        size = b.belt_size_mm(item.name) if item.role == "belt" else None
        if size is None:
            continue
        where, groove = f"position:{item.position}", b.groove_mm(layout.pulleys[at].groove)
        if abs(size[1] - needed) > play:
            sentence = (
                f"{item.part} {item.name} is {size[1]:.0f} mm long by its name, the belt's way over the pulleys "
                f"{needed:.0f} mm: check the layout's places or the belt."
            )
            place = context.case.car.where.get("powertrain", "variant")
            mend = of_place(place, "Pulleys", "x_mm", layout.pulleys[at].code)
            found.append(Remark("belt-length", "warns", where, sentence, mend))
        if groove is not None and groove != size[0]:
            sentence = (
                f"{item.part} {item.name} is {size[0]:g} mm wide by its name, the groove {groove:g} mm."
            )
            found.append(Remark("belt-width", "warns", where, sentence))
    return found


def _groove(context: Context, layout: Layout) -> str:
    """The compressor's groove: of the layout, else of the crank pulley that the kit brings."""
    at = layout.named("compressor")
    if at is not None:
        return layout.pulleys[at].groove
    held = context.kit.plant.get("pulley")
    return str(held[1].get("groove") or "") if held else ""


def _pull(context: Context) -> float | None:
    torque, pulley = idle_torque_nm(context), context.case.plant.pulley_mm
    return None if torque is None or pulley is None else float(b.belt_pull_n(torque, pulley))


def _limit(context: Context, layout: Layout) -> float | None:
    width = b.groove_mm(_groove(context, layout))
    return None if width is None else b.belt_constants().pull_limit_n.get(width)


def _pull_figures(context: Context, layout: Layout, where: str) -> list[Figure]:
    pull, limit = _pull(context), _limit(context, layout)
    inputs = (
        idle_torque(context),
        of_compressor(context, "compressor pulley", "pulley_mm", context.case.plant.pulley_mm),
    )
    at_most = given(
        "limit of the belt", "limit_n", limit, f"from memory, for groove “{_groove(context, layout)}”", where
    )
    factor = given(
        "engaging over steady", "factor", b.belt_constants().engagement_factor, "from memory: data/belt.json"
    )
    engaging = None if pull is None else float(b.engagement_pull_n(pull))
    return [
        figure("Effective pull at idle", "pull_n", pull, b.belt_pull_n, *inputs, at_most),
        figure(
            "Effective pull as the clutch engages", "pull_n", engaging, b.engagement_pull_n, factor, at_most
        ),
    ]


def _pull_remarks(context: Context, layout: Layout, where: str) -> list[Remark]:
    pull, limit, groove = _pull(context), _limit(context, layout), _groove(context, layout)
    if pull is None:
        sentence = (
            "The belt's pull isn't known: no idle duty point was solved, or the compressor has no pulley."
        )
        return [Remark("pull-unknown", "notes", "fitment", sentence)]
    if limit is None:
        told = (
            f"no limit is known for the groove “{groove}”"
            if groove
            else "the compressor's groove isn't known"
        )
        at = layout.named("compressor")
        mend = None if at is None else of_place(where, "Pulleys", "groove", layout.pulleys[at].code)
        return [
            Remark("pull-limit-unknown", "notes", where, f"The belt's pull can't be judged: {told}.", mend)
        ]
    engaging = float(b.engagement_pull_n(pull))
    if pull > limit:
        sentence = (
            f"At idle the compressor pulls {pull:.0f} N; the belt bears {limit:.0f} N for long (from memory)."
        )
        number = context.kit.plant["compressor"][0]
        mend = of_part(context.kit, "Compressors", "pulley_mm", number)
        return [Remark("belt-pull", "blocks", where, sentence, mend)]
    if engaging > limit:
        sentence = (
            f"As the clutch engages at idle the belt is pulled with about {engaging:.0f} N, above the {limit:.0f} N "
            f"that it bears for long (from memory): tension and wrap must be right, and an idle-up helps."
        )
        return [Remark("belt-pull-engaging", "notes", where, sentence)]
    return []


def _answer(context: Context, layout: Layout) -> str:
    told = []
    at = layout.named("compressor")
    if layout.run is not None and at is not None:
        told.append(f"The belt wraps the compressor's pulley by {layout.run.wrap_deg[at]:.0f}°")
    elif layout.run is not None:
        told.append("The compressor's place in the belt's layout is missing")
    else:
        told.append("The belt's layout is not known")
    pull, limit = _pull(context), _limit(context, layout)
    if pull is not None:
        told.append(
            f"at idle it is pulled with {pull:.0f} N" + ("" if limit is None else f" of {limit:.0f} N")
        )
    speeds = [
        rpm for d in context.case.own_duties if (rpm := Point(context.case, d).compressor_rpm()) is not None
    ]
    if speeds:
        told.append(
            f"the compressor turns at {min(speeds):.0f} to {max(speeds):.0f} rpm over the duty points"
        )
    return "; ".join(told) + "."
