"""The belt drive of a fitment: layout, compressor speeds, pull, and what the engine has to bear."""

from collections.abc import Iterator

from kits.bom.mending import new_row
from kits.bom.resolved import Finding
from kits.bom.roles import BELT
from kits.sizing.case.belt_layout import Layout, belts_of, driving
from kits.sizing.case.case import Case, Point
from kits.sizing.case.plant_reader import all_of
from kits.sizing.mechanics import belt as b
from kits.sizing.verdict.checks_belt import TOPIC, belt_checks, groove_of, has_belt, pull_limit_n, pull_n
from kits.sizing.verdict.mends import added_to, of_part, of_place
from kits.topics.context import Context
from kits.topics.figure import Figure, Table, Topic, figure, given
from kits.topics.mechanics.belt_engine import (
    coolant_figures,
    coolant_remarks,
    idle_remarks,
    idle_torque,
    of_compressor,
    speed_figures,
    speed_remarks,
    speed_table,
)
from vehicles.powertrain.pulleys import COMPRESSOR, CRANK, GENERATOR, GROOVE_MM

CODE, TITLE = TOPIC

HEADS = (
    "pulley",
    "diameter, mm",
    "groove",
    "side",
    "wrap, °",
    "free to the next, mm",
    "offset, mm per 200 mm",
)
MOVING = "Moving belts and fans: engine off and key out before a hand goes near; check wrap, plane and tension first."


def belt(context: Context) -> Topic | None:
    """The belt drive; None for an electric compressor."""
    case = context.case
    if not has_belt(case):
        return None
    where = case.car.where.get("powertrain", "variant")
    layouts = belts_of(case.car.pulleys)
    layout = driving(layouts)
    return Topic(
        CODE,
        TITLE,
        _answer(context, layout),
        figures=(
            *(made for one in layouts for made in _layout_figures(context, one, where)),
            *_pull_figures(context, layout, where),
            *speed_figures(context, where),
            *coolant_figures(context, where),
        ),
        tables=(*(table for one in layouts for table in _layout_table(one)), *speed_table(context)),
        remarks=(*belt_checks(context.kit, case, context.record), *remarks(context)),
        cautions=(MOVING,),
    )


def remarks(context: Context) -> Iterator[Finding]:
    """What is to be mended or known of belt and engine, beside the checks."""
    case = context.case
    if not has_belt(case):
        return
    where = case.car.where.get("powertrain", "variant")
    layouts = belts_of(case.car.pulleys)
    layout = driving(layouts)
    yield from _missing(context, layouts, where)
    for one in layouts:
        yield from _layout_remarks(one, where)
    yield from _diameter_remarks(case, layout, where)
    yield from _belt_remarks(context, layout)
    yield from speed_remarks(context, where)
    yield from idle_remarks(context, where)
    yield from coolant_remarks(context, where)


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
            "",
            f"x {p.x_mm:g}, y {p.y_mm:g}, diameter {p.diameter_mm:g} mm",
            "pulleys of the car",
            where,
        )
        for p in layout.pulleys
    ]
    belts = [
        given("belt on the parts list", "", f"{i.part} {i.name}", "kit", f"position:{i.position}")
        for i in context.kit.items
        if i.role == BELT and layout.on(COMPRESSOR) is not None
    ]
    found = [
        figure(
            f"Length of {layout.name} on its line",
            "mm",
            float(layout.run.length_mm),
            b.belt_run,
            *places,
            *belts,
        )
    ]
    for name, at in layout.wrapped:
        wrap = float(layout.run.wrap_deg[at])
        found.append(figure(f"Wrap at the {name}", "deg", wrap, b.belt_run, *places))
    return found


