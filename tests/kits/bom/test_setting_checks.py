"""Settings, oil, gas and pressure switch agree with each other."""

from dataclasses import replace

import pytest

from kits.bom.setting_checks import oil_of, part_setting_findings, pressure_findings
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
    ("text", "oil"),
    [
        ("PAG 46", ("pag", "46")),
        ("Oil PAG46, 250 ml", ("pag", "46")),
        ("POE 68", ("ester", "68")),
        ("ester oil ISO VG 68", ("ester", "")),
        ("Ester VG 68", ("ester", "68")),
        ("PAG ISO VG 100", ("pag", "100")),
        ("Page of the manual", None),
        ("", None),
    ],
)
def test_an_oil_is_known_by_family_and_grade(text, oil):
    assert oil_of(text) == oil


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
    finding = only(resolved(parts=with_data("COMP", oil="POE 68")), "oil-mixed")
    assert (finding.severity, finding.where) == ("blocks", "kit")
    assert codes(resolved(parts=with_data("COMP", oil="PAG 100"))) == {"oil-mixed"}
    assert resolved(parts=with_data("COMP", oil="PAG")).findings == ()
    assert resolved(parts=with_data("COMP", oil="")).findings == ()


def test_adding_another_oil_is_found():
    finding = only(resolved(parts=with_part("OIL", name="Oil POE 68")), "oil-mixed")
    assert finding.where == "part:OIL"


@pytest.mark.parametrize(
    ("volts", "oil", "is_bad"),
    [(350.0, "PAG 46", True), (350.0, "POE 68", False), (12.0, "PAG 46", False), (None, "PAG 46", False)],
)
def test_a_high_voltage_compressor_takes_ester_oil_only(volts, oil, is_bad):
    parts = with_data("COMP", electric=True, supply_voltage_v=volts, oil=oil)
    parts = tuple(replace(p, name=f"Oil {oil}") if p.number == "OIL" else p for p in parts)
    kit = resolved(with_setting(oil=oil), parts=parts)
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
