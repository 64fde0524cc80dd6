"""Fuses protect their wires, wires carry their current, diodes stand the right way round."""

from dataclasses import replace

import pytest

from kits.bom.wire_checks import carries_a
from tests.kits.bom.sample import CAR, CIRCUITS, found, only, resolved, with_position


def with_circuit(**changes):
    return with_position(80, circuits=(replace(CIRCUITS[0], **changes), CIRCUITS[1]))


# by hand from the table (common practice, from memory): 1 mm² 15 A, 2.5 mm² 30 A
@pytest.mark.parametrize(
    ("section_mm2", "limit_a"), [(1.0, 15), (0.75, 10), (2.5, 30), (2.0, 20), (10, 80), (40, 150)]
)
def test_a_wire_carries_what_the_next_smaller_section_of_the_table_does(section_mm2, limit_a):
    assert carries_a(section_mm2) == limit_a


def test_below_the_table_nothing_is_claimed():
    assert carries_a(0.2) is None
    assert resolved(with_circuit(section_mm2=0.2, fuse_a=30.0)).findings == ()


def test_the_limit_never_falls_with_the_section():
    limits = [carries_a(s / 100) or 0 for s in range(35, 3000, 5)]
    assert limits == sorted(limits)


@pytest.mark.parametrize(("fuse_a", "is_bad"), [(15.0, False), (20.0, True)])
def test_a_fuse_above_what_its_wire_carries_is_found(fuse_a, is_bad):
    bad = found(resolved(with_circuit(fuse_a=fuse_a)), "fuse-over-wire")
    assert [(f.severity, f.where) for f in bad] == [("blocks", "circuit:80/1")] * is_bad


@pytest.mark.parametrize(("fuse_a", "is_bad"), [(3.6, False), (3.0, True)])
def test_a_fuse_below_the_current_is_found(fuse_a, is_bad):
    bad = found(resolved(with_circuit(fuse_a=fuse_a)), "fuse-under-current")
    assert [(f.severity, f.where) for f in bad] == [("blocks", "circuit:80/1")] * is_bad


def test_a_current_above_what_the_wire_carries_is_found():
    assert only(resolved(with_circuit(fuse_a=None, current_a=16.0)), "wire-over-current").severity == "blocks"


@pytest.mark.parametrize(
    ("band", "positive_earth", "is_bad"),
    [
        ("from", False, False),
        ("to", False, True),
        ("from", True, True),
        ("to", True, False),
        ("", True, False),
        ("to", None, False),
    ],
)
def test_the_band_of_a_diode_belongs_to_the_plus_side_of_the_car(band, positive_earth, is_bad):
    car = replace(CAR, positive_earth=positive_earth)
    kit = resolved(with_circuit(diode_band=band), car=car)
    assert [(f.code, f.severity, f.where) for f in kit.findings] == [
        ("diode-reversed", "blocks", "circuit:80/1")
    ] * is_bad
