"""The blower's curve, the fan laws, and velocities at a vent."""

from dataclasses import replace
from typing import Any

import numpy as np
import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.sizing.air import blower
from kits.sizing.air.blower import BlowerData
from tests.reference import case, check

# the curve of a dash unit, from memory
DASH = BlowerData(
    curve=((0, 420), (150, 390), (300, 290), (400, 180), (520, 0)),
    rated_voltage_v=13.5,
    current=((0, 9), (300, 14), (520, 18)),
    step_by_resistor=True,
)


def test_fan_laws_meet_the_textbook_example() -> None:
    """Fox and McDonald ch. 10: another speed, size and density."""
    found = case("ducts.json", "fan-law-fox")
    i, expected = found["inputs"], found["outputs"]
    flow, pressure, power = blower.fan_laws(i["N2"] / i["N1"], i["D2_in"] / i["D1_in"], i["rho2"] / i["rho1"])
    got = {
        "ratio_Q": flow,
        "ratio_p": pressure,
        "ratio_P": power,
        "Q2_cfm": flow * i["Q1_cfm"],
        "p2_inH2O": pressure * i["p1_inH2O"],
        "P2_hp": power * i["P1_hp"],
    }
    assert got.keys() == expected.keys()
    for name in expected:
        check(got[name], expected[name], found["tolerance"], name)


@given(st.floats(0.1, 10), st.floats(0.1, 10), st.floats(0.1, 10))
def test_fan_laws_there_and_back_change_nothing(n: float, d: float, rho: float) -> None:
    there, back = blower.fan_laws(n, d, rho), blower.fan_laws(1 / n, 1 / d, 1 / rho)
    for one, other in zip(there, back, strict=True):
        assert one * other == pytest.approx(1)


def test_the_curve_passes_its_rows_and_never_rises() -> None:
    for flow, static in DASH.curve:
        assert DASH.static_pa(flow) == pytest.approx(static, abs=1e-9)
    assert np.all(np.diff(DASH.static_pa(np.linspace(0, 520, 500))) < 0)


def test_outside_the_curve_nothing_is_said() -> None:
    with pytest.raises(ValueError, match="0 to 520 m³/h only"):
        DASH.static_pa(521)
    assert np.isnan(DASH.static_pa(np.array([-1.0, 100.0, 600.0]))).tolist() == [True, False, True]
    with pytest.raises(ValueError, match="outside"):
        DASH.current_a(float("nan"))


def test_current_is_linear_between_its_rows_and_one_row_holds_everywhere() -> None:
    assert DASH.current_a(150) == pytest.approx(11.5)
    assert replace(DASH, current=((0, 16),)).current_a(410) == 16


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"curve": ((0, 420),)}, "two rows"),
        ({"curve": ((0, 420), (0, 300))}, "flow must rise"),
        ({"curve": ((0, 420), (100, 430))}, "static pressure must not"),
        ({"curve": ((0, 0), (100, 0))}, "static pressure must not"),
        ({"curve": ((0, 420), (100, float("nan")))}, "numbers"),
        ({"curve": ((0, 420), (100, -5))}, "not negative"),
        ({"rated_voltage_v": 0}, "rated voltage above zero"),
        ({"current": ()}, "its current"),
        ({"current": ((0, 0),)}, "above zero"),
        ({"current": ((0, 9), (300, 14))}, "cover"),
    ],
)
def test_a_blower_that_makes_no_sense_is_refused(change: dict[str, Any], sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        replace(DASH, **change)


def test_speed_follows_voltage_and_step() -> None:
    assert blower.speed_share(13.5, 0.5, 13.5) == 0.5
    assert blower.speed_share(12.0, 1.0, 13.5) == pytest.approx(0.8889, abs=1e-4)


@pytest.mark.parametrize(("voltage", "share"), [(0, 1), (-12, 1), (12, 0), (12, 1.1), (float("nan"), 1)])
def test_no_voltage_or_no_step_is_refused(voltage: float, share: float) -> None:
    with pytest.raises(ValueError, match="voltage above zero"):
        blower.speed_share(voltage, share, 13.5)


def test_the_density_of_air_is_that_of_psychrolib_within_the_humidity_left_out() -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)
    for t in (0.0, 20.0, 35.0, 50.0):
        dry = psychrolib.GetDryAirDensity(t, 101325)
        assert blower.air_density_kg_m3(t) == pytest.approx(dry, rel=0.005)
        humid = psychrolib.GetMoistAirDensity(t, psychrolib.GetHumRatioFromRelHum(t, 0.4, 101325), 101325)
        assert blower.air_density_kg_m3(t) == pytest.approx(humid, rel=0.02)


@pytest.mark.parametrize("air_c", [-101.0, 201.0, float("nan")])
def test_a_density_out_of_range_is_refused(air_c: float) -> None:
    with pytest.raises(ValueError, match="200 °C only"):
        blower.air_density_kg_m3(air_c)


def test_four_57_mm_outlets_at_320_m3_h_make_8_7_m_s() -> None:
    """Common practice, no source."""
    area_cm2 = np.pi / 4 * 5.7**2
    assert blower.velocity_from_flow_m_s(320 / 4, area_cm2) == pytest.approx(8.7, abs=0.05)


@given(st.floats(0, 30), st.floats(1, 100), st.floats(0.5, 1))
def test_a_measured_velocity_gives_back_the_flow(velocity: float, area: float, share: float) -> None:
    flow = blower.flow_from_velocity_m3_h(velocity, area, share)
    assert blower.velocity_from_flow_m_s(flow, area) == pytest.approx(velocity * share)


@pytest.mark.parametrize("arguments", [(-1, 20), (8, 0), (8, 20, 0), (float("nan"), 20)])
def test_a_reading_that_makes_no_sense_is_refused(arguments: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match="free area"):
        blower.flow_from_velocity_m3_h(*arguments)
