"""Load and capacity over outside temperature and engine speed: what stays, what changes, where they cross."""

from dataclasses import replace
from itertools import pairwise

import pytest

from kits.sizing.balance.balance_input import Status
from kits.sizing.verdict.answers import answers_at
from kits.sizing.verdict.outlook import carries, crossing_c, outlooks, road_point, steps, weather
from kits.sizing.verdict.record import Outlook, Reach, SizingRecord
from kits.sizing.verdict.verdict import size
from tests.kits.sizing.cases import CRUISE, IDLE, TOWN, case, duty, electric_case
from tests.vehicles.heatload.cars import SUMMER
from vehicles.physics.air import humidity_ratio

CUT_OUT = 28.0
CASES = (case(CRUISE), electric_case(CRUISE), case(TOWN, fan_free_m3_h=1100.0))


@pytest.fixture(scope="module")
def records() -> list[SizingRecord]:
    return size(CASES)


@pytest.fixture(scope="module")
def told(records: list[SizingRecord]) -> list[Outlook]:
    found = [record.outlook for record in records]
    assert None not in found
    return [outlook for outlook in found if outlook is not None]


def reach(outside_c: float, margin: float | None, head: float = 15.0, status: str = Status.FULL) -> Reach:
    return Reach(outside_c=outside_c, rpm=3000.0, status=status, margin_share=margin, high_side_bar_g=head)


def test_the_water_outside_stays_until_the_air_is_saturated() -> None:
    # 35 °C and 40 % hold 14.1 g/kg (ASHRAE), which is saturated at 19.3 °C
    hot, mild, cold = (weather(SUMMER, t) for t in (45.0, 25.0, 10.0))
    assert humidity_ratio(45.0, hot.rh or 0) == pytest.approx(float(humidity_ratio(35.0, 0.4)))
    assert humidity_ratio(25.0, mild.rh or 0) == pytest.approx(float(humidity_ratio(35.0, 0.4)))
    assert cold.rh == 1.0
    assert replace(hot, outside_c=35.0, rh=0.4) == SUMMER, "nothing but temperature and humidity changes"
    assert weather(SUMMER, 35.0).rh == pytest.approx(0.4)


def test_weather_without_a_humidity_is_refused() -> None:
    with pytest.raises(ValueError, match="temperature and humidity"):
        weather(replace(SUMMER, rh=None), 30.0)


def test_the_margin_is_used_up_between_two_temperatures() -> None:
    # by hand: 0.06 falls to -0.02 in 4 K: nought after 3 K
    assert crossing_c([reach(36, 0.06), reach(40, -0.02)], CUT_OUT) == pytest.approx(39.0)


def test_the_high_pressure_switch_may_end_it_first() -> None:
    # by hand: the head rises from 26 to 30 bar g in 4 K: 28 after 2 K, before the margin is gone after 3 K
    stopped = reach(40, -0.02, 30.0, Status.HIGH_PRESSURE)
    assert crossing_c([reach(36, 0.06, 26.0), stopped], CUT_OUT) == pytest.approx(38.0)
    held = reach(40, 0.05, 30.0, Status.HIGH_PRESSURE)
    assert not carries(held)
    assert crossing_c([reach(36, 0.06, 26.0), held], CUT_OUT) == pytest.approx(38.0)


def test_where_nothing_crosses_nothing_is_told() -> None:
    assert crossing_c([reach(36, 0.3), reach(40, 0.1)], CUT_OUT) is None
    assert crossing_c([reach(36, -0.1), reach(40, -0.3)], CUT_OUT) is None
    unsolved = Reach(outside_c=40, rpm=3000.0, status=Status.NO_SOLUTION, reason="No state was found.")
    assert crossing_c([reach(36, 0.3), unsolved], CUT_OUT) is None


def test_sized_at_the_crossing_the_margin_is_nought(told: list[Outlook]) -> None:
    for one, outlook in zip(CASES, told, strict=True):
        assert outlook.crossing_c is not None
        at = one.duties[0]
        there = replace(at, climate=weather(at.climate, outlook.crossing_c))
        (alone,) = answers_at(one, [there], with_holds=False)
        assert alone.margin_share == pytest.approx(0.0, abs=0.003)


def test_curve_and_map_hold_what_a_run_of_their_own_gives(told: list[Outlook]) -> None:
    rpm = 0.4 * 36.0 * 30.0
    for i, cell, change in (
        (0, next(r for r in told[0].curve if r.outside_c == 36), {}),
        (2, told[2].grid[10], {"engine_state": "fixed", "engine_rpm": rpm}),
    ):
        assert cell.outside_c == 36
        own = CASES[i].duties[0]
        (alone,) = answers_at(
            CASES[i], [replace(own, climate=weather(own.climate, 36.0), **change)], with_holds=True
        )
        assert alone.capacity_w is not None
        assert cell.capacity_w == pytest.approx(alone.capacity_w)
        assert cell.load_w == pytest.approx(alone.load_w)
        assert cell.margin_share == pytest.approx(alone.margin_share)
        assert (cell.status, cell.limit) == (alone.status, alone.limit)
    assert told[2].grid[10].rpm == pytest.approx(rpm)
    assert told[2].grid[10].limit == "compressor"


def test_hotter_outside_the_load_grows_and_the_margin_shrinks(told: list[Outlook]) -> None:
    for outlook in told:
        solved = [r for r in outlook.curve if r.margin_share is not None]
        assert len(solved) >= 6
        assert all(a.load_w < b.load_w for a, b in pairwise(solved))
        assert all(a.margin_share > b.margin_share for a, b in pairwise(solved))


def test_at_a_higher_speed_a_kit_never_cools_less(told: list[Outlook]) -> None:
    # a belt compressor at its full flow gives more with speed, one held by the freeze control the same
    for outlook in told[:2]:
        for t in steps().map_outside_c:
            heats = [r.capacity_w for r in outlook.grid if r.outside_c == t and r.capacity_w is not None]
            assert len(heats) >= 4
            assert all(b >= a - 1.0 for a, b in pairwise(heats))


def test_the_map_names_what_holds_each_cell(told: list[Outlook]) -> None:
    for outlook in told:
        assert len(outlook.grid) == len(steps().map_outside_c) * len(steps().engine_shares)
        for cell in outlook.grid:
            known = cell.capacity_w is not None
            assert known == (cell.reason == "")
            if known:
                assert cell.limit in ("freeze", "compressor", "coil air", "condenser", "")


def test_the_own_speed_stands_in_curve_and_map_alike(told: list[Outlook]) -> None:
    for outlook in told:
        for cell in outlook.grid:
            if cell.rpm == outlook.curve[0].rpm:
                assert cell in outlook.curve


def test_only_road_points_that_are_required_and_solved_have_an_outlook() -> None:
    without = SizingRecord(
        verdict="not sized",
        worst_duty_point="",
        margin_share=None,
        limit="",
        basis="estimated",
        load_uncertainty_share=0.15,
        capacity_uncertainty_share=0.12,
        duties=(),
    )
    assert road_point(without) is None
    idle = size([case(IDLE)])[0]
    assert idle.outlook is None
    assert outlooks([case(IDLE)], [idle]) == [None]
    informative = replace(duty(), required=False)
    assert size([case(informative)])[0].outlook is None


def test_the_worst_road_point_is_the_one_looked_at(records: list[SizingRecord]) -> None:
    better, worse = records[0].duties[0], replace(records[0].duties[0], code="w", margin_share=-0.5)
    assert road_point(replace(records[0], duties=(better, worse))) is worse
