"""The table of ranges is whole, and of each the usual lies within the possible."""

import math

import pytest
from django.apps import apps

from vehicles.physics.ranges import possible, range_of, ranges


def test_what_is_usual_is_possible():
    for place, span in ranges().items():
        assert all(map(math.isfinite, (span.least, span.most, span.least_usual, span.most_usual))), place
        assert span.least <= span.least_usual < span.most_usual <= span.most, place


def test_each_is_about_a_field_that_there_is():
    models = {
        model.__name__: model
        for app in ("vehicles", "kits")
        for model in apps.get_app_config(app).get_models()
    }
    for model, field in ranges():
        models[model]._meta.get_field(field)


@pytest.mark.parametrize(
    ("model", "field", "value"),
    [
        ("Cabin", "volume_m3", 2600.0), ("HoseData", "bore_mm", 0.008), ("SwitchData", "high_cut_out_bar_g", 390.0),
        ("Surface", "tilt_deg", 400.0), ("Fitment", "ram_share", 1.0), ("Kit", "superheat_k", 60.0),
        ("CoolantState", "coolant_c", 940.0), ("Kit", "subcooling_k", 90.0), ("Fitment", "suction_gain_k", -40.0),
        ("ValveData", "max_operating_pressure_bar_g", 40.0), ("Powertrain", "hot_idle_rpm", 7600.0),
        ("Fitment", "fan_installed_share", 0.0),
    ],
)  # fmt: skip
def test_slips_of_the_pen_are_not_possible(model, field, value):
    assert not range_of(model, field).holds(value)


@pytest.mark.parametrize(
    ("model", "field", "value"),
    # a city bus, a truck's generator, a tractor's battery, a hose of 5/8 in
    [("Cabin", "volume_m3", 55.0), ("GeneratorData", "rated_current_a", 220.0),
     ("Powertrain", "system_voltage_v", 24.0), ("HoseData", "bore_mm", 15.9)],
)  # fmt: skip
def test_what_there_is_on_the_road_is(model, field, value):
    assert range_of(model, field).holds(value)


def test_a_field_without_a_range_has_none():
    assert range_of("Cabin", "code") is None
    with pytest.raises(KeyError):
        possible("Cabin", "code")


def test_shares_are_between_nothing_and_the_whole():
    for (model, field), span in ranges().items():
        if field.endswith("_share"):
            assert 0 <= span.least < span.most <= 1, (model, field)
