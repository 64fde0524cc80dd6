"""A workbook a person can read: heads with units, drop-downs, frozen heads, text that stays text."""

import pytest

from kits.exchange.reader import read_workbook
from kits.exchange.sheets.bridge import SHEETS
from kits.exchange.writer import write_workbook
from tests.kits.exchange.books import opened
from tests.kits.exchange.rows import made_rows, made_workbook, sheets, some_sheets


def test_the_sheets_stand_in_the_layouts_order():
    names = [sheet.name for sheet in SHEETS]
    assert opened(made_workbook()).sheetnames == ["About", *names, "Lists"]


def test_the_first_sheet_says_line_format_and_completeness():
    about = opened(made_workbook())["About"]
    assert [[cell.value for cell in row] for row in about["A2:B4"]] == [
        ["model line", "S4"],
        ["format", 1],
        ["complete", "yes"],
    ]
    assert opened(some_sheets({"Cabins"}))["About"]["B4"].value == "no"


def test_the_first_sheet_tells_what_each_sheet_is_for():
    book = opened(made_workbook())
    told = {row[0].value: str(row[2].value) for row in book["About"].iter_rows()}
    sheets_of_rows = book.sheetnames[1:-1]
    assert [name for name in sheets_of_rows if not told.get(name, "").endswith(".")] == []
    assert len({told[name] for name in sheets_of_rows}) == len(sheets_of_rows), "two sheets for the same"


def test_the_head_row_and_the_key_stay_in_sight():
    book = opened(made_workbook())
    assert book["Surfaces"].freeze_panes == "C2"
    assert book["Lengths"].freeze_panes == "A2"
    assert book["Surfaces"]["F1"].value == "area [m²]"
    assert book["Surfaces"].column_dimensions["C"].width >= 9


def test_choices_are_offered():
    book = opened(made_workbook())
    rules = {str(rule.sqref): rule.formula1 for rule in book["Surfaces"].data_validations.dataValidation}
    assert rules["D2:D203"] == '"opaque,glass,canvas"'
    assert '"left,right"' in rules.values()
    (kinds,) = [r.formula1 for r in book["Parts"].data_validations.dataValidation if "C2" in str(r.sqref)]
    assert kinds.startswith("Lists!$")
    column = kinds.split("$")[1]
    assert [book["Lists"][f"{column}{row}"].value for row in (1, 2)] == ["kind", "assembly"]


@pytest.mark.parametrize("text", ["=1+1", "+1", "-x", "@SUM(A1)", "00712", "_x0041_", "a\nb", "№ “x” <&>"])
def test_text_stays_text(text):
    rows = made_rows()
    rows["Cabins"]["x1",]["name"] = text
    content = some_sheets({"Cabins"}, rows)
    cell = opened(content)["Cabins"]["B2"]
    assert (cell.data_type, cell.number_format) == ("s", "@")
    known = {name: made_rows()[name] for name in ("Features", "Options")}
    reading = read_workbook(content, SHEETS, known)
    assert reading.problems == []
    assert reading.rows["Cabins"]["x1",]["name"] == text


def test_numbers_are_numbers_to_the_last_digit():
    rows = made_rows()
    for value in (0.1 + 0.2, 1e-9, -40.0, 123456789.125):
        rows["Cabins"]["x1",]["intake_rise_k"] = value
        cell = opened(some_sheets({"Cabins"}, rows))["Cabins"]["D2"]
        assert cell.data_type == "n"
        assert cell.value == value


def test_a_text_longer_than_a_cell_is_not_cut_off_quietly():
    rows = made_rows()
    rows["Parts"]["x1",]["note"] = "n" * 32_768
    with pytest.raises(ValueError, match="32768 characters"):
        write_workbook("S4", sheets(), rows)
