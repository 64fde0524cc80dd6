"""The drawing of a charging curve."""

from itertools import pairwise

import pytest

from kits.survey.curve import BOTTOM, LEFT, RIGHT, TOP, curve_of, ticks


def test_without_points_there_is_no_drawing():
    assert curve_of([], 800, 20) is None


@pytest.mark.parametrize("top", [1, 3, 22, 45, 300, 3500, 6000])
def test_ticks_are_few_even_and_reach_the_largest_value(top):
    found = ticks(top)
    steps = {round(b - a, 9) for a, b in pairwise(found)}
    assert found[0] == 0
    assert found[-1] >= top
    assert len(steps) == 1
    assert 2 <= len(found) <= 7


def test_points_stand_in_proportion_and_inside_the_axes():
    drawn = curve_of([(0, 0), (1000, 10), (5000, 50)], 800, 25)
    assert drawn is not None
    (x0, y0), (x1, y1), (x2, y2) = drawn.points
    assert (x0, y0) == (LEFT, BOTTOM)
    assert (x2, y2) == (RIGHT, TOP)
    assert (x1 - x0) * 5 == pytest.approx(x2 - x0, abs=0.3)
    assert (y0 - y1) * 5 == pytest.approx(y0 - y2, abs=0.3)
    assert drawn.load_y == pytest.approx((BOTTOM + TOP) / 2, abs=0.1)
    assert LEFT < drawn.idle_x < x1


def test_a_load_above_the_curve_still_lies_on_the_paper():
    drawn = curve_of([(1000, 5), (2000, 8)], None, 40)
    assert drawn.load_y >= TOP
    assert drawn.idle_x is None


def test_the_drawing_is_said_in_words():
    words = curve_of([(1000, 5), (2000, 18)], None, None).words
    assert words == "Current of the generator: 5.0 A at 1,000 rpm; 18.0 A at 2,000 rpm."
