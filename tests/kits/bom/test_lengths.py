"""Cut length and tolerance of a hose."""

import pytest

from kits.bom.lengths import cut_length


def test_cut_length_is_route_plus_slack_and_rock_less_the_ends():
    # by hand: 1,200 + max(2.5 % = 30, 25) + 35 - 40 - 55 = 1,170
    found = cut_length(1200, 0.025, 25, 35, 40, 55)
    assert found.cut_mm == 1170
    assert found.slack_mm == 65


def test_slack_is_never_below_its_minimum():
    assert cut_length(400, 0.025, 25, 0, 0, 0).slack_mm == 25


@pytest.mark.parametrize(
    ("routed_mm", "tolerance_mm"), [(475, 3), (476, 5), (975, 5), (976, 5.0), (1975, 10.0), (3900, 19.6)]
)
def test_tolerance_follows_the_cut_length(routed_mm, tolerance_mm):
    # ±3 mm up to 500, ±5 up to 1,000, ±0.5 % above (common practice, no source)
    assert cut_length(routed_mm, 0, 25, 0, 0, 0).tolerance_mm == pytest.approx(tolerance_mm, abs=0.06)


def test_ends_longer_than_the_route_are_refused():
    with pytest.raises(ValueError, match="longer than the route"):
        cut_length(100, 0, 25, 0, 80, 80)


@pytest.mark.parametrize("routed_mm", [0, -5, float("nan")])
def test_a_length_that_is_none_is_refused(routed_mm):
    with pytest.raises(ValueError, match="above zero"):
        cut_length(routed_mm, 0.02, 25, 0, 0, 0)
