"""The course of a fitment's cabin: pulled down from a soaked state by the sized plant, warmed up by its matrix.

Only the sensible heat is followed: the plant's is that of the duty point and of its hot cabins.
"""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from kits.sizing.cabin.pulldown import (
    S_PER_MIN,
    Cabin,
    Course,
    Line,
    capacity_line,
    mass_capacity_kj_k,
    minutes_to_reach,
    two_node_course,
)
from kits.sizing.case.case import Case, Duty
from kits.sizing.verdict.hot_cabin import pull_down_duties
from kits.sizing.verdict.record import DutyAnswer, HotCabin, SizingRecord
from kits.sizing.verdict.winter import Winter
from kits.sizing.words.defaults import default_value
from vehicles.heatload.exchange import opening_m3_s
from vehicles.heatload.inputs import AirSide, CabinData, LoadPoint
from vehicles.heatload.load import heat_load
from vehicles.heatload.prepare import Prepared, prepare
from vehicles.physics.air import HEAT_DRY_AIR, HEAT_VAPOUR, specific_volume_m3_kg
from vehicles.physics.arrays import FloatArray

MASS_TERMS = ("opaque", "glass", "canvas", "engine_side")
AIR_TERMS = ("fresh_air", "openings", "people", "blower", "matrix", "duct")
SHOWN_MIN = 30.0
COOLED_AIR_C = 10.0
"""Air for the heat capacity of the vents' stream and of the cabin: 5 % wrong at most between 0 and 60 °C."""


@dataclass(frozen=True, kw_only=True)
class PullDown:
    """A pull-down at one duty point.

    goal_min  minutes to the goal, None when it is not reached within the course
    vent_c    air at the vents over the course; vent_judged_c at the minute it is judged
    points    (coil inlet °C, sensible capacity W) that the capacity follows
    left_out  the hot cabins in which the plant does not run, or nothing balances
    """

    duty: Duty
    soak_c: float
    cabin: Cabin
    course: Course
    vent_c: FloatArray
    points: tuple[tuple[float, float], ...]
    goal_min: float | None
    vent_judged_c: float
    is_met: bool
    left_out: tuple[HotCabin, ...] = ()


@dataclass(frozen=True)
class WarmUp:
    """A warm-up at one winter point; goal_min is None where its target is not reached."""

    code: str
    words: str
    target_c: float
    course: Course
    goal_min: float | None


def capacity_points(record: SizingRecord, answer: DutyAnswer) -> tuple[tuple[float, float], ...]:
    """(coil inlet °C, sensible capacity W) of a solved duty point and of its hotter cabins, the coldest first."""
    hot = [(h.air_in_c, h.capacity_sensible_w) for h in record.hot_cabins if h.code == answer.code]
    known = [(answer.air_in_c, answer.capacity_sensible_w), *hot]
    points = sorted((c, w) for c, w in known if c is not None and w is not None)
    return tuple(p for p in points if answer.air_in_c is not None and p[0] >= answer.air_in_c)


def skin_m2(cabin: CabinData) -> float:
    """Area of all surfaces round a cabin, m²."""
    return sum(s.area_m2 or 0.0 for s in cabin.surfaces)


def nodes_of(cabin: CabinData, prepared: Prepared, row: int, low_c: float, high_c: float) -> Cabin:
    """Two nodes of a cabin, with heat into each as a line through the heat load at two cabin temperatures."""
    temperatures = np.array([[low_c], [high_c]])
    load = heat_load(prepared.take([row]), temperatures, prepared.outside_w[row]).sensible_w
    lines = [
        _line(low_c, high_c, np.sum([np.ravel(load[term]) for term in terms], axis=0))
        for terms in (AIR_TERMS, MASS_TERMS)
    ]
    heat = HEAT_DRY_AIR + HEAT_VAPOUR * prepared.outside_w[row]
    volume = specific_volume_m3_kg(COOLED_AIR_C, prepared.outside_w[row], prepared.pressure_pa[row])
    size_m3 = float(cabin.volume_m3 or np.nan)
    return Cabin(
        air_kj_k=float(size_m3 / volume * heat) / 1000,
        mass_kj_k=float(mass_capacity_kj_k(size_m3, default_value("mass_kj_k_m3"))),
        exchange_w_k=default_value("mass_film_w_m2k") * default_value("mass_area_share") * skin_m2(cabin),
        air_gain_w=lines[0].at_zero_w,
        air_loss_w_k=-lines[0].per_k_w,
        mass_gain_w=lines[1].at_zero_w,
        mass_loss_w_k=-lines[1].per_k_w,
    )


def _line(low_c: float, high_c: float, heat_w: FloatArray) -> Line:
    slope = float(heat_w[1] - heat_w[0]) / (high_c - low_c)
    return Line(float(heat_w[0]) - slope * low_c, slope)


def _load_point(case: Case, duty: Duty, answer: DutyAnswer) -> LoadPoint:
    terms: Mapping[str, float] = answer.sensible_w_by_term
    air = AirSide(answer.intake_air_m3_h, terms["blower"], terms["duct"], terms["matrix"])
    return LoadPoint(case.car.cabin, case.car.engine, duty.climate, air)


