"""The pressure switch: distances by hand, pressures at rest against CoolProp."""

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from kits.sizing.gas.pressure_chain import at_rest_bar_g, chain_distances, starts_from_c
from kits.sizing.gas.refrigerant import refrigerant

GAS = refrigerant("R-134a")


def test_distances_by_hand() -> None:
    found = chain_distances([14.0, 27.0], 15.0, 28.0, 22.0)
    assert found.above_fan_on_bar.tolist() == [-1.0, 12.0]
    assert found.below_cut_out_bar.tolist() == [14.0, 1.0]
    assert found.below_reset_bar.tolist() == [8.0, -5.0]


@pytest.mark.parametrize(("fan_on", "cut_out", "reset"), [(28, 28, 22), (15, 28, 28), (15, 20, 22)])
def test_a_chain_out_of_order_is_refused(fan_on: float, cut_out: float, reset: float) -> None:
    with pytest.raises(ValueError, match="below its cut-out"):
        chain_distances(14.0, fan_on, cut_out, reset)
    with pytest.raises(ValueError, match="needs a head pressure"):
        chain_distances(float("nan"), 15, 28, 22)


@pytest.mark.parametrize("ambient_c", [-10.0, 0.0, 20.0, 35.0])
def test_pressure_at_rest(ambient_c: float) -> None:
    # source: CoolProp
    expected = (PropsSI("P", "T", ambient_c + 273.15, "Q", 1, "R134a") - 101325) / 1e5
    assert at_rest_bar_g(GAS, ambient_c) == pytest.approx(expected, rel=1e-4)


@pytest.mark.parametrize("cut_out", [0.8, 2.0, 3.5])
def test_below_that_temperature_the_pressure_at_rest_is_under_the_cut_out(cut_out: float) -> None:
    t = float(starts_from_c(GAS, cut_out))
    assert at_rest_bar_g(GAS, t) == pytest.approx(cut_out, abs=1e-4)
    assert at_rest_bar_g(GAS, t - 1) < cut_out < at_rest_bar_g(GAS, t + 1)


def test_on_a_frosty_morning_a_switch_of_two_bar_is_open() -> None:
    # R-134a at 0 °C: 2.93 bar absolute (CoolProp), 1.9 bar g
    assert at_rest_bar_g(GAS, 0.0) == pytest.approx(1.915, abs=0.005)
    assert 0 < float(starts_from_c(GAS, 2.0)) < 1.5
    assert np.isnan(starts_from_c(GAS, np.array([-1.1, 2.0]))).tolist() == [True, False]
