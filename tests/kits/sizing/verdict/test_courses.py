"""Courses of a small cabin: its two nodes against its steady heat load, its warm-up against what is held."""

from dataclasses import replace

import numpy as np
import pytest

from kits.sizing.verdict.courses import SHOWN_MIN, capacity_points, nodes_of, pull_downs, skin_m2, warm_ups
from kits.sizing.verdict.verdict import size
from kits.sizing.verdict.winter import held_c
from kits.sizing.words.defaults import default_value
from tests.kits.sizing.balance.test_both_coils import SEALED
from tests.kits.sizing.cases import CRUISE, case, halves
from tests.kits.sizing.verdict.test_winter import CABIN, state_of
from vehicles.heatload.load import heating_load_w
from vehicles.heatload.prepare import prepare
from vehicles.physics.air import HEAT_DRY_AIR, HEAT_VAPOUR


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


def test_the_capacity_follows_the_duty_point_and_its_hotter_cabins():
    record = size([case(CRUISE)])[0]
    (answer,) = record.duties
    points = capacity_points(record, answer)
    assert points[0] == (answer.air_in_c, answer.capacity_sensible_w)
    assert points[1:] == tuple((h.air_in_c, h.capacity_sensible_w) for h in record.hot_cabins)
    assert len(points) == 3
    other = tuple(replace(h, code="another") for h in record.hot_cabins)
    assert capacity_points(replace(record, hot_cabins=other), answer) == points[:1]
    colder = tuple(replace(h, air_in_c=answer.air_in_c - 1) for h in record.hot_cabins)
    assert capacity_points(replace(record, hot_cabins=colder), answer) == points[:1]


def test_two_half_coils_pull_down_as_the_whole_one():
    # identity: everything that was divided by two stands twice, with recirculated air alone at both
    cases = [case(CRUISE, cabin=SEALED), halves(case(CRUISE, cabin=SEALED))]
    one, two = (pull_downs(c, r)[0] for c, r in zip(cases, size(cases), strict=True))
    assert np.array(two.points) == pytest.approx(np.array(one.points), rel=2e-3)
    assert two.goal_min == pytest.approx(one.goal_min, abs=0.1)
    assert two.vent_judged_c == pytest.approx(one.vent_judged_c, abs=0.1)
    assert two.course.air_c == pytest.approx(one.course.air_c, abs=0.1)


@pytest.mark.parametrize("whole", [case(CRUISE), halves(case(CRUISE))], ids=["one coil", "two coils"])
def test_the_air_into_the_coils_is_that_of_the_sizing(whole):
    # the inlet of the soaked cabin, worked back from the vents, lies on the line of the sized inlets
    record = size([whole])[0]
    answer, (low, high) = record.duties[0], record.hot_cabins
    (found,) = pull_downs(whole, record)
    stream_w_k = answer.coil_air_kg_s * (HEAT_DRY_AIR + HEAT_VAPOUR * low.cabin_kg_kg)
    # ducts and a leaking matrix warm the air again behind the coils
    behind_w = sum(answer.sensible_w_by_term[term] for term in ("duct", "matrix"))
    cooled_w = high.capacity_sensible_w - behind_w
    inlet_c = float(found.vent_c[0]) + cooled_w / stream_w_k
    slope = (high.air_in_c - low.air_in_c) / (high.cabin_c - low.cabin_c)
    assert slope < 0.995, "some of the air is from outside"
    assert inlet_c == pytest.approx(high.air_in_c + slope * (found.soak_c - high.cabin_c), abs=0.02)
