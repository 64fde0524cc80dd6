"""Expected readings against the table they come from, CoolProp, and scripted commissioning cases."""

from dataclasses import fields, replace

import numpy as np
import psychrolib
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from kits.sizing.gas.readings import (
    MEASURED,
    CommissioningState,
    Readings,
    expected_bands,
    humidity_beyond,
    judge_readings,
    not_comparable,
    rest_pressure_bar_g,
    table,
)
from tests.reference import load

SCRIPTED = load("readings.json")
"""Scripted, common practice, no source: nothing rests on them alone."""
FLUIDS = {"R-1234yf": "R1234yf", "R-152a": "R152A"}
NAN = float("nan")
STATE = CommissioningState(
    ambient_c=30.0,
    humidity_share=0.5,
    engine_rpm=1500.0,
    minutes=10.0,
    blower_is_highest=True,
    is_recirculated=True,
    doors_are_open=True,
    refrigerant="R-134a",
)


@pytest.mark.parametrize("row", table()["rows"], ids=lambda r: f"{r['ambient_c']}/{r['humidity_share']}")
def test_each_row_of_the_table_comes_back(row):
    found = expected_bands(row["ambient_c"], row["humidity_share"])
    for name in MEASURED:
        assert found.of(name) == pytest.approx(tuple(row[name]))


@given(t=st.floats(20, 37), more=st.floats(0, 3), rh=st.floats(0.3, 0.7))
def test_a_warmer_day_never_lowers_the_high_side(t, more, rh):
    before, after = expected_bands(t, rh), expected_bands(t + more, rh)
    assert after.high_from_bar_g >= before.high_from_bar_g - 1e-9
    assert after.high_to_bar_g >= before.high_to_bar_g - 1e-9


@given(t=st.floats(20, 40), rh=st.floats(0.3, 0.65), more=st.floats(0, 0.05))
def test_moister_air_never_makes_the_vents_colder(t, rh, more):
    before, after = expected_bands(t, rh), expected_bands(t, rh + more)
    assert after.vent_from_c >= before.vent_from_c - 1e-9
    assert after.vent_to_c >= before.vent_to_c - 1e-9


@given(t=st.floats(20, 40), rh=st.floats(0.3, 0.7), gas=st.sampled_from(["R-134a", "R-1234yf", "R-152a"]))
def test_a_band_has_its_lower_end_below_its_upper_one(t, rh, gas):
    found = expected_bands(t, rh, gas)
    assert found.low_from_bar_g < found.low_to_bar_g < found.high_from_bar_g < found.high_to_bar_g
    assert 0 < found.vent_from_c < found.vent_to_c


@pytest.mark.parametrize("row", table()["rows"], ids=lambda r: f"{r['ambient_c']}/{r['humidity_share']}")
def test_nothing_is_extrapolated_at_the_rows_of_the_table(row):
    assert humidity_beyond(row["ambient_c"], row["humidity_share"]) == pytest.approx(0, abs=1e-12)


def test_a_band_is_wider_the_farther_the_humidity_lies_beyond_the_listed_ones():
    # by hand at 40 °C: listed at 30 % only; 0.4, 0.2 and 0.05 outwards at each end for a tenth
    at_30, at_50, at_70 = (expected_bands(40.0, rh) for rh in (0.3, 0.5, 0.7))
    assert humidity_beyond(40.0, [0.3, 0.5, 0.7]) == pytest.approx([0, 0.2, 0.4])
    for name, tenth in (("vent_c", 0.4), ("high_bar_g", 0.2)):
        widths = [high - low for low, high in (b.of(name) for b in (at_30, at_50, at_70))]
        assert widths == pytest.approx([4.0, 4.0 + 4 * tenth, 4.0 + 8 * tenth])


def test_beyond_the_listed_humidities_the_slope_over_enthalpy_is_that_of_the_nearest_temperature():
    # PsychroLib's enthalpies; at 35 °C the vents' band rises by 7 K from 30 to 60 %, at 40 °C it goes on like that
    psychrolib.SetUnitSystem(psychrolib.SI)

    def enthalpy(t, rh):
        return psychrolib.GetMoistAirEnthalpy(t, psychrolib.GetHumRatioFromRelHum(t, rh, 101325.0))

    per_j = 7.0 / (enthalpy(35, 0.6) - enthalpy(35, 0.3))
    expected = 13.0 + per_j * (enthalpy(40, 0.5) - enthalpy(40, 0.3))
    assert np.mean(expected_bands(40.0, 0.5).of("vent_c")) == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize("gas", ["R-1234yf", "R-152a"])
def test_another_gas_reads_the_pressures_of_the_same_saturation_temperatures(gas):
    # CoolProp, exact flashes
    own, other = expected_bands(33.0, 0.45), expected_bands(33.0, 0.45, gas)
    for k in range(4):
        t = PropsSI("T", "P", float(own[k]) * 1e5 + 101325, "Q", 1, "R134a")
        there = (PropsSI("P", "T", t, "Q", 1, FLUIDS[gas]) - 101325) / 1e5
        assert other[k] == pytest.approx(there, abs=0.005)
    assert other.vent_from_c == own.vent_from_c - 1.0
    assert other.vent_to_c == own.vent_to_c + 1.0
    at_rest = PropsSI("P", "T", 298.15, "Q", 0, FLUIDS[gas]) / 1e5 - 1.01325
    assert rest_pressure_bar_g(25.0, gas) == pytest.approx(at_rest, abs=0.005)


