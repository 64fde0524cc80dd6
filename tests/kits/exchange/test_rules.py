"""Rules compare as SQL does: what is unknown breaks nothing."""

from kits.exchange.bridge import rules_of
from kits.exchange.rules import Field, Minus, Rule


def broken(sheet, **row):
    return [rule.sentence for rule in rules_of(sheet) if rule.broken_by(row)]


def test_limits_of_one_value():
    assert broken("Cabins", volume_m3=0.0) == ["Volume [m³] must be above 0."]
    assert broken("Cabins", volume_m3=0.1, flap_leak_share=1.0) == []
    assert broken("Cabins", flap_leak_share=1.01) == ["Flap leak share must be at least 0 and at most 1."]
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
