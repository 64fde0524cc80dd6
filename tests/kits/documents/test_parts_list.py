"""The parts list: every quantity is explode's or consolidate's, in the order of zone, bag and position."""

from dataclasses import replace
from decimal import Decimal

import pytest

from kits.bom.resolved import consolidate, explode
from kits.documents.checklist import checklist
from kits.documents.parts_list import amount, maturity_flag, parts_list
from kits.documents.render import document_html
from kits.documents.sizing_sheet import sizing_sheet
from tests.kits.documents.sample import empty_kit, item, kit, of, sound


def test_each_exploded_row_stands_in_the_list_once_with_its_quantity():
    rows = [(r.part, r.level, r.quantity) for r in parts_list(of(kit()), "x").rows]
    exploded = [(r.item.part, r.level, r.quantity) for r in explode(kit())]
    assert sorted(rows) == sorted(exploded)


def test_the_summed_list_is_what_consolidate_gives():
    document = parts_list(of(kit()), "x")
    assert document.summed == consolidate(kit())
    # 2 brackets with 4 bolts each, and 3 more at another position
    assert {r.part: r.quantity for r in document.summed}["KW-900"] == Decimal(11)
    assert {row.part: text for row, text, _, _ in document.summed_lines}["KW-900"] == "11 pc"
    assert {row.part: where for row, _, where, _ in document.summed_lines}["KW-900"] == "110, 120"


def test_an_assembly_is_not_torn_from_its_content():
    rows = parts_list(of(kit()), "x").rows
    place = next(i for i, row in enumerate(rows) if row.part == "KW-100")
    assert [(r.part, r.level, r.amount) for r in rows[place : place + 3]] == [
        ("KW-100", 0, "2 pc"),
        ("KW-900", 1, "8 pc"),
        ("KW-901", 1, "16 pc"),
    ]


def test_a_bag_that_is_come_back_to_is_one_group():
    spread = kit(items=(item(10, "A", "a"), item(20, "B", "b", zone="nose"), item(30, "C", "c")))
    groups = parts_list(of(spread), "x").groups
    assert [(g.zone, [r.part for r in g.rows]) for g in groups] == [
        ("engine bay", ["A", "C"]),
        ("nose", ["B"]),
    ]


def test_a_part_that_is_not_released_is_flagged_in_words():
    flags = {row.part: row.flag for row in parts_list(of(kit()), "x").rows}
    assert flags["KW-310"] == "PROTOTYPE: not for production"
    assert flags["KW-200"] == ""
    assert maturity_flag("trial") == "ON TRIAL: not for production"
    assert maturity_flag("unheard of") == "UNHEARD OF"
    assert parts_list(of(kit()), "x").flagged_count == 1


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
    made, not_measured = parts_list(of(kit()), "x").hose_lines
    assert (made.cut, made.tolerance, made.clocking) == ("1,243 mm", "± 6.2 mm", "45°")
    assert made.end_b == "End #8, 90° (KW-531), 90°"
    assert made.note == "sleeve heat sleeve; service port high"
    assert (not_measured.cut, not_measured.tolerance) == ("not recorded: do not cut", "")


def test_the_charge_says_its_tolerance_and_origin_or_that_it_is_not_recorded():
    charge = parts_list(of(kit()), "x").charge
    assert (charge.charge, charge.tolerance, charge.oil_amount) == ("850 g", "± 25 g (weighed)", "120 ml")
    assert charge.gas_in_words == "R-134a, A1"
    none = parts_list(of(empty_kit()), "x").charge
    assert (none.charge, none.tolerance, none.oil) == ("not recorded", "", "not recorded")
    assert none.oil_amount == "amount not recorded"


def test_an_empty_kit_gives_an_empty_list():
    document = parts_list(of(empty_kit()), "x")
    assert (document.groups, document.summed, document.hose_lines) == ((), (), ())


def test_the_title_names_kit_variant_date_and_no_release():
    title = parts_list(of(replace(kit(), variant_name="Solenne")), "M. Ferro").title
    assert (title.kit, title.variant) == ("Dash kit (DASH-1)", "Solenne (S4-LC)")
    assert (title.standard, str(title.date), title.by) == ("none: not released", "2026-03-02", "M. Ferro")


@pytest.mark.parametrize(
    ("gas", "words"),
    [
        ("R-1234yf", "R-1234yf, A2L: burns"),
        ("R-152a", "R-152a, A2: burns"),
        ("R-134a", "R-134a, A1"),
        ("R-999", "R-999, safety class not recorded"),
    ],
)
def test_the_gas_says_its_safety_class_and_whether_it_burns(gas, words):
    burning = of(kit(settings={"refrigerant": gas}))
    assert parts_list(burning, "x").charge.gas_in_words == words
    assert sizing_sheet(burning, "x").gas == words
    for page in (parts_list(burning, "x"), checklist(burning, "x"), sizing_sheet(burning, "x")):
        assert words.partition(", ")[2] in document_html(page)


def test_a_list_that_is_stopped_is_not_to_pick_from():
    stopped, sound_list = (document_html(parts_list(source, "x")) for source in (of(), sound()))
    assert 'class="tick"' not in stopped and 'class="tick"' in sound_list
    assert "not to pick from" in stopped and "for picking and buying" in sound_list
    assert "do not cut" in stopped and "do not cut" not in sound_list
