"""Pull-down: how long a soaked cabin takes to become bearable, and how cold the vents are by then."""

import numpy as np

from kits.bom.resolved import Finding
from kits.sizing.cabin.pulldown import (
    S_PER_MIN,
    capacity_line,
    mass_capacity_kj_k,
    minutes_to_reach,
    two_node_course,
)
from kits.sizing.verdict.courses import SHOWN_MIN, PullDown, pull_downs, skin_m2
from kits.sizing.verdict.pulldown_words import course_words, end_words, minutes_words, vents_words
from kits.sizing.verdict.record import LIMIT_WORDS
from kits.sizing.words.defaults import default_value, defaults
from kits.topics.context import Context
from kits.topics.drawing import line
from kits.topics.figure import Figure, Input, Picture, Spot, Table, Topic, figure, given
from vehicles.physics.arrays import FloatArray
from vehicles.physics.quantities import celsius

CODE, TITLE = "pull-down", "Pull-down from a soaked car"
TABLE_STEP_MIN = 5.0
HOT = "the duty point in a hotter cabin, as humid as the air outside"
ESTIMATE = (
    "A pull-down is an estimate: the mass of the trim and the soaked state are taken by rule until a trial's log "
    "replaces them."
)


def pull_down(context: Context) -> Topic | None:
    """The topic of a fitment's pull-down; None where no duty point was solved."""
    found = pull_downs(context.case, context.record)
    if not found:
        return None
    main = min(found, key=lambda one: not one.duty.of_kind.comes_first)
    return Topic(
        CODE, TITLE, course_words(main),
        figures=tuple(f for one in found for f in _figures(context, one)),
        tables=(_summary(found), _curves(found)),
        remarks=_remarks(context, found),
        cautions=(ESTIMATE,),
        pictures=tuple(_picture(one) for one in found),
    )  # fmt: skip


def remarks(context: Context) -> tuple[Finding, ...]:
    """What is to be known of the pull-downs."""
    return _remarks(context, pull_downs(context.case, context.record))


def _assumed(key: str, unit: str) -> Input:
    row = defaults()[key]
    return given(row.meaning, unit, row.value, f"assumed: {row.source}")


def _figures(context: Context, one: PullDown) -> tuple[Figure, ...]:
    where = context.case.car.where.get("cabin", "")
    cabin = context.case.car.cabin
    mass = (
        given("cabin volume", "m3", cabin.volume_m3, "as surveyed", where),
        _assumed("mass_kj_k_m3", "kj_k"),
    )
    skin = given("area round the cabin", "m2", skin_m2(cabin), "as surveyed", where)
    solved = tuple(
        given(f"sensible capacity at {inlet:.0f} °C inlet", "w", heat, f"calculated: {origin}")
        for (inlet, heat), origin in zip(
            one.points, ("the duty point", *(HOT,) * len(one.points)), strict=False
        )
    )
    at = one.duty.name
    soak = (
        _assumed("soak_rise_k", "k"),
        _assumed("windows_open_min", "min"),
        _assumed("windows_open_area_m2", "m2"),
    )
    film = _assumed("mass_film_w_m2k", "w_m2k")
    error = given("error of the steps", "k", one.course.step_error_k, "calculated: steps halved")
    hottest = capacity_line(one.points, context.case.plant.freeze_surface_c).heats_w[-1]
    time = figure(f"{at}: time to the goal", "min", one.goal_min, minutes_to_reach, *soak, error)
    if one.goal_min is None:
        time = Figure(time.label, f"not within {SHOWN_MIN:.0f} min", time.function, time.inputs)
    return (
        time,
        figure(f"{at}: vents when judged", "c", one.vent_judged_c, two_node_course, skin, film, *mass),
        figure(f"{at}: most sensible capacity counted on", "w", hottest, capacity_line, *solved),
        figure(f"{at}: heat capacity of the lining", "kj_k", one.cabin.mass_kj_k, mass_capacity_kj_k, *mass),
    )


def _summary(found: tuple[PullDown, ...]) -> Table:
    goal, minutes = default_value("pull_down_goal_c"), default_value("pull_down_vent_min")
    heads = (
        "duty point",
        f"min to {goal:.0f} °C",
        f"vents at {minutes:.0f} min, °C",
        "after 30 min, °C",
        "criterion",
    )
    rows = tuple(
        (
            one.duty.name,
            minutes_words(one),
            vents_words(one),
            end_words(one),
            "met" if one.is_met else "not met",
        )
        for one in found
    )
    return Table("Pull-down by duty point", heads, rows)


