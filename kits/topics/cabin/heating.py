"""Heating: whether the kit's matrix holds the winter target, and what its valve does to the cooling."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from kits.bom.resolved import Finding
from kits.sizing.cabin.pulldown import two_node_course
from kits.sizing.heat.heating import (
    MatrixModel,
    Needed,
    air_mass_flow_kg_s,
    fit_matrix,
    heat_against_need,
    matrix_conductance_w_k,
    matrix_heat,
    vent_with_heat_c,
)
from kits.sizing.verdict.courses import WarmUp, warm_ups
from kits.sizing.verdict.record import VERDICTS, DutyAnswer
from kits.sizing.verdict.winter import Winter, WinterPoint, held_c, need_w, winter, winter_points
from kits.sizing.words.defaults import defaults
from kits.topics.context import Context
from kits.topics.drawing import line
from kits.topics.figure import Figure, Input, Picture, Spot, Table, Topic, figure, given
from kits.topics.origins import of_car
from vehicles.physics.quantities import in_unit

CODE, TITLE = "heating", "Heating"
HOT = (
    "The coolant is hot and under pressure: let it cool before a hose is opened, and clamp both heater hoses.",
)
COOLANT_CAUTION = (
    "Coolant temperature and flow are those recorded for the state; a cold engine, or a thermostat that opens early, "
    "gives less."
)


def heating(context: Context) -> Topic | None:
    """The topic of a fitment's heating; None where no air flow was worked out, so that nothing can be said."""
    points = winter_points(context.case, context.record.duties)
    if not points:
        return None
    matrix, told = context.case.matrix, tuple(remarks(context))
    if context.case.matrix_gaps:
        return Topic(CODE, TITLE, "Heating is not known: the matrix's data can't be used.", remarks=told)
    state = winter(points, matrix)
    if not state.prepared.is_complete.any():
        return Topic(CODE, TITLE, "Heating is not known: the cabin's data are not complete.")
    if context.case.car.is_electric:
        return _without_water(context, state)
    if matrix is None:
        return _without_matrix(context, state, told)
    return _with_matrix(context, state, matrix, told)


def remarks(context: Context) -> Iterator[Finding]:
    """What is to be mended or known of the heating; nothing where no air flow was worked out."""
    points = winter_points(context.case, context.record.duties)
    if not points:
        return
    matrix = context.case.matrix
    if gaps := context.case.matrix_gaps:
        yield from (Finding("matrix-unusable", "warns", gap.where, gap.sentence) for gap in gaps)
        return
    state = winter(points, matrix)
    if not state.prepared.is_complete.any() or context.case.car.is_electric:
        return
    if matrix is None:
        yield from _not_judged(context)
        return
    yield from _remarks(context, state)
    judged = _judged(context, state)
    if not judged:
        return
    number, (answer, verdict) = context.kit.plant["heater matrix"].part, _worst(judged)
    if verdict == VERDICTS[2]:
        yield Finding("heating-short", "warns", f"part:{number}", answer)
    for what in matrix.assumed:
        yield Finding("matrix-assumed", "notes", f"part:{number}", f"Assumed: {what}.")


def _weather(point: WinterPoint) -> str:
    """The weather of a point in words; a duty point's is told by its name."""
    climate = point.load.climate
    if point.is_asked:
        return point.words
    outside, target = float(climate.outside_c or 0.0), float(climate.target_c or 0.0)
    return f"with {_celsius(outside)} outside, {_celsius(target)} in the cabin, no sun, fresh air"


def _upper(words: str) -> str:
    return words[:1].upper() + words[1:]


def _celsius(value: float) -> str:
    """Whole degrees: the answer is an estimate."""
    return f"{value:.0f} °C".replace("-", "\N{MINUS SIGN}")


def _kw(watts: float) -> str:
    return in_unit("kw", watts / 1000)


