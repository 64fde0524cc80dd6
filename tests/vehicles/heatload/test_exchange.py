"""Leakage and openings."""

import math

import pytest

from vehicles.heatload.exchange import leakage_m3_h, opening_m3_s

TABLE = ((50.0, 50.0), (0.0, 15.0), (100.0, 100.0))


def test_leakage_runs_straight_between_its_points_in_any_order() -> None:
    assert leakage_m3_h(TABLE, 0) == 15
    assert leakage_m3_h(TABLE, 75) == pytest.approx(75)


@pytest.mark.parametrize("speed", [101, -1])
def test_leakage_outside_its_points_is_not_known(speed: float) -> None:
    assert math.isnan(leakage_m3_h(TABLE, speed))


def test_stack_and_wind_by_hand() -> None:
    # BS 5925, single-sided: 0.6·0.3/3·√(9.81·0.4·10/303.15) and 0.025·0.3·10
    assert opening_m3_s(0.3, 0.4, 35, 25, 0) == pytest.approx(0.02159, abs=1e-5)
    assert opening_m3_s(0.3, 0.4, 25, 25, 10) == pytest.approx(0.075)


def test_stack_and_wind_add_in_quadrature_and_the_stack_works_both_ways() -> None:
    both = opening_m3_s(0.3, 0.4, 35, 25, 10)
    assert both == pytest.approx(math.hypot(0.02159, 0.075), abs=1e-5)
    assert opening_m3_s(0.3, 0.4, 25, 35, 10) == pytest.approx(both)
