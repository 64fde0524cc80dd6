"""Two nodes against one (reference case), against scipy's integrator, and in their limits."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.linalg import expm

from kits.sizing.cabin.pulldown import (
    Cabin,
    Line,
    _exact_step,
    capacity_line,
    mass_capacity_kj_k,
    minutes_to_reach,
    one_node_c,
    one_node_seconds,
    two_node_course,
)
from kits.sizing.words.defaults import default_value
from tests.reference import case, check

COUPE = Cabin(
    air_kj_k=2.8,
    mass_kj_k=45.0,
    exchange_w_k=100.0,
    air_gain_w=900.0,
    air_loss_w_k=26.0,
    mass_gain_w=2400.0,
    mass_loss_w_k=34.0,
)


def constant(heat_w: float):
    return lambda seconds, air_c: Line(heat_w, 0.0)


def test_one_node_is_the_exponential_of_the_reference_case():
    known = case("pulldown.json", "pull-one-node")  # closed form of a first-order linear equation
    i, out, tolerance = known["inputs"], known["outputs"], known["tolerance"]
    body = (i["T0"], i["T_amb"], i["C_J_K"], i["UA_W_K"], i["Q_gain_W"] - i["Q_ac_W"])
    check(one_node_seconds(i["T_target"], *body), out["t_to_target_s"], tolerance, "t_to_target_s")
    check(one_node_c(300.0, *body), out["T_at_300s"], tolerance, "T_at_300s")
    check(one_node_c(1e9, *body), out["T_inf"], tolerance, "T_inf")
    part = (i["T_amb"] + body[4] / i["UA_W_K"]) + (i["T0"] - out["T_inf"]) * np.exp(-1)
    check(one_node_c(out["tau_s"], *body), part, tolerance, "tau_s")


def test_the_time_constant_of_a_published_rule_leaves_one_kelvin():
    # SAE 2013-01-1507, from memory: t_c = t_p/ln|T0 - Tcomf| leaves 1 K at t_p; Q = C·(T_i - Tcomf)/t_c
    known = case("pulldown.json", "cab-ac-timeconst")
    i, out, tolerance = known["inputs"], known["outputs"], known["tolerance"]
    c = i["m_air_kg"] * i["c_air"] + i["DTM_J_K"]
    ua = c / out["t_c_s"]
    left = one_node_c(i["t_pulldown_s"], i["T0_C"], i["Tcomf_C"], c, ua, 0.0)
    check(left, i["Tcomf_C"] + 1.0, tolerance, "t_c_s")
    check(ua * (i["T_i_C"] - i["Tcomf_C"]), out["Q_AC_transient_W"], tolerance, "Q_AC_transient_W")


def test_two_nodes_held_together_are_the_one_node_of_the_reference_case():
    i = case("pulldown.json", "pull-one-node")["inputs"]
    # the same body in two halves with a very large exchange; heat into it as gain less loss times temperature
    cabin = Cabin(
        air_kj_k=30.0,
        mass_kj_k=30.0,
        exchange_w_k=1e6,
        air_gain_w=i["UA_W_K"] * i["T_amb"],
        air_loss_w_k=i["UA_W_K"],
        mass_gain_w=0.0,
        mass_loss_w_k=0.0,
    )
    course = two_node_course(cabin, i["T0"], i["T0"], constant(i["Q_gain_W"] - i["Q_ac_W"]), 12.0)
    body = (i["T0"], i["T_amb"], i["C_J_K"], i["UA_W_K"], i["Q_gain_W"] - i["Q_ac_W"])
    assert np.allclose(course.air_c, one_node_c(course.seconds, *body), atol=0.01)
    assert minutes_to_reach(course, i["T_target"]) == pytest.approx(
        one_node_seconds(i["T_target"], *body) / 60, rel=1e-3
    )


def test_without_cooling_the_cabin_ends_where_the_load_is_zero():
    course = two_node_course(COUPE, 60.0, 60.0, constant(0.0), 600.0)
    end = (COUPE.air_gain_w + COUPE.mass_gain_w) / (COUPE.air_loss_w_k + COUPE.mass_loss_w_k)
    assert course.air_c[-1] == pytest.approx(end, abs=0.01)


@given(cooling=st.floats(0, 4000))
def test_under_constant_cooling_the_cabin_ends_where_load_and_cooling_are_equal(cooling):
    course = two_node_course(COUPE, 60.0, 60.0, constant(-cooling), 600.0, 60.0)
    gain, loss = COUPE.air_gain_w + COUPE.mass_gain_w, COUPE.air_loss_w_k + COUPE.mass_loss_w_k
    assert gain - loss * course.air_c[-1] == pytest.approx(cooling, abs=1.0)


def test_an_insulated_cabin_keeps_its_heat():
    cabin = Cabin(
        air_kj_k=3.0,
        mass_kj_k=45.0,
        exchange_w_k=100.0,
        air_gain_w=0.0,
        air_loss_w_k=0.0,
        mass_gain_w=0.0,
        mass_loss_w_k=0.0,
    )
    course = two_node_course(cabin, 20.0, 60.0, constant(0.0), 60.0)
    assert np.allclose(3.0 * course.air_c + 45.0 * course.mass_c, 3.0 * 20 + 45.0 * 60)


@given(
    a=st.tuples(*[st.floats(0.001, 0.1)] * 4),
    sign=st.sampled_from([1.0, -1.0]),
    step=st.floats(1, 60),
)
def test_a_step_is_the_matrix_exponential(a, sign, step):
    # scipy.linalg.expm of the pair with its integral
    pair = np.array([[-a[0] - a[1], a[1]], [sign * a[2], -a[2] - a[3]]])
    whole = expm(np.block([[pair, np.eye(2)], [np.zeros((2, 4))]]) * step)
    found = _exact_step(tuple(pair.ravel().tolist()), step)
    assert np.allclose(found[:4], whole[:2, :2].ravel(), atol=1e-9)
    assert np.allclose(found[4:], whole[:2, 2:].ravel(), rtol=1e-6, atol=1e-7)


def test_a_course_with_a_following_plant_is_that_of_an_independent_integrator():
    plant = capacity_line([(25.0, 2400.0), (39.0, 2600.0)], 2.0)

    def supply(seconds, air_c):
        heat = plant.at(air_c)
        return Line(-heat.at_zero_w, -heat.per_k_w)

    def slopes(seconds, state):
        air, mass = state
        between = COUPE.exchange_w_k * (mass - air)
        heat = COUPE.air_gain_w - COUPE.air_loss_w_k * air + between - plant.heat_w(air)
        return [heat / 2800.0, (COUPE.mass_gain_w - COUPE.mass_loss_w_k * air - between) / 45000.0]

    course = two_node_course(COUPE, 60.0, 60.0, supply, 30.0)
    # scipy's Runge-Kutta of order 5 with tight tolerances
    other = solve_ivp(slopes, (0, 1800), [60.0, 60.0], t_eval=course.seconds, rtol=1e-8, atol=1e-8)
    assert np.max(np.abs(course.air_c - other.y[0])) < 0.05
    assert np.max(np.abs(course.mass_c - other.y[1])) < 0.05
    assert course.step_error_k < 0.1


@given(more=st.floats(1, 2000))
def test_more_cooling_is_never_slower(more):
    slow = two_node_course(COUPE, 60.0, 60.0, constant(-2500.0), 30.0)
    quick = two_node_course(COUPE, 60.0, 60.0, constant(-2500.0 - more), 30.0)
    assert np.all(quick.air_c <= slow.air_c + 1e-9)


def test_a_goal_that_is_not_reached_has_no_time_and_one_at_the_start_takes_none():
    course = two_node_course(COUPE, 60.0, 60.0, constant(0.0), 30.0)
    assert minutes_to_reach(course, 27.0) is None
    assert minutes_to_reach(course, 60.0) == 0.0


def test_the_capacity_gives_the_solved_points_back_and_claims_no_more_above_them():
    plant = capacity_line([(39.0, 2600.0), (25.0, 2400.0)], 2.0)
    assert plant.heat_w([2.0, 25.0, 39.0, 60.0, 0.0]) == pytest.approx([0.0, 2400.0, 2600.0, 2600.0, 0.0])
    for inlet in (-5.0, 2.0, 10.0, 25.0, 30.0, 39.0, 60.0):
        line = plant.at(inlet)
        assert line.at_zero_w + line.per_k_w * inlet == pytest.approx(float(plant.heat_w(inlet)), abs=1e-9)


@pytest.mark.parametrize("points", [[], [(1.0, 500.0)], [(25.0, float("nan"))]])
def test_a_plant_without_a_usable_point_is_refused(points):
    with pytest.raises(ValueError, match="solved point"):
        capacity_line(points, 2.0)


def test_the_rule_for_the_lining_meets_the_bands_of_practice():
    # common practice, no source: 35 to 60 kJ/K in a coupé of 2.2 to 2.6 m³, 80 to 150 in a van of 6.5 to 7.5 m³
    each = default_value("mass_kj_k_m3")
    assert np.all((mass_capacity_kj_k([2.2, 2.6], each) >= 35) & (mass_capacity_kj_k([2.2, 2.6], each) <= 60))
    assert np.all(
        (mass_capacity_kj_k([6.5, 7.5], each) >= 80) & (mass_capacity_kj_k([6.5, 7.5], each) <= 150)
    )
    with pytest.raises(ValueError, match="above 0"):
        mass_capacity_kj_k(0.0, each)


@pytest.mark.parametrize("goal", [59.0, -40.0])
def test_a_goal_that_is_not_on_the_way_is_refused(goal):
    with pytest.raises(ValueError, match="not on the way"):
        one_node_seconds(goal, 58.0, 38.0, 60000.0, 45.0, -3100.0)


def test_bad_bodies_are_refused_and_marked_in_a_batch():
    with pytest.raises(ValueError, match="above 0"):
        one_node_c(10.0, 58.0, 38.0, 0.0, 45.0, 0.0)
    assert np.isnan(one_node_c([10.0, -1.0], 58.0, 38.0, 6e4, 45.0, 0.0)).tolist() == [False, True]
    with pytest.raises(ValueError, match="above 0"):
        two_node_course(
            Cabin(
                air_kj_k=0.0,
                mass_kj_k=45.0,
                exchange_w_k=100.0,
                air_gain_w=0,
                air_loss_w_k=0,
                mass_gain_w=0,
                mass_loss_w_k=0,
            ),
            60.0,
            60.0,
            constant(0.0),
            30.0,
        )
    with pytest.raises(ValueError, match="numbers"):
        two_node_course(COUPE, float("nan"), 60.0, constant(0.0), 30.0)
