"""A car within its line: chassis numbers, excluded options, twins, an open survey."""

from dataclasses import replace
from datetime import date

from kits.bom.mending import row
from kits.fitment.line_checks import Chassis, Excluded, LineCar, car_findings

A = LineCar(
    code="A",
    name="Car A",
    options={"body": "open", "side": "left"},
    built_from=date(1960, 1, 1),
    built_until=date(1964, 1, 1),
)
B = replace(A, code="B", name="Car B", options={"body": "open", "side": "right"})


def codes(car, *others, excluded=()):
    return [f.code for f in car_findings(car, [car, *others], excluded)]


def test_cars_that_differ_agree():
    one = replace(A, chassis=(Chassis("X", 1, 10), Chassis("Y", 5, 9)))
    other = replace(B, chassis=(Chassis("X", 11, 20), Chassis("Z", 5, 9)))
    assert codes(one, other) == []


def test_ranges_that_share_one_number_are_told_to_both():
    one, other = replace(A, chassis=(Chassis("X", 1, 10),)), replace(B, chassis=(Chassis("x", 10, 20),))
    (finding,) = car_findings(one, [one, other], ())
    assert (finding.code, finding.severity) == ("chassis-overlap", "blocks")
    assert "X1 to X10" in finding.sentence
    assert "Car B (x10 to x20)" in finding.sentence
    assert finding.mend == row("Chassis", "first", "A", "X", 1)
    assert codes(other, one) == ["chassis-overlap"]


def test_two_ranges_of_one_car_that_meet_are_told_once():
    assert codes(replace(A, chassis=(Chassis("X", 1, 10), Chassis("X", 5, 20)))) == ["chassis-twice"]


def test_a_combination_is_excluded_only_with_all_its_features():
    both = Excluded("E", "never made", {"body": frozenset({"open"}), "side": frozenset({"left", "middle"})})
    assert codes(A, excluded=[both]) == ["car-excluded"]
    assert codes(B, excluded=[both]) == []
    assert codes(A, excluded=[Excluded("E", "nothing said", {})]) == []


def test_twins_are_cars_of_the_same_options_at_the_same_time():
    twin = replace(A, code="C", name="Car C")
    assert codes(A, twin) == ["car-twin"]
    assert codes(A, replace(twin, built_from=date(1964, 1, 1), built_until=None)) == []
    assert codes(A, replace(twin, built_from=date(1963, 12, 31), built_until=None)) == ["car-twin"]
    assert codes(A, replace(twin, built_from=None, built_until=None)) == ["car-twin"]


def test_an_open_survey_warns():
    (finding,) = car_findings(replace(A, to_be_surveyed=True), [A, B], ())
    assert (finding.code, finding.severity) == ("car-to-be-surveyed", "warns")
