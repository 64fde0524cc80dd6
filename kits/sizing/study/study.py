"""A question put to a fitment: what comes out at a duty point when weather, driving, settings or car are changed.

Nothing is kept here. A question that changes nothing gives the very answer of the sizing.
"""

import math
from collections.abc import Iterator
from dataclasses import KW_ONLY, dataclass, replace

from kits.sizing.case.case import Case, Duty, Point
from kits.sizing.case.levers import Lever, levers, pulled
from kits.sizing.verdict.answers import answers_at
from kits.sizing.verdict.record import DutyAnswer
from vehicles.climate.duty_kinds import KINDS
from vehicles.heatload.inputs import AIR_MODES, ClimateState
from vehicles.physics.arrays import Refusal

IDLE = "idle"
"""Kinds of duty point whose answer moves with a study; a course of time or a winter point has no such picture."""
RANGES: dict[str, tuple[float, float, str]] = {
    "outside_c": (-40, 60, "The outside temperature must lie within −40 to 60 °C."),
    "humidity_pct": (0, 100, "The relative humidity must lie within 0 to 100 %."),
    "sun_pct": (0, 120, "The sun must lie within 0 and 120 % of the duty point’s own."),
    "road_speed_km_h": (0, 250, "The road speed must lie within 0 to 250 km/h."),
    "engine_rpm": (
        1,
        12_000,
        "The engine speed must lie within 1 and 12,000 rpm: at 0 nothing drives the kit.",
    ),
    "blower_pct": (10, 100, "The blower’s share must lie within 10 to 100 %."),
    "fresh_pct": (0, 100, "The share of fresh air must lie within 0 to 100 %."),
    "target_c": (10, 40, "The cabin temperature asked for must lie within 10 to 40 °C."),
}


@dataclass(frozen=True)
class Question:
    """What differs from the fitment at one of its duty points; None leaves the duty point's own.

    duty             code of the duty point
    humidity_pct     relative humidity outside
    sun_pct          of the duty point's own sun, beam and diffuse alike
    engine_rpm       None: as it follows from the duty point, by road speed or at idle
    compressor_rpm   the highest an electric compressor may turn at
    blower_pct       of the motor's voltage; blower_step: the same by the number of a step of the blower
    fresh_pct        of the coil's air, in mixed air mode
    levers           codes of changes to car or kit, made in the order of the data file
    """

    duty: str
    _: KW_ONLY
    outside_c: float | None = None
    humidity_pct: float | None = None
    sun_pct: float | None = None
    road_speed_km_h: float | None = None
    engine_rpm: float | None = None
    compressor_rpm: float | None = None
    blower_pct: float | None = None
    blower_step: int | None = None
    air_mode: str | None = None
    fresh_pct: float | None = None
    occupants: int | None = None
    target_c: float | None = None
    levers: tuple[str, ...] = ()


def duties_of(case: Case) -> tuple[Duty, ...]:
    """The duty points that can be asked about."""
    return tuple(duty for duty in case.duties if duty.of_kind.is_studied)


def levers_of(case: Case) -> tuple[Lever, ...]:
    """The levers that change this case."""
    return tuple(lever for lever in levers() if pulled(case, lever) is not None)


def stored_values(case: Case, duty: Duty) -> dict[str, float | int | str | None]:
    """Where each thing that can be asked about stands at a duty point; None where it has no value of its own."""
    climate, compressor = duty.climate, case.plant.compressor
    return {
        "outside_c": climate.outside_c,
        "humidity_pct": _percent(climate.rh),
        "sun_pct": 100.0,
        "road_speed_km_h": climate.road_speed_km_h,
        "engine_rpm": None if compressor.electric else Point(case, duty).engine_rpm(),
        "compressor_rpm": compressor.speed_max_rpm if compressor.electric else None,
        "blower_pct": _percent(duty.blower_share),
        "blower_step": next((n for n, share in case.plant.blower_steps if share == duty.blower_share), None),
        "air_mode": climate.air_mode,
        "fresh_pct": _percent(climate.fresh_share),
        "occupants": climate.occupants,
        "target_c": climate.target_c,
    }


def _percent(share: float | None) -> float | None:
    return None if share is None else 100 * share


def answer_point(case: Case, duty: Duty, *, with_holds: bool = False) -> DutyAnswer:
    """The answer at one duty point; with_holds also what limits the capacity and which cabin the kit holds.

    Raises Refusal for a duty point of a kind that is not studied.
    """
    if not duty.of_kind.is_studied:
        studied = ", ".join(kind.code for kind in KINDS if kind.is_studied)
        raise Refusal(f"{duty.name} is a {duty.kind} point; only {studied} can be studied.")
    return answers_at(case, [duty], with_holds=with_holds)[0]


def ask(case: Case, question: Question, *, with_holds: bool = False) -> DutyAnswer:
    """The answer to a question. Raises Refusal for one that makes no sense."""
    refused = refusals(case, question)
    if refused:
        raise Refusal(" ".join(refused.values()))
    return answer_point(*changed(case, question), with_holds=with_holds)


def duty_of(case: Case, question: Question) -> Duty:
    """The duty point that is asked about, as stored. Raises Refusal for one the fitment does not have."""
    found = next((duty for duty in duties_of(case) if duty.code == question.duty), None)
    if found is None:
        raise Refusal(f"This fitment has no duty point {question.duty} to ask about.")
    return found


def changed(case: Case, question: Question) -> tuple[Case, Duty]:
    """The case and the duty point with the changes made, the levers last, so that they act on what is asked."""
    duty = _duty(case, duty_of(case, question), question)
    made = _case(case, duty, question)
    for lever in levers():
        if lever.code in question.levers:
            made = pulled(made, lever) or made
    return made, duty


