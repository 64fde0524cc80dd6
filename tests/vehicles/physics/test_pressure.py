import re
from pathlib import Path

import numpy as np
import pytest

from vehicles.physics.pressure import absolute_pa, gauge_bar_g

ROOT = Path(__file__).parents[3]


def test_the_air_itself_is_no_pressure_on_a_gauge_and_a_vacuum_is_below_it():
    assert gauge_bar_g(101325.0) == 0
    assert gauge_bar_g(201325.0) == pytest.approx(1)
    assert gauge_bar_g(0.0) == pytest.approx(-1.01325)
    assert absolute_pa(28.0) == pytest.approx(2_901_325)


def test_both_ways_give_the_same_pressure_back():
    for bar_g in (-1.0, 0.0, 1.9, 16.4, 28.0):
        assert gauge_bar_g(absolute_pa(bar_g)) == pytest.approx(bar_g, abs=1e-12)


def test_a_number_gives_a_plain_number_and_an_array_an_array():
    assert type(gauge_bar_g(3e5)) is type(absolute_pa(2.0)) is float
    assert gauge_bar_g(np.array([101325.0, np.nan])).tolist() == pytest.approx([0.0, np.nan], nan_ok=True)
    assert absolute_pa(np.array([0.0, 1.0])).tolist() == pytest.approx([101325.0, 201325.0])


def test_no_other_module_works_a_gauge_pressure_out_itself():
    air = r"(\w*ATMOSPHERE\w*|STANDARD_PRESSURE_PA|101_?325(\.0)?)"
    by_hand = re.compile(rf"-\s*{air}\s*\)\s*/|(1e5|PA_PER_BAR)\s*\+\s*{air}")
    assert by_hand.search("(pa - ATMOSPHERE_PA) / 1e5") and by_hand.search("cut * 1e5 + ATMOSPHERE_PA")
    modules = [path for app in ("kits", "vehicles") for path in (ROOT / app).rglob("*.py")]
    assert [p.name for p in modules if by_hand.search(p.read_text(encoding="utf-8"))] == ["pressure.py"]
