"""Torque, cooling for power, and the error of a fit: textbook cycles, hand sums and refusals."""

import numpy as np
import pytest

from kits.sizing.machine.plant_figures import cooling_per_power, rms, shaft_torque_nm
from tests.reference import case, check


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
    # one mechanical horsepower at 5,252 rpm is one pound-foot
    assert shaft_torque_nm(745.6999, 5252) == pytest.approx(1.355818, rel=1e-4)


TON_OF_REFRIGERATION_KW = 3.51685


@pytest.mark.parametrize("name", ["cyc-cengel-11-1", "cyc-moran-10-1", "cyc-moran-10-2"])
def test_the_cooling_for_power_of_textbook_cycles(name: str) -> None:
    # Cengel and Boles, example 11-1; Moran and Shapiro, examples 10.1 and 10.2, which tell tons of refrigeration
    one = case("refrigerants.json", name)
    o = one["outputs"]
    cooling_kw = o["Q_L_kW"] if "Q_L_kW" in o else o["Q_L_ton"] * TON_OF_REFRIGERATION_KW
    check(cooling_per_power(1000 * cooling_kw, 1000 * o["W_kW"]), o["COP"], one["tolerance"], "COP")


def test_no_cycle_cools_more_for_its_power_than_carnots() -> None:
    # Moran and Shapiro, example 10.1: 0 and 26 °C
    o = case("refrigerants.json", "cyc-moran-10-1")["outputs"]
    found = cooling_per_power(1000 * o["Q_L_ton"] * TON_OF_REFRIGERATION_KW, 1000 * o["W_kW"])
    assert found < 273.15 / 26 == pytest.approx(o["COP_carnot"], rel=0.01)


@pytest.mark.parametrize("bad", [(-1, 900), (1000, 0), (1000, -5), (float("nan"), 900), (1000, float("inf"))])
def test_what_makes_no_sense_is_refused(bad: tuple[float, float]) -> None:
    for function in (shaft_torque_nm, cooling_per_power):
        with pytest.raises(ValueError, match="above zero"):
            function(*bad)
        assert np.isnan(function(np.array([bad[0], 1000]), np.array([bad[1], 900]))).tolist() == [True, False]
