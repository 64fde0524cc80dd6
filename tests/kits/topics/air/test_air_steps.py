"""The blower by step of its switch, with a clean and with a clogged filter."""

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import pytest

from kits.sizing.air.air_path import Resistance
from kits.topics.air.air_steps import air_by_step, clogged_cost_share
from tests.kits.sizing.air.test_airflow import PATH

FILTERED = replace(PATH, filter=Resistance(18, 320, 2), clogged_filter=Resistance(55, 320, 2))
STEPS = ((1, 0.5), (2, 0.7), (3, 1.0))


def plant(path: Any = FILTERED, steps: Any = STEPS, currents: Any = ((1, 4.1),)) -> Any:
    """What of a plant the steps are worked out from."""
    return SimpleNamespace(air_path=path, blower_steps=steps, blower_currents=currents)


def test_a_higher_step_moves_more_air_and_a_clogged_filter_less() -> None:
    found = air_by_step(plant(), 13.2)
    assert [one.step for one in found] == [1, 2, 3]
    flows = [one.clean.total_m3_h for one in found]
    assert flows == sorted(flows)
    for one in found:
        assert one.clogged is not None
        assert one.clogged.total_m3_h < one.clean.total_m3_h
        assert max(one.clogged.outlet_velocity_m_s) < max(one.clean.outlet_velocity_m_s)
    assert [one.measured_a for one in found] == [4.1, None, None]


def test_without_steps_there_is_the_full_one_and_without_a_clogged_drop_no_clogged_flow() -> None:
    (only,) = air_by_step(plant(PATH, ()), 13.2)
    assert (only.share, only.clogged) == (1.0, None)
    assert only.clean.total_m3_h == air_by_step(plant(PATH), 13.2)[2].clean.total_m3_h


def test_a_filter_that_clogs_to_its_clean_drop_costs_nothing() -> None:
    (found,) = air_by_step(plant(replace(FILTERED, clogged_filter=FILTERED.filter), ()), 13.2)
    assert found.clogged is not None
    assert clogged_cost_share(found.clean.total_m3_h, found.clogged.total_m3_h) == pytest.approx(0, abs=1e-12)


def test_the_cost_of_a_filter_is_the_share_of_air_that_is_gone() -> None:
    assert clogged_cost_share(300, 240) == pytest.approx(0.2)
    assert clogged_cost_share(300, 0) == 1


@pytest.mark.parametrize(
    ("clean", "clogged"), [(0, 10), (-1, 1), (300, -1), (float("nan"), 1), (1, float("nan"))]
)
def test_flows_that_make_no_sense_are_refused(clean: float, clogged: float) -> None:
    with pytest.raises(ValueError, match="clean flow above zero"):
        clogged_cost_share(clean, clogged)
