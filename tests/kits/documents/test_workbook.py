"""The workbook: the quantities of consolidate as numbers, no formula whatever the texts are."""

import io
import zipfile
from decimal import Decimal

from openpyxl import load_workbook

from kits.bom.resolved import consolidate, explode
from kits.documents.parts_list import parts_list
from kits.documents.workbook import SUMMED, parts_list_workbook
from tests.kits.documents.sample import empty_kit, item, kit, of, sound, sound_kit

HOSTILE = ("=1+1", "+1", "-1", "@SUM(A1)", '=HYPERLINK("x")', "\t=1", "a\x07b", "<script>alert(1)</script>")


def opened(resolved):
    """The workbook of a kit that may be made, as openpyxl reads it."""
    return load_workbook(io.BytesIO(parts_list_workbook(parts_list(sound(resolved), "x"))))


def column(sheet, head, below=1):
    """The values under a head, which stands in row `below`."""
    place = [cell.value for cell in sheet[below]].index(head)
    return [row[place].value for row in sheet.iter_rows(min_row=below + 1)]


def test_summed_quantities_are_those_of_consolidate():
    sheet = opened(sound_kit())["Summed"]
    assert all(type(value) in (int, float) for value in column(sheet, "Quantity"))
    read = dict(
        zip(column(sheet, "Part number"), (Decimal(str(q)) for q in column(sheet, "Quantity")), strict=True)
    )
    assert read == {row.part: row.quantity for row in consolidate(kit())}


def test_structured_quantities_are_those_of_explode():
    sheet = opened(sound_kit())["Structured"]
    read = [Decimal(str(value)) for value in column(sheet, "Quantity")]
    assert sorted(read) == sorted(row.quantity for row in explode(kit()))
    assert "PROTOTYPE: not for production" in column(sheet, "Maturity")


def test_the_sum_of_leaves_in_the_structured_sheet_is_the_summed_sheet():
    book = opened(sound_kit())
    totals: dict[str, Decimal] = {}
    sheet = book["Structured"]
    for part, quantity, inner in zip(
        *(column(sheet, head) for head in ("Part number", "Quantity", "Made of what follows")), strict=True
    ):
        if not inner:
            totals[part] = totals.get(part, Decimal(0)) + Decimal(str(quantity))
    assert totals == {
        part: Decimal(str(quantity))
        for part, quantity in zip(
            column(book["Summed"], "Part number"), column(book["Summed"], "Quantity"), strict=True
        )
    }


def test_no_text_becomes_a_formula():
    items = tuple(
        item(n, text, text, zone=text, bag=text, maturity=text) for n, text in enumerate(HOSTILE, 1)
    )
    hostile = sound_kit(items=items, variant_name="=1+1", kit_name="=cmd|' /C calc'!A0", line="=1")
    content = parts_list_workbook(parts_list(sound(hostile), "=1+1"))
    book = load_workbook(io.BytesIO(content))
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.value is not None]
    assert {cell.data_type for cell in cells} <= {"s", "n", "d"}
    assert [c.value for c in cells if c.value == "=1+1"], "the text is kept as it was"
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        sheets = [archive.read(name) for name in archive.namelist() if name.startswith("xl/worksheets/sheet")]
    assert sheets
    assert not [xml for xml in sheets if b"<f>" in xml or b"<f " in xml]


def test_every_sheet_has_a_frozen_head():
    book = opened(sound_kit())
    assert book.sheetnames == ["Structured", "Summed", "Hoses", "Wires", "About"]
    assert {sheet.freeze_panes for sheet in book} == {"A2"}
    assert tuple(cell.value for cell in book["Summed"][1]) == tuple(SUMMED)


def test_a_hose_that_is_not_measured_has_an_empty_cell_and_no_number():
    assert column(opened(kit(findings=()))["Hoses"], "Cut length [mm]", 2) == [1243, None]


def test_what_keeps_it_from_production_stands_on_the_last_sheet():
    sheet = load_workbook(io.BytesIO(parts_list_workbook(parts_list(of(), "x"))))["About"]
    told = list(zip(column(sheet, "Field", 2), column(sheet, "Value", 2), strict=True))
    about = dict(told)
    assert about["Build standard"] == "none: not released"
    assert about["Charge"] == "850 g ± 25 g (weighed)"
    assert about["Gas"] == "R-134a, A1"
    assert about["Market"] == "no market stated"
    why = [value for field, value in told if field == "Not for production"]
    assert len(why) == 3 and "KW-310" in why[0]


def test_a_workbook_that_is_stopped_says_so_at_the_top_of_each_sheet():
    stopped = load_workbook(io.BytesIO(parts_list_workbook(parts_list(of(), "x"))))
    assert all(sheet["A1"].value.startswith("NOT FOR PRODUCTION") for sheet in stopped)
    assert {sheet.freeze_panes for sheet in stopped} == {"A3"}
    assert column(stopped["Summed"], "Part number", 2) == [row.part for row in consolidate(kit())]
    assert not [sheet for sheet in opened(sound_kit()) if "PRODUCTION" in str(sheet["A1"].value)]


def test_an_empty_kit_gives_heads_only():
    book = opened(empty_kit())
    assert [book[name].max_row for name in ("Structured", "Summed", "Hoses", "Wires")] == [2, 2, 2, 2]


def test_a_kit_that_heats_only_says_so_in_the_place_of_its_gas():
    sheet = opened(sound_kit(settings={"refrigerant": ""}))["About"]
    about = dict(zip(column(sheet, "Field"), column(sheet, "Value"), strict=True))
    assert about["Gas"] == "none, heats only"
    assert not {"Charge", "Oil"} & set(about)