def pull_downs(case: Case, record: SizingRecord) -> tuple[PullDown, ...]:
    """Pull-downs at the duty points that they are told for (see pull_down_duties); all their loads in one batch."""
    chosen = pull_down_duties(case, record.duties)
    if not chosen:
        return ()
    answers = {a.code: a for a in record.duties}
    prepared = prepare([_load_point(case, d, answers[d.code]) for d in chosen])
    rows = [i for i in range(len(chosen)) if prepared.is_complete[i]]
    return tuple(_pull_down(case, record, chosen[i], prepared, i) for i in rows)


def _pull_down(case: Case, record: SizingRecord, duty: Duty, prepared: Prepared, row: int) -> PullDown:
    answer = next(a for a in record.duties if a.code == duty.code)
    points = capacity_points(record, answer)
    left_out = tuple(h for h in record.hot_cabins if h.code == duty.code and h.reason)
    outside_c = float(prepared.outside_c[row])
    soak_c, goal_c = outside_c + default_value("soak_rise_k"), default_value("pull_down_goal_c")
    cabin = nodes_of(case.car.cabin, prepared, row, goal_c, soak_c)
    # a rear coil recirculates: what the front one takes from outside is a smaller share of all air
    coil_air_kg_s = float(answer.coil_air_kg_s or prepared.coil_air_kg_s[row])
    share = float(prepared.intake_share[row] * prepared.coil_air_kg_s[row]) / coil_air_kg_s
    intake_c = float(prepared.intake_c[row])
    plant = capacity_line(points, case.plant.freeze_surface_c)
    window_s = default_value("windows_open_min") * S_PER_MIN
    window_w_k = _window_w_k(prepared, row, (soak_c + outside_c) / 2)

    def supply(seconds: float, air_c: float) -> Line:
        heat = plant.at(share * intake_c + (1 - share) * air_c)
        per_k = -heat.per_k_w * (1 - share)
        at_zero = -heat.at_zero_w - heat.per_k_w * share * intake_c
        if seconds < window_s:
            return Line(at_zero + window_w_k * outside_c, per_k - window_w_k)
        return Line(at_zero, per_k)

    course = two_node_course(cabin, soak_c, soak_c, supply, SHOWN_MIN)
    inlet_c = share * intake_c + (1 - share) * course.air_c
    stream_w_k = coil_air_kg_s * (HEAT_DRY_AIR + HEAT_VAPOUR * prepared.outside_w[row])
    behind_coil_w = float(prepared.duct_gain_w[row] + prepared.matrix_leak_w[row])
    vent_c = inlet_c - (plant.heat_w(inlet_c) - behind_coil_w) / stream_w_k
    reached = minutes_to_reach(course, goal_c)
    judged_s = default_value("pull_down_vent_min") * S_PER_MIN
    vent = float(np.interp(judged_s, course.seconds, vent_c))
    in_time = reached is not None and reached <= default_value("pull_down_goal_min")
    is_met = in_time and vent <= default_value("pull_down_vent_c")
    return PullDown(
        duty=duty,
        soak_c=soak_c,
        cabin=cabin,
        course=course,
        vent_c=vent_c,
        points=points,
        goal_min=reached,
        vent_judged_c=vent,
        is_met=is_met,
        left_out=left_out,
    )


def _window_w_k(prepared: Prepared, row: int, air_c: float) -> float:
    """Conductance of the air through the open windows, W/K, at a mean cabin temperature."""
    flow = opening_m3_s(
        default_value("windows_open_area_m2"), default_value("windows_open_height_m"),
        prepared.outside_c[row], air_c, prepared.road_speed_km_h[row] / 3.6,
    )  # fmt: skip
    volume = specific_volume_m3_kg(
        prepared.outside_c[row], prepared.outside_w[row], prepared.pressure_pa[row]
    )
    return float(flow / volume * HEAT_DRY_AIR)


def warm_ups(case: Case, state: Winter) -> tuple[WarmUp, ...]:
    """Warm-ups from the winter's cold, the coolant rising evenly to its recorded temperature."""
    each_k = state.each_k_w()
    return tuple(
        _warm_up(case, state, i, float(each_k[i]))
        for i in range(len(state.points))
        if np.isfinite(each_k[i] * state.points[i].coolant_c) and state.prepared.is_complete[i]
    )


def _warm_up(case: Case, state: Winter, row: int, each_k: float) -> WarmUp:
    prepared, point = state.prepared, state.points[row]
    outside_c, target_c = float(prepared.outside_c[row]), float(prepared.target_c[row])
    cabin = nodes_of(case.car.cabin, prepared, row, outside_c, target_c)
    share, intake_c = float(prepared.intake_share[row]), float(prepared.intake_c[row])
    warm_s = default_value("engine_warm_up_min") * S_PER_MIN

    def supply(seconds: float, _air_c: float) -> Line:
        coolant_c = outside_c + (point.coolant_c - outside_c) * min(seconds / warm_s, 1.0)
        return Line(each_k * (coolant_c - share * intake_c), -each_k * (1 - share))

    course = two_node_course(cabin, outside_c, outside_c, supply, 2 * SHOWN_MIN)
    return WarmUp(point.code, point.words, target_c, course, minutes_to_reach(course, target_c))
