"""What the database would hold is checked before it is written."""

import pytest

from kits.bom.models import HoseRun, Route
from tests.kits.exchange.books import check, edited, load, opened, saved
from tests.kits.exchange.rows import made_rows, made_workbook
from vehicles.catalogue.models import ModelLine

pytestmark = pytest.mark.django_db


def found(cells=None, rows=None):
    """Sheet, row, column and sentence of each problem."""
    content = made_workbook(rows)
    plan = check(edited(cells, content) if cells else content)
    return [(p["sheet"], p["row"], p["column"], p["sentence"]) for p in plan.plan["problems"]]


def test_each_kind_of_mistake_stands_at_its_cell():
    cells = {
        ("Cabins", 2, "flap leak share [0 to 1]"): 1.5,
        ("Surfaces", 3, "transmittance [0 to 1]"): 0.9,
        ("Variants", 2, "built until"): "1950-01-01",
        ("Variants", 3, "option: Voltage"): None,
        ("Steps", 2, "fits positions"): "1, 7",
        ("Steps", 3, "wires circuits"): "1-1",
        ("Structure", 2, "child"): "x7",
        ("Lengths", 2, "route"): "x7",
        ("Joints", 3, "port A"): "A1",
    }
    assert sorted(found(cells)) == sorted(
        [
            ("Cabins", 2, "E", "Flap leak share [0 to 1] must be at least 0 and at most 1. Were these %?"),
            ("Surfaces", 3, "J", "Absorptance and transmittance together are at most 1."),
            ("Variants", 2, "D", "Built until must be later than built from."),
            ("Variants", 3, "K", "Name the option of Voltage; the line has: 12, 6."),
            ("Steps", 2, "P", "There is no x1 / 7 in Positions."),
            ("Steps", 3, "R", "“1-1” is not a position and a number, such as 110/1."),
            ("Structure", 2, "D", "There is no x7 in Parts."),
            ("Lengths", 2, "C", "There is no x7 in Routes."),
            ("Joints", 3, "D", "x1 / x2 and x1 / x1 have the same kit, position A, port A: x1 / 1 / a1."),
        ]
    )


def test_a_key_that_can_not_be_read_gives_one_problem_and_not_one_for_each_row_that_needs_it():
    problems = found({("Cabins", 2, "code"): 7})
    assert [(sheet, row, column) for sheet, row, column, _ in problems] == [("Cabins", 2, "A")]


def test_a_variant_has_only_options_of_its_line():
    rows = made_rows()
    del rows["Line options"]["side", "right"]
    assert (
        "Variants",
        3,
        "J",
        "Steering side “right” does not exist in this line (sheet Line options).",
    ) in (found(rows=rows))


def test_the_model_line_is_the_one_of_the_first_sheet():
    ((sheet, row, column, sentence),) = found({("Model line", 2, "code"): "V30"})
    assert (sheet, row, column) == ("Model line", 2, "A")
    assert sentence == "The sheet About says the workbook is for “S4”; this row is another line."


def test_a_complete_workbook_has_all_sheets_of_the_line():
    load(made_workbook())
    book = opened(made_workbook())
    del book["Openings"]
    del book["Lengths"]
    del book["Parts"]
    plan = check(saved(book))
    assert [p["sheet"] for p in plan.plan["problems"]] == ["Openings"]


def test_a_complete_workbook_may_lack_a_sheet_of_which_nothing_is_stored():
    """Such is a workbook that an older program wrote, before the sheet was thought of."""
    book = opened(made_workbook())
    del book["Plateau steps"]
    assert check(saved(book)).plan["problems"] == []


def test_a_line_that_is_not_stored_needs_its_sheet():
    plan = check(edited({("Cabins", 2, "name"): "n"}))
    assert ("About", "There is no model line S4, and the sheet Model line is missing.") in [
        (p["sheet"], p["sentence"]) for p in plan.plan["problems"]
    ]


def test_sheets_that_are_absent_are_looked_up_in_the_database():
    load(made_workbook())
    assert check(edited({("Surfaces", 2, "area [m²]"): 3})).state == "ready"


def test_a_row_of_another_model_line_is_not_changed():
    load(made_workbook())
    other = ModelLine.objects.create(code="V30", name="another line")
    run = HoseRun.objects.get(position__kit__code="x1", number=1)
    run.route = Route.objects.create(line=other, code="x1", name="along the sill")
    run.save()
    assert found(rows=made_rows()) == [("Hose runs", 2, "", "x1 / 1 / 1 belongs to another model line.")]


def test_an_assembly_that_would_contain_itself_is_refused_with_the_way():
    assert found({("Structure", 2, "child"): "x1"}) == [
        ("Structure", 2, "D", "x1 would contain itself: x1 → x1.")
    ]
    rows = made_rows()
    rows["Structure"]["x2", "x2", 1] = {
        **rows["Structure"]["x1", "x1", 1], "part_number": "x2", "part_revision": "x2", "child": "x1",
    }  # fmt: skip
    told = [sentence for sheet, _, _, sentence in found(rows=rows) if sheet == "Structure"]
    assert told.count("x2 would contain itself: x2 → x1 → x2.") == 1
    assert "x1 would contain itself: x1 → x2 → x1." in told