def _missing(context: Context, layouts: tuple[Layout, ...], where: str) -> list[Finding]:
    """What the layout lacks, in plain words."""
    car, found = context.case.car, []
    on = [pulley for layout in layouts for pulley in layout.pulleys]
    for layout in layouts:
        if len(layout.pulleys) < 2:
            sentence = f"{car.name}: {layout.name} has no layout (place, diameter and order of two pulleys at least)."
            new = added_to(where, "Pulleys", "code")
            found.append(Finding("belt-layout-missing", "warns", where, sentence, new))
        elif layout.run is None:
            sentence = f"{car.name}: {layout.name} can't run over its pulleys; check places, sides and order."
            mend = of_place(where, "Pulleys", "belt_order", layout.pulleys[0].code)
            found.append(Finding("belt-layout-impossible", "warns", where, sentence, mend))
    if all(layout.on(COMPRESSOR) is None for layout in layouts) and len(on) >= 2:
        sentence = (
            f"{car.name}: the layout is that of the car's own belt; the compressor's place is missing (a pulley that "
            "drives the compressor, with x, y and its order), so its wrap, plane and belt length aren't known."
        )
        new = added_to(where, "Pulleys", "x_mm", code=COMPRESSOR, drives=COMPRESSOR)
        found.append(Finding("compressor-place-missing", "warns", where, sentence, new))
    if on and all(layout.on(GENERATOR) is None for layout in layouts):
        sentence = f"{car.name}: the layout has no dynamo or alternator; its wrap isn't known."
        new = added_to(where, "Pulleys", "x_mm", code=car.generator_kind or GENERATOR, drives=GENERATOR)
        found.append(Finding("generator-place-missing", "notes", where, sentence, new))
    unknown = [p.code for p in on if not p.drives]
    if unknown:
        sentence = (
            f"{car.name}: what the pulley {', '.join(unknown)} sits on is not recorded, so it is not judged."
        )
        mend = of_place(where, "Pulleys", "drives", unknown[0])
        found.append(Finding("pulley-unknown", "warns", where, sentence, mend))
    no_plane = [p.code for p in on if p.plane_mm is None]
    if no_plane:
        sentence = f"{car.name}: no plane is recorded for {', '.join(no_plane)}."
        mend = of_place(where, "Pulleys", "plane_mm", no_plane[0])
        found.append(Finding("plane-missing", "warns", where, sentence, mend))
    off = [p.code for p in car.pulleys if p.order is None]
    if off and on:
        sentence = f"{car.name}: {', '.join(off)} has no place in the belt's order and was left out."
        mend = of_place(where, "Pulleys", "belt_order", off[0])
        found.append(Finding("pulley-without-order", "notes", where, sentence, mend))
    return found


def _layout_remarks(layout: Layout, where: str) -> list[Finding]:
    if layout.run is None:
        return []
    c, found = b.belt_constants(), []
    if bool(layout.run.is_crossed):
        sentence = "The belt runs through itself: check order and sides."
        mend = of_place(where, "Pulleys", "belt_order", layout.pulleys[0].code)
        found.append(Finding("belt-crossed", "warns", where, sentence, mend))
    least_deg = {COMPRESSOR: c.least_wrap_compressor_deg, GENERATOR: c.least_wrap_generator_deg}
    for name, at in layout.wrapped:
        least = least_deg[name]
        if layout.run.wrap_deg[at] < least:
            sentence = f"The belt wraps the {name}'s pulley by {layout.run.wrap_deg[at]:.0f}°; {least:.0f}° are asked."
            mend = of_place(where, "Pulleys", "x_mm", layout.pulleys[at].code)
            found.append(Finding("wrap-small", "warns", where, sentence, mend))
    for i, offset in enumerate(layout.offset_mm):
        if offset is not None and offset > c.plane_offset_mm_per_200 + 1e-9:
            pair = f"{layout.pulleys[i].code} to {layout.pulleys[(i + 1) % len(layout.pulleys)].code}"
            sentence = (
                f"From {pair} the belt runs {offset:.1f} mm out of plane per 200 mm; "
                f"{c.plane_offset_mm_per_200:g} mm is the most."
            )
            mend = of_place(where, "Pulleys", "plane_mm", layout.pulleys[i].code)
            found.append(Finding("belt-offset", "warns", where, sentence, mend))
    widths = {w for p in layout.pulleys if p.side != "outer" and (w := GROOVE_MM.get(p.groove)) is not None}
    if len(widths) > 1:
        told = " and ".join(f"{w:g}" for w in sorted(widths))
        mend = of_place(where, "Pulleys", "groove", layout.pulleys[0].code)
        found.append(
            Finding("groove-mixed", "warns", where, f"One belt can't fit grooves of {told} mm.", mend)
        )
    return found


