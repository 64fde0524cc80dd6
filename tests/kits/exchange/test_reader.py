"""Every mistake in a workbook is found, with its sheet, row, column and a sentence."""

from datetime import datetime
from decimal import Decimal

import pytest

from kits.exchange.reader import read_workbook
from kits.exchange.sheets.bridge import SHEETS
from tests.kits.exchange.books import edited, opened, saved
from tests.kits.exchange.rows import made_rows, made_workbook, some_sheets

KNOWN = {name: made_rows()[name] for name in ("Features", "Options")}


def read(content):
    return read_workbook(content, SHEETS, KNOWN)


def problems(content):
    return [(p.sheet, p.row, p.column, p.sentence) for p in read(content).problems]


def worked_on(sheet, work):
    """A workbook of one sheet after somebody worked on it."""
    book = opened(some_sheets({sheet}))
    work(book[sheet])
    return saved(book)


def test_what_was_written_is_read():
    reading = read(made_workbook())
    assert reading.problems == []
    assert reading.rows == made_rows()
    assert (reading.line, reading.complete) == ("S4", True)


def test_heads_of_shares_from_before_they_said_so_are_read_too():
    def of_old(sheet):
        heads = {cell.value: cell for cell in sheet[1]}
        heads["flap leak share [0 to 1]"].value = "flap leak share"

    reading = read(worked_on("Cabins", of_old))
    assert reading.problems == []
    assert reading.rows["Cabins"] == made_rows()["Cabins"]


@pytest.mark.parametrize(
    ("place", "value", "column", "sentence"),
    [
        (("Cabins", 2, "volume [m³]"), "2,4", "C", "Volume [m³] must be a number, not “2,4”."),
        (("Cabins", 2, "volume [m³]"), True, "C", "Volume [m³] must be a number, not True."),
        (("Cabins", 2, "volume [m³]"), datetime(2020, 1, 1), "C", "Volume [m³] must be a number, not 2020-01-01 00:00:00."),  # noqa: DTZ001, E501
        (("Cabins", 2, "volume [m³]"), "=1+1", "C", "Formulas are not read; paste the value instead."),
        (("Cabins", 2, "volume [m³]"), "nan", "C", "Volume [m³] must be a number, not “nan”."),
        (("Cabins", 2, "name"), None, "B", "Name must not be empty."),
        (("Cabins", 2, "name"), "n" * 121, "B", "Name has 121 characters; at most 120 fit."),
        (("Cabins", 2, "origin kind"), "guess", "I", "Origin kind must be one of measured, weighed, data sheet, calculated, estimate, default; not “guess”."),  # noqa: E501
        (("Cabins", 2, "origin on"), "May", "L", "Origin on must be a date, such as 1961-05-01, not “May”."),
        (("Cabins", 2, "code"), "?", "A", "Code must start with a letter or digit and hold letters, digits, space and . / _ + # - only, not “?”."),  # noqa: E501
        (("Positions", 2, "number"), 1.5, "B", "Number must be a whole number, not 1.5."),
        (("Positions", 2, "number"), -1, "B", "Number must be from 0 to 32767, not -1."),
        (("Positions", 2, "number"), 40_000, "B", "Number must be from 0 to 32767, not 40000."),
        (("Entries", 2, "quantity"), 0.0005, "E", "Quantity has more than 3 decimals: 0.0005."),
        (("Entries", 2, "quantity"), 1e9, "E", "Quantity is too large."),
        (("Entries", 2, "alternate"), "maybe", "H", "Alternate must be yes or no, not “maybe”."),
        (("Entries", 2, "option: Steering side"), "not middle", "I", "Steering side has no option “middle”; it has: left, right."),  # noqa: E501
        (("Variants", 2, "option: Voltage"), "6, 12", "K", "Voltage takes one option here, not 2."),
        (("Excluded", 2, "option: Steering side"), "not left", "C", "“not” has no meaning here; name the options themselves."),  # noqa: E501
    ],
)  # fmt: skip
def test_a_wrong_cell_is_named(place, value, column, sentence):
    found = problems(edited({place: value}))
    assert found == [(place[0], place[1], column, sentence)]


def test_a_number_in_a_key_column_is_refused():
    ((sheet, row, column, sentence),) = problems(edited({("Parts", 2, "number"): 7001}))
    assert (sheet, row, column) == ("Parts", 2, "A")
    assert sentence.startswith("Number must be text, but the cell holds 7001.")


def test_an_error_value_is_refused():
    def work(sheet):
        sheet["C2"].value = "#REF!"
        sheet["C2"].data_type = "e"

    assert problems(worked_on("Cabins", work)) == [("Cabins", 2, "C", "The cell holds an error, #REF!.")]


