"""Seconds on and off: identities, limits, hand sums."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.sizing.machine.freeze_time import coil_heat_j_k, cycling

DUTIES = st.floats(0.02, 0.98)


@given(DUTIES, st.floats(500, 8000), st.floats(300, 4000), st.floats(0, 10))
def test_the_share_of_the_time_on_is_the_duty(duty: float, heat: float, coil: float, late: float) -> None:
    found = cycling(duty, heat, coil, 0.5, 3.5, late)
    assert found.on_s / (found.on_s + found.off_s) == pytest.approx(duty)
    assert found.cycles_per_h * (found.on_s + found.off_s) == pytest.approx(3600)


def test_a_cycle_by_hand() -> None:
    # 1,260 J/K, 3 K, 3,000 W: the air warms the fins at 2.381 K/s. Sensor on time: off for 1.26 s; at a duty of 0.75
    # on for three times that. Late by 3 s: off for 1.26 + 3/0.75 = 5.26 s, on for 15.78 s.
    prompt = cycling(0.75, 3000, 1260, 0.5, 3.5, 0)
    assert (prompt.off_s, prompt.on_s) == (pytest.approx(1.26), pytest.approx(3.78))
    late = cycling(0.75, 3000, 1260, 0.5, 3.5, 3)
    assert (late.off_s, late.on_s) == (pytest.approx(5.26), pytest.approx(15.78))
    assert late.cycles_per_h == pytest.approx(3600 / 21.04)


@given(DUTIES, st.floats(0, 5))
def test_the_fins_come_back_to_where_the_cycle_began(duty: float, late: float) -> None:
    # the same cycle walked by its rates: from the warmest fins down while on, up again while off
    heat, coil, low, high = 3200.0, 1500.0, 0.5, 3.5
    found = cycling(duty, heat, coil, low, high, late)
    warming, cooling = heat / coil, (heat / duty - heat) / coil
    warmest, coldest = high + late * warming, low - late * cooling
    assert warmest - cooling * found.on_s == pytest.approx(coldest)
    assert coldest + warming * found.off_s == pytest.approx(warmest)


def test_a_plant_that_always_runs_has_no_off_time_and_one_that_never_runs_no_on_time() -> None:
    always, never = cycling(1, 3000, 1260, 0.5, 3.5, 3), cycling(0, 3000, 1260, 0.5, 3.5, 3)
    assert (always.on_s, always.off_s, always.cycles_per_h) == (np.inf, 0, 0)
    assert (never.on_s, never.off_s, never.cycles_per_h) == (0, np.inf, 0)


def test_a_wider_band_and_a_heavier_coil_cycle_slower() -> None:
    base = cycling(0.6, 3000, 1260, 0.5, 3.5, 3)
    assert cycling(0.6, 3000, 2520, 0.5, 3.5, 3).on_s > base.on_s
    assert cycling(0.6, 3000, 1260, 0.5, 4.5, 3).off_s > base.off_s


@pytest.mark.parametrize(
    "bad",
    [(-0.1, 3000, 1260, 0.5, 3.5, 3), (1.1, 3000, 1260, 0.5, 3.5, 3), (0.5, 0, 1260, 0.5, 3.5, 3),
     (0.5, 3000, 0, 0.5, 3.5, 3), (0.5, 3000, 1260, 3.5, 3.5, 3), (0.5, 3000, 1260, 0.5, 3.5, -1),
     (float("nan"), 3000, 1260, 0.5, 3.5, 3), (0.5, float("inf"), 1260, 0.5, 3.5, 3)],
)  # fmt: skip
def test_a_cycle_that_makes_no_sense_is_refused(bad: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match="A cycle needs"):
        cycling(*bad)
    rows = cycling(
        *(np.array([value, good]) for value, good in zip(bad, (0.5, 3000, 1260, 0.5, 3.5, 3), strict=True))
    )
    assert np.isnan(rows.on_s).tolist() == [True, False]


def test_the_heat_of_a_wet_coil() -> None:
    # by hand: 1.4 kg of aluminium at 900 J/kgK are 1,260, 0.25 kg of water at 4,190 are 1,048 J/K
    assert coil_heat_j_k(1.4, 0.25) == pytest.approx(2308, abs=1)
    assert coil_heat_j_k(1.4, 0) == pytest.approx(1260)
    for bad in ((0, 0.25), (1.4, -0.1), (float("nan"), 0)):
        with pytest.raises(ValueError, match="mass"):
            coil_heat_j_k(*bad)
