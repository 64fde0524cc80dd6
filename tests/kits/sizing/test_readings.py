"""Expected readings against the table they come from, CoolProp, and scripted commissioning cases."""

from dataclasses import fields, replace

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from kits.sizing.readings import (
    MEASURED,
    CommissioningState,
    Readings,
    expected_bands,
    judge_readings,
    not_comparable,
    rest_pressure_bar_g,
    signs_of,
    table,
)
from tests.reference import load

SCRIPTED = load("readings.json")
"""Scripted, common practice, no source: nothing rests on them alone."""
STATE = CommissioningState(30.0, 0.5, 1500.0, 10.0, True, True, True, "R-134a")


@pytest.mark.parametrize("row", table()["rows"], ids=lambda r: f"{r['ambient_c']}/{r['humidity_share']}")
def test_each_row_of_the_table_comes_back(row):
    found = expected_bands(row["ambient_c"], row["humidity_share"])
    for name in MEASURED:
        assert found.of(name) == pytest.approx(tuple(row[name]))


# the humidities that are known all the way from 20 to 37 °C
@given(t=st.floats(20, 34), more=st.floats(0, 3), rh=st.sampled_from([0.4, 0.45, 0.5]))
def test_a_warmer_day_never_lowers_the_high_side(t, more, rh):
    before, after = expected_bands(t, rh), expected_bands(t + more, rh)
    assert after.high_from_bar_g >= before.high_from_bar_g - 1e-9
    assert after.high_to_bar_g >= before.high_to_bar_g - 1e-9


@given(t=st.floats(25, 35), rh=st.floats(0.45, 0.6), more=st.floats(0, 0.05))
def test_moister_air_never_makes_the_vents_colder(t, rh, more):
    before, after = expected_bands(t, rh), expected_bands(t, rh + more)
    assert after.vent_from_c >= before.vent_from_c - 1e-9
    assert after.vent_to_c >= before.vent_to_c - 1e-9


@given(t=st.floats(20, 40), u=st.floats(0, 1))
def test_a_band_has_its_lower_end_below_its_upper_one(t, u):
    found = expected_bands([t], [0.3 + 0.5 * u])
    for low, high in ((found[0], found[1]), (found[2], found[3]), (found[4], found[5])):
        assert np.all((low < high) | np.isnan(low))


@pytest.mark.parametrize(
    ("t", "rh"), [(19.9, 0.5), (40.1, 0.3), (20.0, 0.3), (40.0, 0.5), (30.0, 0.9), (float("nan"), 0.5)]
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


def test_every_pattern_says_what_each_reading_does_and_no_two_are_the_same():
    names = {f.name for f in fields(Readings)}
    assert set(table()["other_bands"]) == names - set(MEASURED)
    signs = [str(p["signs"]) for p in table()["patterns"]]
    assert all(set(p["signs"]) == names for p in table()["patterns"])
    assert len(set(signs)) == len(signs) == 7


def test_a_reading_that_is_no_number_is_refused():
    with pytest.raises(ValueError, match="high bar g is not a number"):
        signs_of(Readings(2.0, float("nan"), 8.0), expected_bands(30.0, 0.5))


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"engine_rpm": 800.0}, "1300 to 1800 rpm"),
        ({"minutes": 4.0}, "10 minutes"),
        ({"blower_is_highest": False}, "highest step"),
        ({"is_recirculated": False}, "recirculated"),
        ({"doors_are_open": False}, "doors"),
        ({"refrigerant": "R-1234yf"}, "R-134a"),
    ],
)
def test_readings_of_another_state_are_not_held_against_the_bands(change, told):
    assert not_comparable(STATE) == ()
    found = not_comparable(replace(STATE, **change))
    assert len(found) == 1
    assert told in found[0]
