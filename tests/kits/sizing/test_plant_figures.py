"""Torque, cooling for power, and the error of a fit: hand sums and refusals."""

import numpy as np
import pytest

from kits.sizing.plant_figures import cooling_per_power, rms, shaft_torque_nm


def test_an_error_by_hand() -> None:
    # √((9 + 16)/2) = 3.536
    assert rms([3, -4]) == pytest.approx(3.5355, abs=1e-4)
    assert rms([0.0]) == 0


@pytest.mark.parametrize("bad", [[], [float("nan"), 1], [float("inf")]])
def test_an_error_of_nothing_is_refused(bad: list[float]) -> None:
    with pytest.raises(ValueError, match="at least one difference"):
        rms(bad)


def test_a_torque_by_hand() -> None:
    # 1,000 W at 955 rpm: 100.0 rad/s, 10.0 N·m
    assert shaft_torque_nm(1000, 955) == pytest.approx(10.0, abs=0.001)
    assert shaft_torque_nm([0, 1000], 955).tolist() == [0, pytest.approx(10.0, abs=0.001)]


def test_a_cop_by_hand() -> None:
    assert cooling_per_power(3000, 1200) == pytest.approx(2.5)


@pytest.mark.parametrize("bad", [(-1, 900), (1000, 0), (1000, -5), (float("nan"), 900), (1000, float("inf"))])
def test_what_makes_no_sense_is_refused(bad: tuple[float, float]) -> None:
    for function in (shaft_torque_nm, cooling_per_power):
        with pytest.raises(ValueError, match="above zero"):
            function(*bad)
        assert np.isnan(function(np.array([bad[0], 1000]), np.array([bad[1], 900]))).tolist() == [True, False]
