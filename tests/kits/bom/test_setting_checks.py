"""Settings, oil, gas and pressure switch agree with each other."""

import pytest

from kits.bom.setting_checks import part_setting_findings, pressure_findings
from tests.kits.bom.sample import (
    PARTS,
    SETTINGS,
    codes,
    only,
    resolved,
    with_data,
    with_part,
    with_setting,
)

SWITCH = next(p for p in PARTS if p.number == "SWITCH")


@pytest.mark.parametrize(
    ("change", "is_bad"),
    [
        ({}, False),
        ({"low_cut_out_bar_g": 15.0}, True),
        ({"fan_on_bar_g": 23.0}, True),
        ({"high_reset_bar_g": 28.0}, True),
        ({"fan_on_bar_g": None}, False),
        ({"fan_on_bar_g": None, "low_cut_out_bar_g": 22.0}, True),
    ],
)
def test_the_pressure_chain_is_in_order(change, is_bad):
    found = [f for f in pressure_findings({**SETTINGS, **change}) if f.code == "pressure-chain"]
    assert [(f.severity, f.where) for f in found] == [("blocks", "kit")] * is_bad


@pytest.mark.parametrize(
    ("change", "is_bad"),
    [
        ({"high_cut_out_bar_g": 30.0}, False),
        ({"high_cut_out_bar_g": 33.0}, True),
        ({"high_reset_bar_g": 18.0}, True),
        ({"refrigerant": "R-152a", "high_cut_out_bar_g": 33.0}, False),
    ],
)
def test_the_pressures_fit_the_gas(change, is_bad):
    found = [f for f in pressure_findings({**SETTINGS, **change}) if f.code == "pressure-gas"]
    assert [(f.severity, f.where) for f in found] == [("warns", "kit")] * is_bad


def test_pressures_that_are_wrong_reach_the_resolved_kit():
    assert codes(resolved(with_setting(fan_on_bar_g=23.0))) == {"pressure-chain"}


@pytest.mark.parametrize(("fan_on", "is_bad"), [(15.0, False), (17.0, True)])
def test_the_switch_works_at_the_kits_pressures(fan_on, is_bad):
    data = {**SWITCH.revisions[0].data, "fan_on_bar_g": fan_on}
    found = list(part_setting_findings(SETTINGS, [(SWITCH, data, "")]))
    assert [(f.code, f.where) for f in found] == [("pressure-switch", "part:SWITCH")] * is_bad


def test_a_compressor_filled_with_another_oil_is_found():
    finding = only(resolved(parts=with_data("COMP", oil_family="ester")), "oil-mixed")
    assert (finding.severity, finding.where) == ("blocks", "kit")
    assert codes(resolved(parts=with_data("COMP", oil_grade=100))) == {"oil-mixed"}
    assert resolved(parts=with_data("COMP", oil_grade=None)).findings == ()
    assert resolved(parts=with_data("COMP", oil="", oil_family="")).findings == ()


def test_adding_another_oil_is_found():
    finding = only(resolved(parts=with_data("OIL", oil_family="ester")), "oil-mixed")
    assert finding.where == "part:OIL"


def test_an_oil_is_told_by_its_columns_and_not_by_its_name():
    named = with_part("OIL", name="Oil POE 68")
    assert resolved(with_setting(oil="The maker's own, POE 68"), parts=named).findings == ()


@pytest.mark.parametrize(
    ("kit", "parts", "where", "sheet"),
    [
        (with_setting(oil_family=""), PARTS, "kit", "Kits"),
        (with_setting(), with_data("COMP", oil_family=""), "part:COMP", "Compressors"),
        (with_setting(), with_data("OIL", oil_family=""), "part:OIL", "Oils"),
    ],
)
def test_an_oil_of_no_known_family_is_told_with_the_field_that_mends_it(kit, parts, where, sheet):
    finding = only(resolved(kit, parts=parts), "oil-unknown")
    assert (finding.severity, finding.where) == ("warns", where)
    assert (finding.mend.sheet, finding.mend.field) == (sheet, "oil_family")


@pytest.mark.parametrize(
    ("volts", "family", "is_bad"),
    [(350.0, "pag", True), (350.0, "ester", False), (12.0, "pag", False), (None, "pag", False)],
)
def test_a_high_voltage_compressor_takes_ester_oil_only(volts, family, is_bad):
    parts = with_data("COMP", electric=True, supply_voltage_v=volts, oil_family=family)
    kit = resolved(with_setting(oil_family=family), parts=parts)
    told = [(f.code, f.severity, f.where) for f in kit.findings if f.where == "kit"]
    assert told == [("oil-high-voltage", "blocks", "kit")] * is_bad


def test_a_kit_without_refrigerant_brings_nothing_that_holds_one():
    heats_only = with_setting(refrigerant="", oil="")
    (found,) = [f for f in resolved(heats_only, charge=None).findings if f.code == "gas-missing"]
    assert found.severity == "blocks"
    assert "gas-missing" not in codes(resolved())


def test_a_charge_is_asked_for_of_a_kit_with_refrigerant_alone():
    heats_only = with_setting(refrigerant="", oil="")
    assert "charge-missing" in codes(resolved(charge=None))
    assert "charge-missing" not in codes(resolved(heats_only, charge=None))
    assert "charge-without-gas" in codes(resolved(heats_only))
    assert "charge-without-gas" not in codes(resolved())