@pytest.mark.parametrize(
    ("t", "rh"),
    [(19.9, 0.5), (40.1, 0.3), (20.0, 0.29), (40.0, 0.71), (30.0, 0.9), (float("nan"), 0.5), (30.0, NAN)],
)
def test_states_outside_the_table_are_refused(t, rh):
    with pytest.raises(ValueError, match=r"known from 20 to 40"):
        expected_bands(t, rh)


def test_a_batch_marks_the_rows_outside():
    found = expected_bands([30.0, 45.0], 0.5)
    assert np.isfinite(found.high_to_bar_g).tolist() == [True, False]
    assert found.high_to_bar_g[0] == expected_bands(30.0, 0.5).high_to_bar_g


def test_the_pressure_at_rest_is_the_saturation_pressure():
    for t in (15.0, 18.0, 22.5, 30.0, 35.0):
        saturated = PropsSI("P", "T", t + 273.15, "Q", 0, "R134a") / 1e5 - 1.01325
        assert rest_pressure_bar_g(t) == pytest.approx(saturated, abs=0.1)
    with pytest.raises(ValueError, match="15 to 35"):
        rest_pressure_bar_g(40.0)


@pytest.mark.parametrize("known", SCRIPTED, ids=lambda c: c["id"])
def test_scripted_cases_are_named_by_their_group(known):
    i = known["inputs"]
    judged = judge_readings(Readings(**i["readings"]), expected_bands(i["ambient_C"], i["humidity_share"]))
    assert judged.is_healthy == (known["outputs"]["group"] == "healthy")
    if not judged.is_healthy:
        assert [p.code for p in judged.likely] == [known["outputs"]["group"]]


def test_gauges_alone_leave_what_they_can_not_tell_apart_together():
    bands = expected_bands(30.0, 0.5)
    high = judge_readings(Readings(2.9, 22.0, 14.0), bands)
    assert {p.code for p in high.likely} == {"overcharged-or-air", "condenser-starved"}
    low = judge_readings(Readings(0.8, 11.0, 15.0), bands)
    assert {p.code for p in low.likely} == {"undercharged", "valve-starving"}


def test_a_valve_that_floods_is_named():
    judged = judge_readings(Readings(3.4, 15.0, 13.0, superheat_k=0.0), expected_bands(30.0, 0.5))
    assert [p.code for p in judged.likely] == ["valve-flooding"]


@given(low=st.floats(0.0, 5.0), high=st.floats(5.0, 30.0), vent=st.floats(0.0, 30.0))
def test_nothing_outside_a_band_is_ever_healthy(low, high, vent):
    bands = expected_bands(30.0, 0.5)
    judged = judge_readings(Readings(low, high, vent), bands)
    inside = all(
        bands.of(name)[0] <= value <= bands.of(name)[1]
        for name, value in zip(MEASURED, (low, high, vent), strict=True)
    )
    assert judged.is_healthy == inside
    assert bool(judged.likely) != inside


def test_a_reading_on_the_opposite_side_speaks_against_a_fault():
    # a high superheat is no flooding valve, whatever the gauges say
    judged = judge_readings(Readings(3.4, 15.0, 8.0, superheat_k=15.0), expected_bands(30.0, 0.5))
    assert "valve-flooding" not in {p.code for p in judged.likely}


def test_every_pattern_says_what_each_reading_does_and_no_two_are_the_same():
    names = {f.name for f in fields(Readings)}
    assert set(table()["other_bands"]) == names - set(MEASURED)
    signs = [str(p["signs"]) for p in table()["patterns"]]
    assert all(set(p["signs"]) == names for p in table()["patterns"])
    assert len(set(signs)) == len(signs) == 7


def test_a_reading_that_is_no_number_is_refused():
    with pytest.raises(ValueError, match="high bar g is not a number"):
        judge_readings(Readings(2.0, float("nan"), 8.0), expected_bands(30.0, 0.5))


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"engine_rpm": 800.0}, "1300 to 1800 rpm"),
        ({"minutes": 4.0}, "10 minutes"),
        ({"blower_is_highest": False}, "highest step"),
        ({"is_recirculated": False}, "recirculated"),
        ({"doors_are_open": False}, "doors"),
        ({"refrigerant": "R-22"}, "no pressures are known for R-22"),
        ({"refrigerant": ""}, "without a refrigerant"),
    ],
)
def test_readings_of_another_state_are_not_held_against_the_bands(change, told):
    assert not_comparable(STATE) == not_comparable(replace(STATE, refrigerant="R-1234yf")) == ()
    found = not_comparable(replace(STATE, **change))
    assert len(found) == 1
    assert told in found[0]
