"""The field that mends a finding."""

from kits.bom.mending import Mend, filled_by, new_row, of_revision, option_of, row
from vehicles.records.terms import terms_of


def test_an_empty_position_is_filled_by_what_fills_its_like():
    assert filled_by(400, has_hoses=True) == Mend("Hose runs", "route", (), True, (("position", "400"),))
    assert filled_by(100, has_hoses=False) == Mend("Entries", "part_number", (), True, (("position", "100"),))


def test_the_option_that_is_spoken_of_comes_first():
    terms = terms_of([("Steering", "left", False)])
    assert option_of("Entries", terms, ["body"], 10, 1) == row("Entries", "option:steering", 10, 1)
    assert option_of("Entries", terms_of([]), ["body"], 10, 1).field == "option:body"
    assert option_of("Entries", terms_of([("roof", "steel", True)]), ["body"], 10, 1).field == "option:roof"


def test_a_parts_field_is_that_of_its_revision_in_force():
    size = row("O-rings", "size", "P-1")
    assert of_revision(size, "P-1", "B", has_data=True) == row("O-rings", "size", "P-1", "B")
    added = new_row("O-rings", "size", part_number="P-1", part_revision="B")
    assert of_revision(size, "P-1", "B", has_data=False) == added
    port = new_row("Ports", "code", part_number="P-1")
    assert of_revision(port, "P-1", "B", has_data=True).given == (
        ("part_number", "P-1"),
        ("part_revision", "B"),
    )


def test_what_names_its_revision_or_no_part_stays():
    maturity, oil = row("Revisions", "maturity", "P-1", "A"), row("Kits", "oil")
    assert of_revision(maturity, "P-1", "B", has_data=True) == maturity
    assert of_revision(oil, "P-1", "B", has_data=True) == oil