def _winter_inputs(context: Context, point: WinterPoint) -> tuple[Input, ...]:
    cabin, climate = context.case.car.where.get("cabin", ""), point.load.climate
    weather = tuple(_assumed(key, "c") for key in ("winter_outside_c", "winter_target_c"))
    if point.is_asked:
        weather = (
            given("outside air", "c", climate.outside_c, "as the duty point states"),
            given("target in the cabin", "c", climate.target_c, "as the duty point states"),
        )
    return (
        *weather,
        given("cabin volume", "m3", context.case.car.cabin.volume_m3, of_car(context, "cabin"), cabin),
    )


def _assumed(key: str, unit: str) -> Input:
    row = defaults()[key]
    return given(row.meaning, unit, row.value, f"assumed: {row.source}")


def _need_figures(context: Context, state: Winter) -> tuple[Figure, ...]:
    need = need_w(state)
    return tuple(
        figure(f"Heat needed {p.words}", "w", _known(need[i]), need_w, *_winter_inputs(context, p))
        for i, p in enumerate(state.points)
    )


def _known(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None


def _without_water(context: Context, state: Winter) -> Topic:
    answer = (
        f"An electric car has no hot water: the kit heats nothing. {_most_needed(state)} a heater must give."
    )
    return Topic(CODE, TITLE, answer, figures=_need_figures(context, state))


def _without_matrix(context: Context, state: Winter, told: tuple[Finding, ...]) -> Topic:
    answer = (
        "The kit brings no heater matrix: heating stays the car's own and is not judged. "
        f"{_most_needed(state)} it must give."
    )
    figures = (*_need_figures(context, state), *_shut(context, None))
    return Topic(CODE, TITLE, answer, figures=figures, remarks=told, cautions=HOT)


def _not_judged(context: Context) -> Iterator[Finding]:
    """That winter duty points are asked for, though the car keeps its own heater."""
    asked = [f"“{duty.name}”" for duty in context.case.duties if duty.climate.is_heating]
    if asked:
        sentence = (
            f"The duty set asks for heat at {' and '.join(asked)}, but the kit brings no heater matrix for this car: "
            "its own heater is not judged."
        )
        yield Finding("winter-not-judged", "notes", "kit", sentence)


def _most_needed(state: Winter) -> str:
    need = need_w(state)
    most = int(np.nanargmax(need))
    return f"{_upper(_weather(state.points[most]))}, {_kw(float(need[most]))} is what"


@dataclass(frozen=True)
class Judged:
    """A winter point at which heat is given and asked for; held_c: the cabin that the matrix would hold."""

    point: WinterPoint
    heat_w: float
    air_out_c: float
    need_w: float
    held_c: float
    needed: Needed


def _judged(context: Context, state: Winter) -> list[Judged]:
    """The winter points that can be judged."""
    need, held, heat = need_w(state), held_c(state), state.heat(state.prepared.target_c)
    return [
        Judged(
            point, float(heat.heat_w[i]), float(heat.air_out_c[i]), float(need[i]), float(held[i]),
            heat_against_need(float(heat.heat_w[i]), float(need[i]), context.case.reserve_share),
        )
        for i, point in enumerate(state.points)
        if np.isfinite(heat.heat_w[i]) and np.isfinite(need[i])
    ]  # fmt: skip


def _worst(judged: list[Judged]) -> tuple[str, str]:
    """The answer by the worst of the points, and its verdict."""
    worst = max(judged, key=lambda one: (VERDICTS.index(one.needed.word), -one.needed.margin_share))
    weather = "" if worst.point.is_asked else f" {_weather(worst.point)}"
    return (
        f"Heating is {worst.needed.word}: {worst.point.words} the matrix gives {_kw(worst.heat_w)} against "
        f"{_kw(worst.need_w)} needed{weather}, and would hold {_celsius(worst.held_c)}."
    ), worst.needed.word


def _with_matrix(context: Context, state: Winter, matrix: MatrixModel, remarks: tuple[Finding, ...]) -> Topic:
    judged = _judged(context, state)
    number = context.kit.plant["heater matrix"].part
    if not judged:
        answer = "Heating is not known: coolant temperature or flow is not recorded."
        if not context.case.car.coolant_c:
            answer = (
                "No coolant is recorded: an air-cooled engine has no hot water, and the matrix gives nothing."
            )
        return Topic(
            CODE, TITLE, answer, figures=_need_figures(context, state), remarks=remarks, cautions=HOT
        )
    answer, _ = _worst(judged)
    rows = tuple(
        (
            one.point.words,
            in_unit("w", one.heat_w),
            in_unit("w", one.need_w),
            f"{100 * one.needed.margin_share:.1f} %",
            _celsius(one.air_out_c),
            _celsius(one.held_c),
            one.needed.word,
        )
        for one in judged
    )
    heads = ("state", "heat", "needed", "margin", "vents", "cabin held", "verdict")
    origin = context.kit.origins.get(f"part.{number}", "")
    rated = given("rated points", "", str(matrix.points), origin, f"part:{number}")
    fit = f"{100 * matrix.worst_error_share:.1f} %"
    model = Figure("Worst error of the matrix's fit", fit, _name(fit_matrix), (rated,))
    ups = warm_ups(context.case, state)
    figures = (
        *_need_figures(context, state),
        *(_heat_figure(context, one.point, one.heat_w, rated) for one in judged),
        *(figure(f"Cabin held {one.point.words}", "c", _known(one.held_c), held_c) for one in judged),
        model,
        *(_warm_figure(context, up) for up in ups),
        *_shut(context, matrix),
    )
    return Topic(
        CODE, TITLE, answer, figures=figures, tables=(Table("Heating in winter", heads, rows),), remarks=remarks,
        cautions=(*HOT, COOLANT_CAUTION),
        pictures=tuple(_picture(up) for up in ups),
    )  # fmt: skip


def _name(function: object) -> str:
    return f"{function.__module__}:{getattr(function, '__qualname__', '')}"


def _heat_figure(context: Context, point: WinterPoint, heat_w: float, rated: Input) -> Figure:
    where = context.case.car.where.get("powertrain", "")
    coil = "" if context.case.heats_only else ", coil wet"
    return figure(
        f"Heat of the matrix {point.words}", "w", heat_w, matrix_heat,
        given("coolant", "c", point.coolant_c, "as recorded", where),
        given("coolant flow", "l_min", point.coolant_l_min, "as recorded", where),
        given("air flow", "m3_h", point.airflow_m3_h, f"calculated: air side{coil}"),
        rated,
    )  # fmt: skip


def _warm_figure(context: Context, up: WarmUp) -> Figure:
    label = f"Warm-up to the winter target {up.words}"
    inputs = (
        _assumed("engine_warm_up_min", "min"),
        given("error of the steps", "k", up.course.step_error_k, "calculated: steps halved"),
    )
    found = figure(label, "min", up.goal_min, two_node_course, *inputs)
    if up.goal_min is not None:
        return found
    return Figure(label, "not within an hour", found.function, inputs)


def _picture(up: WarmUp) -> Picture:
    """The cabin's warm-up, with the target it is asked to reach."""
    minutes = np.arange(0.0, up.course.seconds[-1] / 60 + 0.5, 1.0)
    cabin, lining = (
        np.interp(minutes * 60, up.course.seconds, c) for c in (up.course.air_c, up.course.mass_c)
    )
    target = up.target_c
    lines = (
        line("cabin", minutes, cabin),
        line("lining", minutes, lining, "other"),
        line(f"target {_celsius(target)}", (0.0, minutes[-1]), (target, target), "thin"),
    )
    reached = "The target is not reached within an hour."
    spots: tuple[Spot, ...] = ()
    if up.goal_min is not None:
        reached = f"The target is reached after {up.goal_min:.0f} min."
        spots = (Spot(f"reached after {up.goal_min:.0f} min", round(up.goal_min, 1), target),)
    words = f"From {_celsius(cabin[0])} the cabin is at {_celsius(cabin[-1])} after {minutes[-1]:.0f} min. {reached}"
    caption = f"Warm-up {up.words}"
    return Picture(
        f"warm-up-{up.code}", caption, words, "time, min", y_label="temperature, °C", lines=lines, spots=spots
    )


def _remarks(context: Context, state: Winter) -> tuple[Finding, ...]:
    where = context.case.car.where.get("powertrain", "")
    found = [
        Finding(
            "coolant-unknown", "warns", where,
            f"Coolant temperature or flow {p.words} is not recorded: heating there is not known.",
        )
        for p in state.points
        if not np.isfinite(p.coolant_c * p.coolant_l_min)
    ]  # fmt: skip
    if "water valve" not in context.kit.plant:
        text = (
            "The kit has a heater matrix but no water valve with data: a hot matrix stands in the cold air."
        )
        found.append(Finding("matrix-without-valve", "warns", "kit", text))
    return tuple(found)


def _shut(context: Context, matrix: MatrixModel | None) -> tuple[Figure, ...]:
    """What the matrix does to the cooling: with its valve shut as recorded, leaking as the valve's sheet says, open."""
    driven = (a for a in context.record.duties if a.of_kind.engine_side == "cruise")
    answer = next((a for a in driven if a.vent_c is not None), None)
    if answer is None or answer.vent_c is None or answer.airflow_m3_h is None or answer.capacity_w is None:
        return ()
    air_kg_s = _air_kg_s(answer)
    found = []
    leak_w = context.case.car.matrix_leak_w
    if leak_w is not None:
        where = context.case.car.where.get("cabin", "")
        leak = given("heat", "w", leak_w, of_car(context, "cabin"), where)
        found.append(_rise("Valve shut, as surveyed: warmer at the vents", leak, leak_w, air_kg_s, answer))
    coolant_c = context.case.car.coolant_c.get("cruise")
    flow = context.case.car.coolant_flow_l_min.get("cruise")
    if matrix is None or coolant_c is None:
        return tuple(found)
    valve = context.kit.plant.get("water valve")
    leak_l_min = None if valve is None else valve.data.get("leak_l_min")
    for label, litres in (("Valve leaking as its data sheet allows", leak_l_min), ("Valve stuck open", flow)):
        if litres is None:
            continue
        heat = float(matrix_conductance_w_k(matrix, air_kg_s, litres)) * (coolant_c - answer.vent_c)
        where = f"part:{valve.part}" if valve is not None and litres == leak_l_min else ""
        given_heat = given("heat", "w", heat, f"calculated: the matrix, {answer.name}", where)
        found.append(_rise(f"{label}: warmer at the vents", given_heat, heat, air_kg_s, answer))
        share = heat / answer.capacity_w
        inputs = (
            given("heat of the matrix", "w", heat, f"calculated: {answer.name}"),
            given("capacity", "w", answer.capacity_w, f"sized: {answer.name}"),
        )
        text = f"{100 * share:.0f} %"
        found.append(
            Figure(f"{label}: share of the cooling lost", text, _name(matrix_conductance_w_k), inputs)
        )
    return tuple(found)


def _rise(label: str, heat: Input, heat_w: float, air_kg_s: float, answer: DutyAnswer) -> Figure:
    vent_c = answer.vent_c or 0.0
    rise = float(vent_with_heat_c(vent_c, heat_w, air_kg_s)) - vent_c
    return figure(
        label, "k", rise, vent_with_heat_c,
        heat,
        given("air flow", "m3_h", answer.airflow_m3_h, f"calculated: {answer.name}"),
    )  # fmt: skip


def _air_kg_s(answer: DutyAnswer) -> float:
    """Dry air through the coil: the blower's volume at the coil inlet."""
    return float(air_mass_flow_kg_s(answer.airflow_m3_h or 0.0, answer.air_in_c or 0.0))