def _curves(found: tuple[PullDown, ...]) -> Table:
    """One table for all courses: a row for each temperature, a column for every five minutes."""
    minutes = np.arange(0.0, SHOWN_MIN + TABLE_STEP_MIN / 2, TABLE_STEP_MIN)
    rows = tuple(
        (one.duty.name, what, *(f"{value:.0f}" for value in values))
        for one in found
        for what, values in _at(one, minutes).items()
    )
    heads = ("duty point", "temperature, °C", *(f"{minute:.0f} min" for minute in minutes))
    return Table("Course of each pull-down", heads, rows)


def _at(one: PullDown, minutes: FloatArray) -> dict[str, FloatArray]:
    """The temperatures at some minutes."""
    curves = {"cabin": one.course.air_c, "lining": one.course.mass_c, "vents": one.vent_c}
    return {what: np.interp(minutes * S_PER_MIN, one.course.seconds, curve) for what, curve in curves.items()}


def _picture(one: PullDown) -> Picture:
    """The course of cabin, vents and lining, with what is asked and what is reached."""
    # the first minutes with the windows open are steep
    minutes = np.concatenate((np.linspace(0.0, 3.0, 31), np.linspace(3.5, SHOWN_MIN, 54)))
    cabin, lining, vents = _at(one, minutes).values()
    goal_c, goal_min = default_value("pull_down_goal_c"), default_value("pull_down_goal_min")
    lines = [line("cabin", minutes, cabin), line("air at the vents", minutes, vents, "other")]
    lines.append(line("lining", minutes, lining, "other"))
    target_c = one.duty.climate.target_c
    if target_c is not None:
        ends = (0.0, SHOWN_MIN), (target_c, target_c)
        lines.append(line(f"target {celsius(target_c)}", *ends, "thin"))
    spots = [Spot(f"asked: {celsius(goal_c)} within {goal_min:.0f} min", goal_min, goal_c)]
    if one.goal_min is not None and one.goal_min <= SHOWN_MIN:
        spots.append(Spot(f"reached after {minutes_words(one)} min", round(one.goal_min, 1), goal_c))
    judged = default_value("pull_down_vent_min")
    spots.append(Spot(f"vents {vents_words(one)} °C", judged, round(one.vent_judged_c, 1)))
    words = (
        f"Soaked at {celsius(one.soak_c)}, the cabin is at {end_words(one)} °C and the vents at {celsius(vents[-1])} "
        f"after {SHOWN_MIN:.0f} min. {_reached(one)} The bend after "
        f"{default_value('windows_open_min'):.0f} min is the windows being shut."
    )
    caption = f"Pull-down: {one.duty.name}"
    code = f"course-{one.duty.code}".lower()
    return Picture(
        code, caption, words, "time, min", y_label="temperature, °C", lines=tuple(lines), spots=tuple(spots)
    )


def _reached(one: PullDown) -> str:
    goal = celsius(default_value("pull_down_goal_c"))
    if one.goal_min is None:
        return f"{goal} is not reached."
    return f"{goal} is reached after {minutes_words(one)} min; {default_value('pull_down_goal_min'):.0f} min are asked."


def _remarks(context: Context, found: tuple[PullDown, ...]) -> tuple[Finding, ...]:
    """That a pull-down is not met, once for a fitment; and what of the hot cabins has no capacity, and why."""
    late = [one for one in found if not one.is_met]
    missed = (
        (Finding("pull-down-late", "warns", "kit", " ".join(_missed(context, one) for one in late)),)
        if late
        else ()
    )
    hot = (Finding("pull-down-hot-cabin", "notes", "kit", _left_out(one)) for one in found if one.left_out)
    return (*missed, *hot)


def _missed(context: Context, one: PullDown) -> str:
    limit = next(a.limit for a in context.record.duties if a.code == one.duty.code)
    held = (
        f" Look at {LIMIT_WORDS[limit]}: at the duty point it holds the capacity."
        if limit in LIMIT_WORDS
        else ""
    )
    return (
        f"{one.duty.name}: from a soak at {celsius(one.soak_c)} the pull-down is not met. {_reached(one)} The vents "
        f"are at {vents_words(one)} °C after {default_value('pull_down_vent_min'):.0f} min; "
        f"{celsius(default_value('pull_down_vent_c'))} are asked.{held}"
    )


def _left_out(one: PullDown) -> str:
    cabins = " and ".join(f"{celsius(hot.cabin_c)} ({hot.reason.rstrip('.')})" for hot in one.left_out)
    hottest_c = one.points[-1][0]
    return (
        f"{one.duty.name}: no capacity is counted on for a cabin at {cabins}. At inlets above {celsius(hottest_c)} "
        "the pull-down takes what is solved there."
    )
