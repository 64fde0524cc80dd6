"""The expansion valve away from its rating, against CoolProp, hand sums and limits."""

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from kits.sizing.gas.refrigerant import refrigerant
from kits.sizing.gas.valve import (
    ValveState,
    highest_evaporating_c,
    operating_state,
    rating_state,
    used_share,
    valve_capacity_w,
    valve_word,
)

GAS = refrigerant("R-134a")
FLUID = "R134a"
RATED = ValveState(np.float64(4.14e5), np.float64(1150.0), np.float64(150e3))
FACTORS = st.floats(0.2, 5)


def test_the_rating_state_is_that_of_the_data_sheet() -> None:
    # source: CoolProp; the state itself (40 °F, 100 °F, 60 psi) is from memory
    found = rating_state(GAS)
    h_v, h_l = PropsSI("H", "T", 277.55, "Q", 1, FLUID), PropsSI("H", "T", 310.95, "Q", 0, FLUID)
    assert found.drop_pa == pytest.approx(60 * 6894.757, rel=2e-3)
    assert found.rho_liquid_kg_m3 == pytest.approx(PropsSI("D", "T", 310.95, "Q", 0, FLUID), rel=1e-4)
    assert found.cooling_j_kg == pytest.approx(h_v - h_l, rel=1e-4)


@pytest.mark.parametrize(
    ("name", "fluid"), [("R-134a", "R134a"), ("R-1234yf", "R1234yf"), ("R-152a", "R152A")]
)
def test_the_working_state_is_that_of_the_refrigerant(name: str, fluid: str) -> None:
    # source: CoolProp
    found = operating_state(refrigerant(name), 2.0, 52.0, 5.0, 6.0)
    p_0, p_c = (PropsSI("P", "T", t + 273.15, "Q", 1, fluid) for t in (2.0, 52.0))
    h_out = PropsSI("H", "T", 7.0 + 273.15, "P", p_0, fluid)
    h_in, rho = (PropsSI(what, "T", 46.0 + 273.15, "P", p_c, fluid) for what in "HD")
    assert found.drop_pa == pytest.approx(p_c - p_0, rel=1e-4)
    assert found.rho_liquid_kg_m3 == pytest.approx(rho, rel=1e-4)
    assert found.cooling_j_kg == pytest.approx(h_out - h_in, rel=1e-4)


def test_at_its_rating_a_valve_passes_its_nominal_capacity() -> None:
    assert valve_capacity_w(5300, RATED, RATED) == pytest.approx(5300)


@given(FACTORS, FACTORS, FACTORS)
def test_capacity_goes_with_the_root_of_drop_and_density_and_with_the_cooling(
    a: float, b: float, c: float
) -> None:
    working = ValveState(RATED.drop_pa * a, RATED.rho_liquid_kg_m3 * b, RATED.cooling_j_kg * c)
    assert valve_capacity_w(1000, RATED, working) == pytest.approx(1000 * c * (a * b) ** 0.5)


def test_a_hot_idle_by_hand() -> None:
    # 12.0 bar across where 4.14 are rated, 1,080 for 1,150 kg/m³, 132 for 150 kJ/kg:
    # 1.7025 · 0.9691 · 0.88 = 1.4519; of 5,300 W: 7,695 W
    working = ValveState(np.float64(12.0e5), np.float64(1080.0), np.float64(132e3))
    assert valve_capacity_w(5300, RATED, working) == pytest.approx(7695, rel=1e-3)


@pytest.mark.parametrize("drop", [0.0, -1e5, float("nan")])
def test_without_a_drop_nothing_is_told(drop: float) -> None:
    with pytest.raises(ValueError, match="above zero"):
        valve_capacity_w(5300, RATED, RATED._replace(drop_pa=np.float64(drop)))
    rows = RATED._replace(drop_pa=np.array([drop, 4.14e5]))
    assert np.isnan(valve_capacity_w(5300, RATED, rows)).tolist() == [True, False]


def test_a_used_share_by_hand() -> None:
    assert used_share(3000, 7500) == pytest.approx(0.4)
    assert used_share([0, 8250], 7500).tolist() == [0, pytest.approx(1.1)]
    for bad in ((-1, 8000), (3000, 0), (float("nan"), 8000), (3000, float("inf"))):
        with pytest.raises(ValueError, match="cooling not negative"):
            used_share(*bad)


@pytest.mark.parametrize(
    ("share", "word"),
    [
        (0.0, "hunts"),
        (0.299, "hunts"),
        (0.3, "healthy"),
        (1.1, "healthy"),
        (1.101, "starves"),
        (3.0, "starves"),
    ],
)
def test_between_30_and_110_percent_a_valve_is_healthy(share: float, word: str) -> None:
    # common practice, no source
    assert valve_word(share) == word


@pytest.mark.parametrize("share", [-0.1, float("nan"), float("inf")])
def test_a_share_that_is_none_is_refused(share: float) -> None:
    with pytest.raises(ValueError, match="not below zero"):
        valve_word(share)


def test_the_pressure_limit_as_a_temperature() -> None:
    # source: CoolProp
    expected = PropsSI("T", "P", 4.0e5 + 101325, "Q", 1, FLUID) - 273.15
    assert highest_evaporating_c(GAS, 4.0) == pytest.approx(expected, abs=0.005)
