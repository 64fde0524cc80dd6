"""Rules compare as SQL does: what is unknown breaks nothing."""

import pytest

from kits.exchange.bridge import rules_of
from kits.exchange.rules import Field, Minus, Rule


def broken(sheet, **row):
    return [rule.sentence for rule in rules_of(sheet) if rule.broken_by(row)]


def test_limits_of_one_value():
    assert broken("Openings", area_m2=0.0) == ["Area [m²] must be at least 0.0001 and at most 20."]
    assert broken("Cabins", volume_m3=0.3, flap_leak_share=1.0) == []
    assert broken("Cabins", flap_leak_share=1.01) == [
        "Flap leak share [0 to 1] must be at least 0 and at most 1."
    ]
    assert broken("Hose runs", clocking_deg=360.0) == ["Clocking [°] must be at least 0 and below 360."]
    assert broken("Hose runs", clocking_deg=359.9) == []


def test_an_empty_value_breaks_nothing():
    assert broken("Cabins", volume_m3=None) == []
    assert broken("Readings", low=None, high=1) == []


def test_rules_across_columns():
    sentence = ["Absorptance and transmittance together are at most 1."]
    assert broken("Surfaces", absorptance=0.5, transmittance=0.6) == sentence
    assert broken("Surfaces", absorptance=0.5, transmittance=0.5) == []
    assert broken("Readings", low=2, high=1) == ["The high limit must not be below the low one."]


def test_only_what_is_written_as_a_number_has_a_unit_and_limits():
    unit = "A number has a unit; words, a tick, a date or a time have none."
    free = {"low": None, "high": None}
    assert broken("Readings", writes="number", unit="bar", low=1, high=2) == []
    assert broken("Readings", writes="number", unit="", **free) == [unit]
    for writes in ("words", "tick", "date", "time"):
        assert broken("Readings", writes=writes, unit="", **free) == []
        assert broken("Readings", writes=writes, unit="bar", **free) == [unit]
        assert broken("Readings", writes=writes, unit="", low=1, high=None) == ["Only a number has limits."]
        assert broken("Readings", writes=writes, unit="", low=None, high=2) == ["Only a number has limits."]


def test_unknown_with_and_or_not():
    unknown, true, false = ("a", "gt", 0), ("b", "exact", 1), ("b", "exact", 2)
    row = {"a": None, "b": 1}

    def breaks(condition):
        return Rule(("a", "b"), condition, "").broken_by(row)

    assert not breaks(("or", unknown, false))
    assert not breaks(("or", unknown, true))
    assert breaks(("and", unknown, false))
    assert not breaks(("and", unknown, true))
    assert not breaks(("not", unknown))
    assert breaks(("not", true))
    assert breaks(("b", "in", (2, 3)))
    assert breaks(("a", "isnull", False))
    assert breaks(("b", "lt", Minus(1, Field("b"))))
    assert not breaks(("b", "lt", Minus(Field("a"), 1)))


FIXED = {"beam_normal_w_m2": 0.0, "diffuse_horizontal_w_m2": 0.0, "sun_altitude_deg": 0.0}
AT_SITE = {"site": "coast", "month": 7, "day": None, "hour_h": 14.0}
NOWHERE = {"site": "", "month": None, "day": None, "hour_h": None}


def test_a_duty_point_has_one_sun_a_fixed_one_or_that_of_a_site():
    one_sun = ["The sun comes from the site; leave beam, diffuse and sun altitude empty or 0."]
    assert broken("Duty points", **FIXED, **AT_SITE) == []
    assert broken("Duty points", **FIXED, **NOWHERE) == []
    assert broken("Duty points", **FIXED | {"beam_normal_w_m2": 800.0}, **NOWHERE) == []
    assert broken("Duty points", **FIXED | {"beam_normal_w_m2": 800.0}, **AT_SITE) == one_sun
    assert broken("Duty points", **FIXED | {"sun_altitude_deg": 60.0}, **AT_SITE) == one_sun


def test_a_site_goes_with_month_and_hour():
    together = ["A site needs month and hour; without one month, day and hour stay empty."]
    for name in ("month", "hour_h"):
        assert broken("Duty points", **FIXED, **AT_SITE | {name: None}) == together
    for name, value in (("month", 7), ("day", 21), ("hour_h", 14.0)):
        assert broken("Duty points", **FIXED, **NOWHERE | {name: value}) == together


def test_a_day_exists_in_its_month():
    no_such_day = ["There is no such day in that month; 29 February is not counted."]
    for month, last in ((1, 31), (2, 28), (4, 30), (12, 31)):
        assert broken("Design states", month=month, day=last) == []
        assert broken("Design states", month=month, day=last + 1) == no_such_day
        assert broken("Duty points", **FIXED, **AT_SITE | {"month": month, "day": last + 1}) == no_such_day
    assert broken("Design states", month=13) == ["Month must be at least 1 and at most 12."]


@pytest.mark.parametrize(
    ("refrigerant", "oil", "is_right"),
    [("R-134a", "PAG 46", True), ("none", "", True), ("none", "PAG 46", False), ("R-134a", "", False)],
)
def test_a_kit_states_oil_and_refrigerant_or_neither(refrigerant, oil, is_right):
    said = ["A kit states the oil of its refrigerant; one that heats only has neither."]
    assert broken("Kits", refrigerant=refrigerant, oil=oil) == ([] if is_right else said)


def test_what_is_not_possible_is_told_with_the_unit_that_would_explain_it():
    rule = next(rule for rule in rules_of("Cabins") if rule.fields == ("volume_m3",))
    said = "Volume [m³] must be at least 0.3 and at most 60."
    assert rule.told({"volume_m3": 2600.0}) == f"{said} Were these litres?"
    assert rule.told({"volume_m3": -4.0}) == said
