"""The idle that carries the loads: the charging curve read the other way round."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.sizing.electrics.battery import ChargingCurve
from kits.sizing.electrics.idle_speed import engine_speed_for_current_rpm

DYNAMO = ChargingCurve(((650.0, 0.0), (1050.0, 22.0), (5000.0, 22.0)))


def test_by_hand_half_the_current_comes_half_way_up():
    assert engine_speed_for_current_rpm(DYNAMO, 11.0) == pytest.approx(850.0)


def test_the_lowest_speed_is_told_where_many_give_the_current():
    assert engine_speed_for_current_rpm(DYNAMO, 22.0) == pytest.approx(1050.0)


def test_what_the_curve_never_gives_comes_at_no_speed():
    assert engine_speed_for_current_rpm(DYNAMO, 22.1) == np.inf


def test_below_the_first_row_nothing_is_claimed():
    assert engine_speed_for_current_rpm(ChargingCurve(((900.0, 20.0), (2000.0, 40.0))), 5.0) == 900.0


@given(
    st.lists(st.tuples(st.floats(1, 500), st.floats(0, 60)), min_size=2, max_size=6),
    st.floats(0.1, 60),
)
def test_at_the_speed_found_the_curve_gives_the_current_and_below_it_less(steps, wanted):
    rpm = np.cumsum([step for step, _ in steps])
    curve = ChargingCurve(tuple((float(n), amps) for n, (_, amps) in zip(rpm, steps, strict=True)))
    speed = float(engine_speed_for_current_rpm(curve, wanted))
    if np.isinf(speed):
        assert max(amps for _, amps in steps) < wanted
        return
    assert curve.current_a(speed) >= wanted * (1 - 1e-9)
    below = np.linspace(rpm[0], speed, 7)[:-1]
    if speed > rpm[0]:
        assert np.all(curve.current_a(below) <= wanted * (1 + 1e-9))


@pytest.mark.parametrize("wanted", [0.0, -1.0, np.nan, np.inf])
def test_a_current_that_makes_no_sense_is_refused_alone_and_marked_in_a_batch(wanted):
    with pytest.raises(ValueError, match="above zero"):
        engine_speed_for_current_rpm(DYNAMO, wanted)
    both = engine_speed_for_current_rpm(DYNAMO, [wanted, 11.0])
    assert np.isnan(both[0])
    assert both[1] == pytest.approx(850.0)
