"""Every reference leads to one place."""

import pytest

from kits.templatetags.places import limit_words, on_kit_page, place

SHEET = "/fitments/K~1/L/V/"


@pytest.mark.parametrize(
    ("where", "url"),
    [
        ("length:LIQ 1", f"{SHEET}#length-LIQ-1"),
        ("charge", f"{SHEET}#charge"),
        ("fitment", f"{SHEET}#fitment"),
        ("part:AB/12", "/parts/AB~12/"),
        ("powertrain:P", "/vehicles/L/V/#powertrain"),
        ("cabin:C", "/vehicles/L/V/#cabin"),
        ("variant", "/vehicles/L/V/#variant"),
        ("position:110", "/kits/K~1/#position-110"),
        ("joint:J1", "/kits/K~1/#joint-J1"),
        ("step:OUT.1", "/kits/K~1/#step-OUT-1"),
        ("circuit:110/3", "/kits/K~1/#circuit-110-3"),
        ("entry:110/1", "/kits/K~1/#entry-110-1"),
        ("hose:400/1", "/kits/K~1/#hose-400-1"),
        ("kit", "/kits/K~1/"),
        ("something new", "/kits/K~1/"),
    ],
)
def test_a_reference_has_one_address(where, url):
    assert place(where, "K/1", "L", "V") == url


def test_on_the_kits_own_page_a_reference_is_an_anchor():
    assert on_kit_page("position:10") == "#position-10"
    assert on_kit_page("part:X") == "/parts/X/"
    assert on_kit_page("kit") == ""


def test_a_limit_is_said_in_words():
    assert limit_words("freeze") == "the freeze control"
    assert limit_words("") == "–"
