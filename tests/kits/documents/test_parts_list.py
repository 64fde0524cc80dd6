"""The parts list: every quantity is explode's or consolidate's, in the order of zone, bag and position."""

from dataclasses import replace
from decimal import Decimal

from kits.bom.resolved import consolidate, explode
from kits.documents.parts_list import amount, maturity_flag, parts_list
from tests.kits.documents.sample import empty_kit, item, kit


def test_each_exploded_row_stands_in_the_list_once_with_its_quantity():
    rows = [(r.part, r.level, r.quantity) for r in parts_list(kit(), "x").rows]
    exploded = [(r.item.part, r.level, r.quantity) for r in explode(kit())]
    assert sorted(rows) == sorted(exploded)


def test_the_summed_list_is_what_consolidate_gives():
    document = parts_list(kit(), "x")
    assert document.summed == consolidate(kit())
    # 2 brackets with 4 bolts each, and 3 more at another position
    assert {r.part: r.quantity for r in document.summed}["KW-900"] == Decimal(11)
    assert {row.part: text for row, text, _, _ in document.summed_lines}["KW-900"] == "11 pc"
    assert {row.part: where for row, _, where, _ in document.summed_lines}["KW-900"] == "110, 120"


def test_an_assembly_is_not_torn_from_its_content():
    rows = parts_list(kit(), "x").rows
    place = next(i for i, row in enumerate(rows) if row.part == "KW-100")
    assert [(r.part, r.level, r.amount) for r in rows[place : place + 3]] == [
        ("KW-100", 0, "2 pc"),
        ("KW-900", 1, "8 pc"),
        ("KW-901", 1, "16 pc"),
    ]


def test_a_bag_that_is_come_back_to_is_one_group():
    spread = kit(items=(item(10, "A", "a"), item(20, "B", "b", zone="nose"), item(30, "C", "c")))
    groups = parts_list(spread, "x").groups
    assert [(g.zone, [r.part for r in g.rows]) for g in groups] == [
        ("engine bay", ["A", "C"]),
        ("nose", ["B"]),
    ]


def test_a_part_that_is_not_released_is_flagged_in_words():
    flags = {row.part: row.flag for row in parts_list(kit(), "x").rows}
    assert flags["KW-310"] == "PROTOTYPE: not for production"
    assert flags["KW-200"] == ""
    assert maturity_flag("trial") == "ON TRIAL: not for production"
    assert maturity_flag("unheard of") == "UNHEARD OF"
    assert parts_list(kit(), "x").flagged_count == 1


def test_quantities_keep_their_digits_and_lose_empty_ones():
    assert [
        amount(Decimal(q), u) for q, u in (("4.000", "pc"), ("1.243", "m"), ("1E+2", "ml"), ("0", "m"))
    ] == [
        "4 pc",
        "1.243 m",
        "100 ml",
        "0 m",
    ]


def test_a_hose_says_its_cut_length_or_that_it_is_not_recorded():
    made, not_measured = parts_list(kit(), "x").hose_lines
    assert (made.cut, made.tolerance, made.clocking) == ("1,243 mm", "± 6.2 mm", "45°")
    assert made.end_b == "End #8, 90° (KW-531), 90°"
    assert made.note == "sleeve heat sleeve; service port high"
    assert (not_measured.cut, not_measured.tolerance) == ("cut length not recorded", "")


def test_the_charge_says_its_tolerance_and_origin_or_that_it_is_not_recorded():
    charge = parts_list(kit(), "x").charge
    assert (charge.charge, charge.tolerance, charge.oil_amount) == ("850 g", "± 25 g (weighed)", "120 ml")
    none = parts_list(empty_kit(), "x").charge
    assert (none.charge, none.tolerance, none.oil) == ("not recorded", "", "not recorded")
    assert none.oil_amount == "amount not recorded"


def test_only_blocking_findings_keep_it_from_production():
    assert [f.code for f in parts_list(kit(), "x").blocking] == ["part-prototype"]


def test_an_empty_kit_gives_an_empty_list():
    document = parts_list(empty_kit(), "x")
    assert (document.groups, document.summed, document.hose_lines) == ((), (), ())


def test_the_title_names_kit_variant_date_and_no_release():
    title = parts_list(replace(kit(), variant_name="Solenne"), "M. Ferro").title
    assert (title.kit, title.variant) == ("Dash kit (DASH-1)", "Solenne (S4-LC)")
    assert (title.standard, str(title.date), title.by) == ("none: not released", "2026-03-02", "M. Ferro")