def test_merged_cells_are_refused():
    found = problems(worked_on("Cabins", lambda sheet: sheet.merge_cells("B2:C3")))
    assert found[0] == ("Cabins", 2, "B", "The cells B2:C3 are merged; split them, one value a cell.")


def test_a_row_that_stands_twice_is_refused():
    found = problems(edited({("Cabins", 3, "code"): "X1"}))
    assert found == [("Cabins", 3, "A", "x1 stands in row 2 already.")]


def test_heads_must_be_known_there_and_once():
    def work(sheet):
        sheet["B1"].value = "nam"
        sheet["D1"].value = "volume [m³]"

    assert problems(worked_on("Cabins", work)) == [
        ("Cabins", 1, "B", "“nam” is not a column of this sheet."),
        ("Cabins", 1, "D", "The column “volume [m³]” stands twice."),
        ("Cabins", 1, "", "The column “name” is missing."),
    ]


def test_a_value_under_no_head_is_refused():
    def work(sheet):
        sheet["Z2"].value = "left over"

    assert problems(worked_on("Cabins", work)) == [("Cabins", 2, "Z", "This cell stands under no head.")]


def test_an_unknown_sheet_is_refused():
    book = opened(some_sheets({"Cabins"}))
    book["Cabins"].title = "Cabin"
    assert problems(saved(book))[0][:1] == ("Cabin",)


def test_the_first_sheet_must_say_line_format_and_completeness():
    book = opened(some_sheets({"Cabins"}))
    book["About"]["B2"].value = None
    book["About"]["B3"].value = 99
    book["About"]["B4"].value = "perhaps"
    assert problems(saved(book)) == [
        ("About", 2, "B", "Model line must not be empty."),
        ("About", 4, "B", "Complete must be yes or no, not “perhaps”."),
        ("About", 3, "B", "Format 99 is not known here; this version reads format 1."),
    ]
    del book["About"]
    assert problems(saved(book))[0][0] == "About"


def test_columns_may_stand_in_any_order_and_heads_in_any_case():
    def work(sheet):
        for cell in sheet[1]:
            cell.value = f" {cell.value.upper()} " if cell.value != "volume [m³]" else cell.value
        sheet.move_range("A1:A3", cols=20)

    assert read(worked_on("Cabins", work)).rows["Cabins"] == made_rows()["Cabins"]


def test_a_feature_may_be_named_by_its_code():
    def work(sheet):
        for cell in sheet[1]:
            if cell.value == "option: Steering side":
                cell.value = "option: side"

    assert read(worked_on("Entries", work)).rows["Entries"] == made_rows()["Entries"]


def test_two_features_of_one_name_are_refused():
    found = problems(edited({("Features", 3, "name"): "steering side"}))
    assert found == [
        ("Features", None, "", "side and volt have the same name, steering side; it heads their columns.")
    ]


def test_empty_rows_are_passed_over():
    reading = read(worked_on("Cabins", lambda sheet: sheet.insert_rows(3, 4)))
    assert reading.problems == []
    assert reading.places["Cabins", ("x2",)] == 7


def test_decimals_and_dates_are_read_exactly():
    content = edited({("Entries", 2, "quantity"): 0.1, ("Entries", 2, "in force from"): "1999-12-31"})
    row = read(content).rows["Entries"]["x1", 1, 1]
    assert row["quantity"] == Decimal("0.100")
    assert row["in_force_from"].isoformat() == "1999-12-31"


def test_blank_cells_take_the_models_default():
    row = read(edited({("Surfaces", 2, "shade factor [0 to 1]"): None, ("Surfaces", 2, "boundary"): None}))
    assert row.rows["Surfaces"]["x1", "x1"]["shade_factor"] == 1.0
    assert row.rows["Surfaces"]["x1", "x1"]["boundary"] == "outside"


@pytest.mark.parametrize("sheet", ["Lengths", "Charges", "Surfaces"])
def test_a_row_that_ends_before_the_last_head_ends_in_empty_cells(sheet):
    # a spreadsheet need not store empty cells at the end of a row, nor does openpyxl
    def empty_last_cell(rows, *, stored):
        last = rows.max_column
        rows.cell(2, last).value = None
        if stored:
            rows.cell(2, last).number_format = "0.00"
        else:
            del rows._cells[2, last]

    kept, short = (
        read(worked_on(sheet, lambda rows, stored=stored: empty_last_cell(rows, stored=stored)))
        for stored in (True, False)
    )
    assert short.problems == []
    assert len(short.rows[sheet]) == len(made_rows()[sheet])
    assert short.rows[sheet] == kept.rows[sheet]
