"""Readings held against the bands of a healthy car, and what the pattern speaks for."""

from dataclasses import replace

import pytest

from kits.fitment.readings.judgement import PlantAtHand, Taken, judged

PLANT = PlantAtHand("R-134a", False, 16.0)
# common practice, no source: at 35 °C and 30 % a healthy car reads 1.7 to 2.8 and 15 to 19 bar g, 7 to 11 °C
HEALTHY = Taken(
    ambient_c=35,
    humidity_pct=30,
    air="recirculated",
    blower="highest",
    doors="open",
    minutes=10,
    low_bar_g=2.2,
    high_bar_g=17.0,
    vent_c=9.0,
    engine_rpm=1500,
)


def test_a_healthy_car_is_called_healthy_as_far_as_read():
    found = judged(HEALTHY, PLANT)
    assert found.answer.startswith("Healthy, as far as it was read")
    assert [(line.name, line.expected, line.word) for line in found.lines] == [
        ("Low side", "1.7 to 2.8 bar g", "in its band"),
        ("High side", "15.0 to 19.0 bar g", "in its band"),
        ("Air at the vents", "7.0 to 11.0 °C", "in its band"),
    ]
    assert (found.likely, found.reasons, found.notes) == ((), (), ())


@pytest.mark.parametrize(
    ("changes", "fault"),
    [
        # the patterns a mechanic looks for: common practice, no source
        ({"low_bar_g": 1, "high_bar_g": 11, "vent_c": 17, "subcooling_k": 1, "superheat_k": 16}, "undercharged"),
        ({"high_bar_g": 24.0, "vent_c": 14.0, "subcooling_k": 17.0}, "overcharged, or air in it"),
        ({"low_bar_g": 4.0, "superheat_k": 0.0}, "expansion valve flooding"),
        ({"vent_c": 18.0, "matrix_hose_over_air_k": 25.0}, "hot water leaking past the valve"),
    ],
)  # fmt: skip
def test_a_fault_is_named_with_what_to_check(changes, fault):
    found = judged(replace(HEALTHY, **changes), PLANT)
    assert fault in [pattern.words for pattern in found.likely]
    assert fault in found.answer
    assert all(pattern.check for pattern in found.likely)


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"air": "fresh"}, "The air must be recirculated."),
        ({"blower": "lower"}, "The blower must run at its highest step."),
        ({"doors": "closed"}, "The doors must be open."),
        ({"engine_rpm": 800}, "The engine must turn at 1300 to 1800 rpm."),
        ({"minutes": 4}, "10 minutes must have passed."),
        ({"ambient_c": 12}, "Expected readings are known from 20 to 40 °C"),
        ({"ambient_c": 35, "humidity_pct": 95}, "Expected readings are known from 20 to 40 °C"),
    ],
)
def test_readings_of_another_state_are_not_judged_and_it_is_said_why(changes, sentence):
    found = judged(replace(HEALTHY, **changes), PLANT)
    assert found.answer == "These readings can’t be judged."
    assert any(reason.startswith(sentence) for reason in found.reasons)
    assert (found.lines, found.likely) == ((), ())


def test_an_electric_compressor_and_an_unknown_gas_have_no_bands():
    assert "engine" in judged(HEALTHY, replace(PLANT, is_electric=True)).reasons[0]
    assert "R-999" in judged(HEALTHY, replace(PLANT, refrigerant="R-999")).reasons[0]


def test_another_gas_is_judged_by_converted_bands_and_it_is_said():
    found = judged(HEALTHY, replace(PLANT, refrigerant="R-1234yf"))
    assert found.lines
    assert any("converted to R-1234yf" in note for note in found.notes)


def test_air_in_the_plant_shows_at_rest():
    # common practice: 5.6 bar g at 25 °C; 6.6 is a bar more than the gas alone
    state = replace(HEALTHY, ambient_c=25, humidity_pct=50, high_bar_g=16.0, vent_c=9.0, rest_bar_g=6.6)
    found = judged(state, PLANT)
    line = next(line for line in found.lines if line.name.startswith("Pressure at rest"))
    assert (line.read, line.word) == ("1.00 bar", "above its band")
    assert "overcharged, or air in it" in found.answer


def test_a_pressure_at_rest_on_a_hot_day_is_left_out_and_it_is_said():
    found = judged(replace(HEALTHY, ambient_c=38, high_bar_g=19.5, vent_c=11.0, rest_bar_g=8.5), PLANT)
    assert all(not line.name.startswith("Pressure at rest") for line in found.lines)
    assert any("15 to 35 °C only" in note for note in found.notes)


def test_a_fan_that_stands_where_the_kit_starts_it_comes_first():
    standing = replace(HEALTHY, fan="standing")
    assert any("find out why" in note for note in judged(standing, PLANT).notes)
    assert any("so it may" in note for note in judged(standing, replace(PLANT, fan_on_bar_g=18.0)).notes)
    assert any("find out why" in note for note in judged(replace(standing, air="fresh"), PLANT).notes)


def test_cycling_is_told_where_the_day_makes_it_odd():
    cool = replace(HEALTHY, ambient_c=22, humidity_pct=50, low_bar_g=1.9, high_bar_g=11.0, vent_c=4.5)
    assert not any("day" in note for note in judged(replace(cool, cycling="cycling"), PLANT).notes)
    assert any(
        "a healthy plant cycles" in note for note in judged(replace(cool, cycling="steady"), PLANT).notes
    )
    assert any("does not cycle" in note for note in judged(replace(HEALTHY, cycling="cycling"), PLANT).notes)
    assert judged(replace(HEALTHY, cycling="steady"), PLANT).notes == ()
