"""Courses of a small cabin: its two nodes against its steady heat load, its warm-up against what is held."""

from dataclasses import replace

import numpy as np
import pytest

from kits.sizing.courses import SHOWN_MIN, nodes_of, skin_m2, warm_ups
from kits.sizing.defaults import default_value
from kits.sizing.winter import held_c
from tests.kits.sizing.test_winter import CABIN, state_of
from vehicles.heatload.load import heating_load_w
from vehicles.heatload.prepare import prepare


def test_the_two_nodes_have_the_heat_load_of_the_steady_cabin():
    state = state_of()
    cabin = nodes_of(CABIN, state.prepared, 0, -10.0, 20.0)
    for t in (-10.0, 5.0, 20.0):
        need = float(heating_load_w(prepare([state.points[0].load]), t)[0])
        lost = (cabin.air_loss_w_k + cabin.mass_loss_w_k) * t - cabin.air_gain_w - cabin.mass_gain_w
        assert lost == pytest.approx(need, abs=1.0)
    assert cabin.mass_kj_k == pytest.approx(2.3 * default_value("mass_kj_k_m3"))
    assert cabin.air_kj_k == pytest.approx(2.3 * 1.25 * 1.006, rel=0.02)


class Car:
    cabin = CABIN


class CaseOf:
    car = Car


def test_a_cabin_warms_towards_the_temperature_its_matrix_holds():
    state = state_of()
    found = warm_ups(CaseOf, state)[0]  # type: ignore[arg-type]
    air = found.course.air_c
    assert air[0] == pytest.approx(-10.0)
    assert np.all(np.diff(air) > -1e-9)
    assert air[-1] == pytest.approx(float(held_c(state)[0]), abs=0.5)
    assert found.goal_min is not None
    assert 3 < found.goal_min < 30
    assert found.course.step_error_k < 0.2


def test_coolant_that_stays_cold_warms_nothing():
    state = state_of(coolant_c=-10.0)
    found = warm_ups(CaseOf, state)[0]  # type: ignore[arg-type]
    assert found.goal_min is None
    assert found.course.seconds[-1] == 2 * SHOWN_MIN * 60
    assert np.allclose(found.course.air_c, -10.0, atol=0.1)


def test_hotter_coolant_is_quicker():
    times = [warm_ups(CaseOf, state_of(coolant_c=c))[0].goal_min for c in (70.0, 90.0)]  # type: ignore[arg-type]
    assert times[1] < times[0]


def test_coolant_that_is_not_known_has_no_warm_up():
    assert warm_ups(CaseOf, state_of(coolant_c=float("nan"))) == ()  # type: ignore[arg-type]


def test_the_skin_is_the_sum_of_the_surfaces():
    assert skin_m2(CABIN) == pytest.approx(8.0)
    assert skin_m2(replace(CABIN, surfaces=())) == 0.0
