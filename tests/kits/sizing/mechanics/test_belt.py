"""The belt's way against handbook formulas, layouts by hand, and a worked example (Jindal, Machine Design, 21-2)."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from kits.sizing.mechanics import belt
from tests.reference import case, check


def two(d1, d2, centre, crossed=False):
    return belt.belt_run([0.0, centre], [0.0, 0.0], [d1, d2], [False, crossed])


def test_two_equal_pulleys_are_wrapped_by_half_a_turn():
    run = two(100, 100, 300)
    assert run.wrap_deg == pytest.approx([180, 180])
    assert run.span_mm == pytest.approx([300, 300])
    assert run.length_mm == pytest.approx(600 + math.pi * 100)
    assert not run.is_crossed


def speed_m_s(rpm, diameter_mm):
    """Speed of a belt on a pulley."""
    return math.pi * diameter_mm / 1000 * rpm / 60


def test_open_belt_of_the_crank_and_the_compressor():
    # open-belt geometry, exact
    one = case("belt.json", "belt-compressor")
    i, wanted = one["inputs"], one["outputs"]
    run = two(i["D_crank_mm"], i["d_comp_mm"], i["C_mm"])
    rpm = belt.driven_rpm(i["engine_rpm"], i["D_crank_mm"], i["d_comp_mm"])
    for name, got in (
        ("L_mm", run.length_mm),
        ("wrap_large_deg", run.wrap_deg[0]),
        ("wrap_small_deg", run.wrap_deg[1]),
        ("comp_rpm", rpm),
        ("belt_speed_m_s", speed_m_s(rpm, i["d_comp_mm"])),
    ):
        check(got, wanted[name], one["tolerance"], name)


def test_open_belt_of_jindal_example_21_2():
    one = case("belt.json", "belt-jindal-21-2")
    i, wanted = one["inputs"], one["outputs"]
    run = two(1000 * i["D"], 1000 * i["d"], 1000 * i["C"])
    check(run.length_mm / 1000, wanted["Lp_m"], one["tolerance"], "Lp_m")


def test_crossed_belt_by_the_handbook_formula():
    # handbooks: wrap 180° + 2·arcsin((D + d)/2C) at both, L = 2·√(C² − ((D + d)/2)²) + (D + d)/2·wrap
    run = two(300, 200, 800, crossed=True)
    wrap = math.pi + 2 * math.asin(500 / 1600)
    assert run.wrap_deg == pytest.approx([math.degrees(wrap)] * 2)
    assert run.length_mm == pytest.approx(2 * math.sqrt(800**2 - 250**2) + 250 * wrap)
    assert run.is_crossed


def test_three_equal_pulleys_by_hand():
    # an equilateral triangle of 300 mm: a third of a turn at each, one circumference in all
    run = belt.belt_run([0, 300, 150], [0, 0, 300 * math.sqrt(3) / 2], [100] * 3, [False] * 3)
    assert run.wrap_deg == pytest.approx([120] * 3)
    assert run.length_mm == pytest.approx(900 + 100 * math.pi)


def test_three_pulleys_of_different_size_by_hand():
    # centres (0, 0), (400, 0), (0, 300); radii 100, 50, 50. Free lengths √(400² − 50²) = 396.863, 500 and
    # √(300² − 50²) = 295.804; the belt runs at 7.1808°, 143.1301° and 260.4059°; wraps are their differences.
    # Length 1192.667 + 100·1.86357 + 50·2.37276 + 50·2.04685 = 1600.00
    run = belt.belt_run([0, 400, 0], [0, 0, 300], [200, 100, 100], False)
    assert run.span_mm == pytest.approx([396.863, 500, 295.804], abs=0.001)
    assert run.wrap_deg == pytest.approx([106.775, 135.949, 117.276], abs=0.001)
    assert run.length_mm == pytest.approx(1600.005, abs=0.005)


def test_a_tensioner_at_the_back_by_hand():
    # radii 50 at (0, 0) and (400, 0), 25 at the back at (200, 60): centre distance √(200² + 60²) = 208.806, free
    # length √(208.806² − 75²) = 194.872; wrap there 2·(arcsin(75/208.806) − arctan(60/200)) = 8.702°, half of it
    # more than 180° at each of the others
    run = belt.belt_run([0, 400, 200], [0, 0, 60], [100, 100, 50], [False, False, True])
    assert run.wrap_deg == pytest.approx([184.351, 184.351, 8.702], abs=0.001)
    assert run.span_mm == pytest.approx([400, 194.872, 194.872], abs=0.001)


def ring(angles, distances, diameters):
    """Pulleys around a point, in the order of their angles."""
    turn = np.cumsum(angles) / np.sum(angles) * 2 * np.pi
    return distances * np.cos(turn), distances * np.sin(turn), np.asarray(diameters)


@st.composite
def layouts(draw):
    n = draw(st.integers(3, 6))
    angles = draw(st.lists(st.floats(1.0, 1.6), min_size=n, max_size=n))
    diameters = draw(st.lists(st.floats(50, 180), min_size=n, max_size=n))
    return ring(angles, np.full(n, 600.0), diameters)


@given(layouts())
def test_inner_wraps_make_one_turn(layout):
    run = belt.belt_run(*layout, False)
    assert np.sum(run.wrap_deg) == pytest.approx(360, abs=1e-6)
    assert not run.is_crossed


@given(layouts(), st.floats(10, 60))
def test_inner_wraps_less_back_ones_make_one_turn(layout, depth_mm):
    x, y, d = layout
    plain = belt.belt_run(x, y, d, False)
    # a small pulley pressed on the middle of the first free length, from outside
    middle = np.array([(x[0] + x[1]) / 2, (y[0] + y[1]) / 2])
    outward = middle / np.hypot(*middle)
    at = middle + outward * ((d[0] + d[1]) / 4 + 20 - depth_mm)
    x, y, d = (np.insert(a, 1, v) for a, v in ((x, at[0]), (y, at[1]), (d, 40.0)))
    back = np.arange(len(x)) == 1
    gaps = np.hypot(x - at[0], y - at[1]) - (d + 40) / 2
    assume(np.all(np.delete(gaps, 1) > 0))
    run = belt.belt_run(x, y, d, back)
    assume(run.wrap_deg[1] < 180)
    assert np.sum(np.where(back, -run.wrap_deg, run.wrap_deg)) == pytest.approx(360, abs=1e-6)
    assert run.length_mm > plain.length_mm - 1e-6


@given(layouts(), st.floats(0.2, 5), st.floats(-3, 3))
def test_the_way_does_not_depend_on_sense_size_or_turn(layout, scale, turn):
    x, y, d = layout
    run = belt.belt_run(x, y, d, False)
    back = belt.belt_run(x[::-1], y[::-1], d[::-1], False)
    assert back.wrap_deg[::-1] == pytest.approx(run.wrap_deg, abs=1e-6)
    mirrored = belt.belt_run(-x, y, d, False)
    assert mirrored.length_mm == pytest.approx(run.length_mm)
    u, v = x * np.cos(turn) - y * np.sin(turn), x * np.sin(turn) + y * np.cos(turn)
    turned = belt.belt_run(scale * u + 7, scale * v - 3, scale * d, False)
    assert turned.length_mm == pytest.approx(scale * run.length_mm)
    assert turned.wrap_deg == pytest.approx(run.wrap_deg, abs=1e-6)


def test_a_batch_gives_what_each_layout_gives_and_marks_the_bad_one():
    x = np.array([[0, 400, 0], [0, 300, 150], [0, 100, 150]], dtype=float)
    y = np.array([[0, 0, 300], [0, 0, 260], [0, 0, 260]], dtype=float)
    d = np.array([[200, 100, 100], [100, 100, 100], [150, 100, 100]], dtype=float)  # the last ones overlap
    run = belt.belt_run(x, y, d, False)
    for row in (0, 1):
        alone = belt.belt_run(x[row], y[row], d[row], False)
        assert run.wrap_deg[row] == pytest.approx(alone.wrap_deg)
        assert run.length_mm[row] == pytest.approx(alone.length_mm)
    assert np.isnan(run.length_mm[2])
    assert np.all(np.isnan(run.wrap_deg[2]))
    assert not run.is_crossed[2]


@pytest.mark.parametrize(
    ("x", "y", "d", "back"),
    [
        ([0], [0], [100], [False]),
        ([0, 90], [0, 0], [100, 100], False),
        ([0, 300], [0, 0], [100, 0], False),
        ([0, 300], [0, 0], [100, -50], False),
        ([0, float("nan")], [0, 0], [100, 100], False),
        # a pulley inside the loop that the belt doesn't reach
        ([0, 300, 600, 300], [0, 200, 0, 600], [100] * 4, False),
    ],
)
def test_a_layout_that_carries_no_belt_is_refused(x, y, d, back):
    with pytest.raises(ValueError, match="A belt needs"):
        belt.belt_run(x, y, d, back)


def test_offset_is_counted_per_200_mm():
    assert belt.plane_offset_mm_per_200([0, 1.5, 0], [300, 150, 400]) == pytest.approx([1.0, 2.0, 0.0])
    assert np.isnan(belt.plane_offset_mm_per_200([0, np.nan], [300, 300])).all()


def test_pull_torque_and_speed_by_hand():
    assert belt.belt_pull_n(14, 120) == pytest.approx(233.33, abs=0.01)
    assert belt.driven_rpm(800, 180, 120) == pytest.approx(1200)
    assert belt.crank_torque_nm(12, 150, 120) == pytest.approx(15)
    assert belt.air_rise_k(5000, 0.5) == pytest.approx(9.94, abs=0.01)


@given(st.floats(1, 40), st.floats(100, 6000), st.floats(60, 200), st.floats(60, 200))
def test_power_is_the_same_at_both_pulleys(torque, rpm, crank, driven):
    turned = belt.driven_rpm(rpm, crank, driven)
    assert belt.crank_torque_nm(torque, crank, driven) * rpm == pytest.approx(torque * turned)
    assert speed_m_s(rpm, crank) == pytest.approx(speed_m_s(turned, driven))
    assert belt.driven_rpm(turned, driven, crank) == pytest.approx(rpm)


@given(st.floats(1, 6000), st.floats(60, 200), st.floats(60, 200), st.floats(0, 50))
def test_a_bigger_crank_pulley_turns_the_compressor_faster_and_a_bigger_one_of_its_own_slower(
    n, one, other, more
):
    assert belt.driven_rpm(n, one + more, other) >= belt.driven_rpm(n, one, other)
    assert belt.driven_rpm(n, one, other + more) <= belt.driven_rpm(n, one, other)


def test_engaging_pulls_more_than_running_and_in_proportion():
    one, two_fold = belt.engagement_pull_n([100.0, 200.0])
    assert one > 100
    assert two_fold == pytest.approx(2 * one)


@pytest.mark.parametrize(
    "call",
    [
        lambda: belt.belt_pull_n(-1, 120), lambda: belt.belt_pull_n(10, 0), lambda: belt.belt_pull_n(np.nan, 120),
        lambda: belt.driven_rpm(-1, 100, 100), lambda: belt.driven_rpm(800, 100, 0),
        lambda: belt.crank_torque_nm(1, 0, 1), lambda: belt.air_rise_k(100, 0), lambda: belt.air_rise_k(-1, 1),
        lambda: belt.engagement_pull_n(-1),
    ],
)  # fmt: skip
def test_bad_input_is_refused_with_a_sentence(call):
    with pytest.raises(ValueError, match=r"\.$"):
        call()
