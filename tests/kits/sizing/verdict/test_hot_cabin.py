"""What the plant gives in a hotter cabin: more, at the water of the air outside, and told where it does not run."""

from dataclasses import replace

import numpy as np
import pytest

from kits.sizing.balance.balance_input import Status
from kits.sizing.case.case import Case, Point
from kits.sizing.run.batch import build
from kits.sizing.run.run import hold, hold_at
from kits.sizing.verdict.hot_cabin import STOPPED, cabins_c, hot_cabins, pull_down_duties
from kits.sizing.verdict.record import HotCabin, SizingRecord
from kits.sizing.verdict.verdict import size
from tests.kits.sizing.cases import CRUISE, IDLE, TOWN, case, duty, electric_case
from vehicles.physics.air import humidity_ratio, saturation_humidity_ratio

CASES = (case(CRUISE, TOWN, IDLE), electric_case(CRUISE), case(CRUISE, refrigerant="R-1234yf"))


@pytest.fixture(scope="module")
def records() -> list[SizingRecord]:
    return size(CASES)


def one_of(whole: Case) -> tuple[HotCabin, ...]:
    return size([whole])[0].hot_cabins


def test_every_pull_down_has_its_hot_cabins(records: list[SizingRecord]) -> None:
    for whole, record in zip(CASES, records, strict=True):
        wanted = [(d.code, c) for d in whole.duties for c in cabins_c()]
        assert [(h.code, h.cabin_c) for h in record.hot_cabins] == wanted
    assert list(cabins_c()) == sorted(cabins_c())


def test_a_batch_gives_what_each_case_gives_alone(records: list[SizingRecord]) -> None:
    for whole, record in zip(CASES, records, strict=True):
        for together, alone in zip(record.hot_cabins, one_of(whole), strict=True):
            assert together.status == alone.status
            assert together.capacity_sensible_w == pytest.approx(alone.capacity_sensible_w, rel=1e-6)


def test_the_cabin_has_the_water_of_the_air_outside(records: list[SizingRecord]) -> None:
    # 35 °C and 40 % hold 14.1 g/kg (ASHRAE)
    for hot in records[0].hot_cabins:
        assert hot.cabin_kg_kg == pytest.approx(0.0141, abs=5e-5)
        assert hot.cabin_kg_kg == pytest.approx(float(humidity_ratio(35.0, 0.4)))


def test_a_cabin_that_cannot_hold_that_water_is_saturated() -> None:
    wet = duty(outside_c=46.0, rh=0.75)
    coolest, hottest = one_of(case(wet))
    outside_w = float(humidity_ratio(46.0, 0.75))
    assert coolest.cabin_kg_kg == pytest.approx(float(saturation_humidity_ratio(35.0)))
    assert coolest.cabin_kg_kg < outside_w
    assert hottest.cabin_kg_kg == pytest.approx(outside_w)


def test_a_freeze_limited_coil_gives_by_the_inlet_above_its_fins(records: list[SizingRecord]) -> None:
    # fins held at 2 °C: sensible = air · heat · contact · (inlet − fins), by hand; the water in the air changes its
    # heat capacity by 2 % at most
    answer = records[0].duties[0]
    (first, *_) = [h for h in records[0].hot_cabins if h.code == answer.code]
    assert answer.status == first.status == Status.FREEZE_LIMITED
    share = (first.air_in_c - 2.0) / (answer.air_in_c - 2.0)
    assert first.capacity_sensible_w / answer.capacity_sensible_w == pytest.approx(share, rel=0.02)


def test_at_the_humidity_that_is_found_the_given_humidity_says_the_same() -> None:
    # two ways to one state: the cabin's humidity looked for, and the same humidity given
    batch = build([Point(CASES[0], d) for d in CASES[0].duties])
    found = hold(batch, np.array([30.0, 35.0, 40.0]))
    given = hold_at(batch, found.cabin_c, found.cabin_w)
    assert given.balance.sensible_w == pytest.approx(found.balance.sensible_w, rel=1e-5)
    assert given.air_in_c == pytest.approx(found.air_in_c)


def test_a_plant_that_its_switch_stops_gives_nothing_and_says_why(records: list[SizingRecord]) -> None:
    head_pa = [1e5 * a.high_side_bar_g + 101325 for a in records[0].duties if a.code == "cruise"]
    low = case(CRUISE, high_cut_out_pa=head_pa[0] + 1e4)
    stopped = one_of(low)[-1]
    assert stopped.status == Status.HIGH_PRESSURE
    assert stopped.reason == STOPPED[Status.HIGH_PRESSURE]
    assert stopped.capacity_sensible_w is None


def test_only_required_recirculated_and_solved_points_have_a_pull_down(records: list[SizingRecord]) -> None:
    fresh, informative = duty(air_mode="fresh"), replace(CRUISE, required=False)
    assert one_of(case(fresh)) == one_of(case(informative)) == ()
    assert pull_down_duties(CASES[0], ()) == []
    assert hot_cabins([CASES[0]], [replace(records[0], duties=())]) == [()]
    unsolved = tuple(replace(a, capacity_sensible_w=None) for a in records[0].duties)
    assert pull_down_duties(CASES[0], unsolved) == []
