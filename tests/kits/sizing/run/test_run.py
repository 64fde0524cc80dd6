"""The cabin's humidity is found wherever the water balances, also near the end of a refrigerant's range."""

from dataclasses import replace
from itertools import pairwise

import pytest

from kits.fitment.bridge import case_of
from kits.sizing.verdict.verdict import size


@pytest.fixture(scope="module")
def crew_cab(world):
    """A crew cab of the demonstration with R-1234yf, whose condensing range ends at 80 °C."""
    fitment = next(f for f in world.catalogue.fitments if f.variant.code == "CLN")
    return case_of(fitment, world.catalogue.resolve(fitment))[0]


@pytest.mark.parametrize(("fan_share", "rise_k"), [(0.57, 10.0), (0.56, 11.0), (0.50, 14.0)])
def test_a_point_near_full_load_is_solved_though_saturated_air_would_leave_the_range(
    crew_cab, fan_share, rise_k
):
    mounting = replace(crew_cab.mounting, fan_installed_share=fan_share, air_on_rise_idle_k=rise_k)
    record = size([replace(crew_cab, mounting=mounting)])[0]
    town = next(duty for duty in record.duties if duty.code == "town-35")
    assert town.status in ("full", "freeze-limited")
    assert 0.1 < town.margin_share < 0.25


def test_less_air_over_the_condenser_never_gives_more_margin(crew_cab):
    shares = (0.60, 0.57, 0.54, 0.50, 0.46)
    cases = [replace(crew_cab, mounting=replace(crew_cab.mounting, fan_installed_share=s)) for s in shares]
    margins = [
        next(duty for duty in record.duties if duty.code == "town-35").margin_share for record in size(cases)
    ]
    assert all(later <= earlier + 1e-6 for earlier, later in pairwise(margins))