def _case(case: Case, duty: Duty, question: Question) -> Case:
    if question.engine_rpm is not None and duty.engine_state == IDLE:
        case = replace(case, car=replace(case.car, hot_idle_rpm=question.engine_rpm))
    if question.compressor_rpm is not None:
        compressor = replace(case.plant.compressor, speed_max_rpm=question.compressor_rpm)
        case = replace(case, unit=replace(case.plant, compressor=compressor))
    return case


def _duty(case: Case, duty: Duty, question: Question) -> Duty:
    duty = replace(duty, climate=_climate(duty, question))
    if question.engine_rpm is not None and duty.engine_state != IDLE:
        duty = replace(duty, engine_state="fixed", engine_rpm=question.engine_rpm)
    if question.blower_step is not None:
        return replace(duty, blower_share=dict(case.plant.blower_steps)[question.blower_step])
    if question.blower_pct is not None:
        return replace(duty, blower_share=question.blower_pct / 100)
    return duty


def _climate(duty: Duty, question: Question) -> ClimateState:
    climate = duty.climate
    if question.outside_c is not None:
        climate = replace(climate, outside_c=question.outside_c)
    if question.humidity_pct is not None:
        climate = replace(climate, rh=question.humidity_pct / 100)
    if question.sun_pct is not None:
        share = question.sun_pct / 100
        beam, diffuse = climate.beam_normal_w_m2, climate.diffuse_horizontal_w_m2
        climate = replace(
            climate,
            beam_normal_w_m2=None if beam is None else beam * share,
            diffuse_horizontal_w_m2=None if diffuse is None else diffuse * share,
        )
    if question.road_speed_km_h is not None:
        climate = replace(climate, road_speed_km_h=question.road_speed_km_h)
        if duty.engine_state == "fixed":
            # the panels beside the engine are as at idle when the car stands and as at cruise when it moves
            climate = replace(climate, engine_state="fixed")
    if question.air_mode is not None:
        climate = replace(climate, air_mode=question.air_mode)
    if question.fresh_pct is not None:
        climate = replace(climate, fresh_share=question.fresh_pct / 100)
    if question.occupants is not None:
        climate = replace(climate, occupants=question.occupants)
    if question.target_c is not None:
        climate = replace(climate, target_c=question.target_c)
    return climate


def refusals(case: Case, question: Question) -> dict[str, str]:
    """What makes no sense in a question: a sentence by field; empty when it can be asked."""
    duty = duty_of(case, question)
    found: dict[str, str] = {}
    for name, (low, high, sentence) in RANGES.items():
        value = getattr(question, name)
        if value is not None and not (math.isfinite(value) and low <= value <= high):
            found[name] = sentence
    for name, sentence in (*_settings(case, duty, question), *_driving(duty, question)):
        found.setdefault(name, sentence)
    if not found:
        found.update(_speeds(case, question))
    return found


def _settings(case: Case, duty: Duty, question: Question) -> Iterator[tuple[str, str]]:
    seats = len(case.car.cabin.seats)
    if question.occupants is not None and not 0 <= question.occupants <= seats:
        yield "occupants", f"This cabin has {seats} seats: between 0 and {seats} people can be asked about."
    if question.air_mode is not None and question.air_mode not in AIR_MODES:
        yield "air_mode", f"The air mode is one of {', '.join(AIR_MODES)}."
    mode = question.air_mode or duty.climate.air_mode
    if mode == "mixed" and question.fresh_pct is None and duty.climate.fresh_share is None:
        yield "fresh_pct", "Say how much of the air is fresh when it is mixed, such as 30 %."
    if question.blower_step is not None and question.blower_step not in dict(case.plant.blower_steps):
        yield "blower_step", f"This blower has no step {question.blower_step}."
    if unknown := set(question.levers) - {lever.code for lever in levers_of(case)}:
        yield "levers", f"These changes are not for this fitment: {', '.join(sorted(unknown))}."


def _driving(duty: Duty, question: Question) -> Iterator[tuple[str, str]]:
    speed = question.road_speed_km_h
    if speed is None or not math.isfinite(speed):
        return
    if duty.of_kind.idles and speed > (duty.climate.road_speed_km_h or 0.0):
        yield "road_speed_km_h", "At idle the car stands: start from a cruise or town point to drive."
    if duty.engine_state == "cruise" and speed == 0 and question.engine_rpm is None:
        sentence = (
            "At 0 km/h the engine, which follows the road speed here, would stand: type an engine speed too."
        )
        yield "road_speed_km_h", sentence


def _speeds(case: Case, question: Question) -> Iterator[tuple[str, str]]:
    """Speeds that the compressor does not run at, when one was asked for."""
    compressor = case.plant.compressor
    low, high = compressor.speed_min_rpm, compressor.speed_max_rpm
    if question.compressor_rpm is not None:
        if not compressor.electric:
            yield "compressor_rpm", "A belt drives this compressor: ask for an engine speed."
        elif not low <= question.compressor_rpm <= high:  # also refuses NaN
            yield "compressor_rpm", f"This compressor runs between {low:,.0f} and {high:,.0f} rpm."
    if question.engine_rpm is None:
        return
    if compressor.electric:
        yield (
            "engine_rpm",
            "This compressor is electric and does not follow the engine: ask for its own speed.",
        )
        return
    turned = Point(*changed(case, question)).compressor_rpm()
    if turned is not None and not low <= turned <= high:
        limits = f"it runs between {low:,.0f} and {high:,.0f}"
        yield "engine_rpm", f"The compressor would turn at {turned:,.0f} rpm; {limits}."
