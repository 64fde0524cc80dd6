"""The air's states are those of the balance, and psychrolib's."""

from dataclasses import replace
from functools import cache

import psychrolib
import pytest

from kits.sizing.case.case import Duty
from kits.sizing.verdict.answers import answers_at
from kits.sizing.verdict.record import DutyAnswer
from kits.topics.air.air_points import air_points, bypass_share, condensate_kg_h, sensible_share
from tests.kits.sizing.cases import CRUISE, IDLE, TOWN, case, duty

psychrolib.SetUnitSystem(psychrolib.SI)
FRESH = duty(air_mode="fresh")
DRY = duty(rh=0.05, occupants=1)
DUTIES = {"cruise": CRUISE, "town": TOWN, "idle": IDLE, "fresh": FRESH, "dry": DRY}


@cache
def solved(name: str) -> tuple[Duty, DutyAnswer]:
    """A duty point with its answer."""
    (found,) = answers_at(case(), [DUTIES[name]], with_holds=False)
    return DUTIES[name], found


def h(t_c: float, w: float) -> float:
    return float(psychrolib.GetMoistAirEnthalpy(t_c, w))


@pytest.mark.parametrize("name", DUTIES)
def test_heat_and_water_close_with_the_balance(name: str) -> None:
    at, answer = solved(name)
    # source: enthalpies by psychrolib
    points = {p.place: p for p in air_points(at.climate, answer)}
    before, after = points["into the coil"], points["off the coil"]
    m = answer.coil_air_kg_s or 0.0
    fall = h(before.temperature_c, before.humidity_kg_kg) - h(after.temperature_c, after.humidity_kg_kg)
    assert m * fall == pytest.approx(answer.capacity_w, rel=1e-3)
    water = condensate_kg_h(m, before.humidity_kg_kg, after.humidity_kg_kg)
    assert water == pytest.approx(answer.condensate_kg_h, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize("name", DUTIES)
def test_outside_and_fins_hold_what_psychrolib_says(name: str) -> None:
    at, answer = solved(name)
    # source: psychrolib, within 0.05 %
    points = {p.place: p for p in air_points(at.climate, answer)}
    outside = points["outside"]
    expected = psychrolib.GetHumRatioFromRelHum(at.climate.outside_c, at.climate.rh, 101325)
    assert outside.humidity_kg_kg == pytest.approx(expected, rel=1e-3)
    fins, inlet = points["at the fins"], points["into the coil"]
    saturated = psychrolib.GetSatHumRatio(fins.temperature_c, 101325)
    assert fins.humidity_kg_kg == pytest.approx(min(saturated, inlet.humidity_kg_kg), rel=1e-3)
    cabin = points["cabin"]
    rh = psychrolib.GetRelHumFromHumRatio(cabin.temperature_c, cabin.humidity_kg_kg, 101325)
    assert rh == pytest.approx(answer.cabin_humidity_share, rel=1e-3)


@pytest.mark.parametrize("name", DUTIES)
def test_the_air_off_the_coil_lies_between_inlet_and_fins(name: str) -> None:
    at, answer = solved(name)
    points = {p.place: p for p in air_points(at.climate, answer)}
    inlet, fins, off = (points[place] for place in ("into the coil", "at the fins", "off the coil"))
    fall = h(inlet.temperature_c, inlet.humidity_kg_kg) - h(fins.temperature_c, fins.humidity_kg_kg)
    left = h(off.temperature_c, off.humidity_kg_kg) - h(fins.temperature_c, fins.humidity_kg_kg)
    assert left / fall == pytest.approx(answer.bypass_factor, abs=1e-3)
    told = bypass_share(inlet.temperature_c, off.temperature_c, fins.temperature_c)
    assert told == pytest.approx(answer.bypass_factor, abs=0.01)


@pytest.mark.parametrize("name", DUTIES)
def test_recirculated_air_enters_near_the_cabins_state_and_fresh_air_near_that_of_outside(name: str) -> None:
    at, answer = solved(name)
    points = {p.place: p for p in air_points(at.climate, answer)}
    place = "outside" if name == "fresh" else "cabin"
    assert points["into the coil"].temperature_c == pytest.approx(points[place].temperature_c, abs=4.01)
    assert points["at the vents"].temperature_c > points["off the coil"].temperature_c


def test_a_dry_coil_makes_no_water_and_all_its_heat_is_sensible() -> None:
    _, answer = solved("dry")
    assert answer.condensate_kg_h == pytest.approx(0.0, abs=1e-9)
    assert sensible_share(answer.capacity_sensible_w or 0, answer.capacity_w or 0) == pytest.approx(1.0)
    _, wet = solved("fresh")
    assert sensible_share(wet.capacity_sensible_w or 0, wet.capacity_w or 0) < 0.8


def test_by_hand() -> None:
    assert sensible_share(2100, 3500) == pytest.approx(0.6)
    assert condensate_kg_h(0.1, 0.012, 0.008) == pytest.approx(1.44)
    assert bypass_share(27, 7, 2) == pytest.approx(0.2)
    assert bypass_share(27, [2, 27], 2).tolist() == [0, 1]


def test_what_makes_no_sense_is_refused() -> None:
    for function, bad in (
        (sensible_share, (-1, 3500)), (sensible_share, (2100, 0)), (condensate_kg_h, (0.1, 0.008, 0.012)),
        (condensate_kg_h, (-0.1, 0.012, 0.008)), (bypass_share, (2, 7, 27)), (bypass_share, (27, 30, 2)),
        (bypass_share, (27, float("nan"), 2)),
    ):  # fmt: skip
        with pytest.raises(ValueError, match="needs"):
            function(*bad)


def test_a_duty_point_that_was_not_solved_has_no_states() -> None:
    at, answer = solved("cruise")
    with pytest.raises(ValueError, match="not solved"):
        air_points(at.climate, replace(answer, surface_c=None))