def _diameter_remarks(case: Case, layout: Layout, where: str) -> list[Finding]:
    """The layout's diameters against those that the compressor's speed is worked out with."""
    found = []
    for name, used in ((CRANK, case.car.crank_pulley_mm), (COMPRESSOR, case.plant.pulley_mm)):
        at = layout.on(name)
        if at is None or used is None or layout.on(COMPRESSOR) is None:
            continue
        drawn = layout.pulleys[at].diameter_mm
        if abs(drawn - used) > 0.5:
            sentence = (
                f"The layout has {drawn:g} mm at the {name} pulley, the compressor's speed is worked out with "
                f"{used:g} mm."
            )
            mend = of_place(where, "Pulleys", "diameter_mm", layout.pulleys[at].code)
            found.append(Finding("pulley-differs", "warns", where, sentence, mend))
    return found


def _belt_remarks(context: Context, layout: Layout) -> list[Finding]:
    """The belt on the parts list against the layout; only where the layout is the kit's."""
    at = layout.on(COMPRESSOR)
    if layout.run is None or at is None:
        return []
    belts = dict(all_of(context.kit, "belt"))
    found, needed, play = [], float(layout.run.length_mm), b.belt_constants().length_play_mm
    for item in context.kit.items:
        if item.role != BELT:
            continue
        data, where, groove = belts.get(item.part, {}), f"position:{item.position}", layout.pulleys[at].groove
        length = data.get("length_mm")
        if length is None:
            sentence = (
                f"{item.part} {item.name} does not say how long it is: it is not held against the layout."
            )
            mend = of_part(context.kit, "Belts", "length_mm", item.part)
            if item.part not in belts:
                mend = new_row("Belts", "length_mm", part_number=item.part, part_revision=item.revision)
            found.append(Finding("belt-unknown", "warns", f"part:{item.part}", sentence, mend))
        elif abs(length - needed) > play:
            sentence = (
                f"{item.part} {item.name} is {length:.0f} mm long by its data, the belt's way over the pulleys "
                f"{needed:.0f} mm: check the layout's places or the belt."
            )
            place = context.case.car.where.get("powertrain", "variant")
            mend = of_place(place, "Pulleys", "x_mm", layout.pulleys[at].code)
            found.append(Finding("belt-length", "warns", where, sentence, mend))
        if groove and data.get("groove", groove) != groove:
            sentence = (
                f"{item.part} {item.name} runs in a groove {data['groove']}, the compressor's is {groove}."
            )
            mend = of_part(context.kit, "Belts", "groove", item.part)
            found.append(Finding("belt-width", "warns", where, sentence, mend))
    return found


def _pull_figures(context: Context, layout: Layout, where: str) -> list[Figure]:
    pull, limit = pull_n(context.case, context.record), pull_limit_n(context.kit, layout)
    inputs = (
        idle_torque(context),
        of_compressor(context, "compressor pulley", "mm", context.case.plant.pulley_mm),
    )
    at_most = given(
        "limit of the belt",
        "n",
        limit,
        f"from memory, for groove “{groove_of(context.kit, layout)}”",
        where,
    )
    factor = given(
        "engaging over steady", "", b.belt_constants().engagement_factor, "from memory: data/belt.json"
    )
    engaging = None if pull is None else float(b.engagement_pull_n(pull))
    return [
        figure("Effective pull at idle", "n", pull, b.belt_pull_n, *inputs, at_most),
        figure("Effective pull as the clutch engages", "n", engaging, b.engagement_pull_n, factor, at_most),
    ]


def _answer(context: Context, layout: Layout) -> str:
    told = []
    at = layout.on(COMPRESSOR)
    if layout.run is not None and at is not None:
        told.append(f"The belt wraps the compressor's pulley by {layout.run.wrap_deg[at]:.0f}°")
    elif layout.run is not None:
        told.append("The compressor's place in the belt's layout is missing")
    else:
        told.append("The belt's layout is not known")
    pull, limit = pull_n(context.case, context.record), pull_limit_n(context.kit, layout)
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
