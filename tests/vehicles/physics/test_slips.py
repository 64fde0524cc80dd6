"""What explains a number that is not usual."""

import pytest

from vehicles.physics.quantities import quantity_of
from vehicles.physics.ranges import Range, range_of, ranges
from vehicles.physics.slips import hint, slips


@pytest.mark.parametrize(
    ("model", "field", "value", "asked"),
    [
        ("Cabin", "volume_m3", 2600, "Were these litres?"), ("RouteLength", "length_mm", 1.45, "Were these m?"),
        ("RouteLength", "length_mm", 45, "Were these cm?"), ("HoseData", "bore_mm", 0.3125, "Were these inches?"),
        ("ChargeRecord", "charge_g", 1.2, "Were these kg?"), ("Cabin", "flap_leak_share", 12, "Were these %?"),
        ("DutyPoint", "relative_humidity", 40, "Were these %?"), ("Kit", "high_cut_out_bar_g", 2.8, "Were these MPa?"),
        ("Kit", "high_cut_out_bar_g", 400, "Were these psi?"), ("DutyPoint", "target_c", 77, "Were these °F?"),
        ("DutyPoint", "outside_c", 308.15, "Were these K?"), ("CondenserPoint", "heat_w", 8.5, "Were these kW?"),
        ("Opening", "height_m", 350, "Were these mm?"), ("Surface", "area_m2", 4200, "Were these cm²?"),
        ("DesignState", "humidity_kg_kg", 12, "Were these g/kg?"),
        ("PartRevision", "inner_volume_ml", 0.04, "Were these litres?"),
        ("CompressorData", "displacement_cc", 1600, "Has the decimal point slipped?"),
    ],
)  # fmt: skip
def test_a_unit_or_the_decimal_point_explains_it(model, field, value, asked):
    span = range_of(model, field)
    assert not span.is_usual(value)
    assert hint(field, value, span) == asked


@pytest.mark.parametrize(
    ("model", "field", "value"),
    # near what is usual, far from it in no known way, below nought
    [("Cabin", "volume_m3", 16.0), ("CompressorData", "displacement_cc", 1e7), ("Kit", "superheat_k", 29.0),
     ("DutyPoint", "outside_c", -40.0), ("RouteLength", "spread_mm", 1900.0)],
)  # fmt: skip
def test_nothing_is_guessed_where_nothing_explains_it(model, field, value):
    assert hint(field, value, range_of(model, field)) == ""


def test_a_share_is_only_where_nothing_beyond_one_is_possible():
    assert hint("exponent", 160.0, Range(1, 200, 1.4, 2)) == ""


def test_each_unit_is_one_that_a_field_with_a_range_has():
    units = {quantity.key for _, field in ranges() if (quantity := quantity_of(field))}
    assert set(slips()) - {"share"} <= units
    assert all(factor > 0 for found in slips().values() for _, factor, _ in found)
