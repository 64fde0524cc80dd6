"""Names tell their unit, and numbers are shown one way."""

from decimal import Decimal

import pytest

from vehicles.physics.quantities import (
    DIMENSIONLESS,
    QUANTITIES,
    celsius,
    format_value,
    in_unit,
    is_dimensionless,
    kelvin,
    kw,
    quantity_of,
    signed_percent,
    unit_key,
)


@pytest.mark.parametrize(
    ("name", "unit"),
    [
        ("glass_area_m2", "m²"),
        ("u_w_m2k", "W/m²K"),
        ("beam_normal_w_m2", "W/m²"),
        ("capacity_w", "W"),
        ("leakage_m3_h", "m³/h"),
        ("duration_h", "h"),
        ("charge_g", "g"),
        ("head_bar_g", "bar g"),
        ("target_c", "°C"),
        ("displacement_cc", "cm³"),
        ("intake_rise_k", "K"),
        ("section_mm2", "mm²"),
        ("road_speed_km_h", "km/h"),
        ("air_kg_s", "kg/s"),
        ("volume_ml_m", "ml/m"),
        ("m2", "m²"),
    ],
)
def test_the_longest_known_ending_decides(name: str, unit: str) -> None:
    quantity = quantity_of(name)
    assert quantity is not None
    assert quantity.unit == unit


@pytest.mark.parametrize("name", ["name", "part_number", "fresh_share", "program", "spam"])
def test_names_without_a_unit_have_no_quantity(name: str) -> None:
    assert quantity_of(name) is None


def test_the_table_has_each_key_once_and_every_row_is_complete() -> None:
    keys = [quantity.key for quantity in QUANTITIES]
    assert len(keys) == len(set(keys))
    assert all(q.label and q.unit and q.definition.endswith(".") and q.decimals >= 0 for q in QUANTITIES)
    assert not set(keys) & set(DIMENSIONLESS)


def test_dimensionless_names_are_known_by_their_last_word() -> None:
    assert is_dimensionless("inward_share")
    assert is_dimensionless("version")
    assert not is_dimensionless("thickness")


@pytest.mark.parametrize(
    ("name", "value", "text"),
    [
        ("area_m2", 1.234, "1.23 m²"),
        ("idle_rpm", 1500, "1,500 rpm"),
        ("outside_c", -4.26, "−4.3 °C"),
        ("outside_c", -0.01, "0.0 °C"),
        ("tilt_deg", 30, "30°"),
        ("length_m", Decimal("1.205"), "1.20 m"),
        ("fresh_share", 0.25, "0.25"),
        ("version", 12, "12"),
    ],
)
def test_values_are_shown_with_unit_and_decimals_of_their_quantity(
    name: str, value: float, text: str
) -> None:
    assert format_value(name, value) == text


@pytest.mark.parametrize(
    ("key", "value", "text"),
    [
        ("m2", 1.234, "1.23 m²"),
        ("bar_g", -0.04, "0.0 bar g"),
        ("deg", 30, "30°"),
        ("", 0.25, "0.25"),
        ("", 12, "12"),
    ],
)
def test_a_unit_is_asked_by_its_key(key: str, value: float, text: str) -> None:
    assert in_unit(key, value) == text
    assert unit_key(f"name_{key}") == key


def test_a_key_that_no_unit_has_is_our_own_mistake() -> None:
    with pytest.raises(KeyError):
        in_unit("area_m2", 1.0)


def test_beside_a_verdict_powers_show_a_tenth_of_a_kilowatt_and_temperatures_a_kelvin() -> None:
    assert kw(2849.9) == "2.8 kW"
    assert kw(-40) == "0.0 kW"
    assert kelvin(3.4) == "3 K"
    assert celsius(Decimal("26.6")) == "27 °C"


@pytest.mark.parametrize(
    ("share", "text"),
    [
        (0.2309, "+23 %"),
        (-0.07, "−7 %"),
        (0.0, "+0 %"),
        (0.004, "+0.4 %"),
        (-0.004, "−0.4 %"),
        (-0.0001, "−0.01 %"),
        (-1e-5, "−0.01 %"),
        (1e-5, "+0.01 %"),
        (-1e-12, "+0 %"),
        (0.0051, "+1 %"),
        (-0.9999, "−100 %"),
        (9.0, "+900 %"),
        (9.99, "over +900 %"),
    ],
)
def test_a_margin_has_its_sign_and_a_small_shortfall_a_tenth(share: float, text: str) -> None:
    assert signed_percent(share) == text
