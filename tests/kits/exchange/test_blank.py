"""An empty workbook, filled by hand with one small line, imports."""

import pytest

from kits.exchange.queries import blank_workbook
from kits.exchange.sheets.bridge import SHEETS
from tests.kits.exchange.books import check, load, opened, saved
from tests.kits.exchange.rows import LINE, made_workbook
from vehicles.models import Feature, ModelLine, Variant, VariantOption

pytestmark = pytest.mark.django_db

SMALL_LINE = {
    "Model line": [{"code": "M1", "name": "Small"}],
    "Features": [{"code": "hand", "name": "Hand drive"}],
    "Options": [
        {"feature": "hand", "code": "left", "name": "Left"},
        {"feature": "hand", "code": "right", "name": "Right"},
    ],
    "Line features": [{"feature": "hand"}],
    "Line options": [{"feature": "hand", "option": "left"}, {"feature": "hand", "option": "right"}],
    "Cabins": [{"code": "body", "name": "Body", "volume [m³]": 2.4}],
    "Surfaces": [
        {"cabin": "body", "code": "roof", "name": "Roof", "kind": "opaque", "option: Hand drive": "not right"}
    ],
    "Powertrains": [{"code": "petrol", "name": "Petrol"}],
    "Variants": [
        {
            "code": "M1-L",
            "name": "Left",
            "cabin": "body",
            "powertrain": "petrol",
            "option: Hand drive": "left",
        }
    ],
}


def filled(content, rows):
    """The workbook after somebody typed the rows under its heads; a head that is missing is added at the end."""
    book = opened(content)
    book["About"]["B2"].value = "M1"
    for name, lines in rows.items():
        sheet = book[name]
        for number, line in enumerate(lines, start=sheet.max_row + 1):
            for head, value in line.items():
                heads = [cell.value for cell in sheet[1]]
                if head not in heads:
                    sheet.cell(1, len(heads) + 1).value = head
                    heads.append(head)
                sheet.cell(number, heads.index(head) + 1).value = value
    return saved(book)


def test_one_small_line_typed_into_an_empty_workbook_imports():
    load(filled(blank_workbook(), SMALL_LINE))
    variant = Variant.objects.get(code="M1-L")
    assert (variant.line.code, variant.cabin.volume_m3) == ("M1", 2.4)
    assert VariantOption.objects.get(variant=variant).option.code == "left"


def test_it_has_every_sheet_and_removes_nothing():
    book = opened(blank_workbook())
    assert book.sheetnames == ["About", *(sheet.name for sheet in SHEETS), "Lists"]
    assert [book["About"][cell].value for cell in ("B2", "B3", "B4")] == [None, 1, "no"]
    assert {book[sheet.name].max_row for sheet in SHEETS} == {1}


def test_unfilled_it_is_refused_with_what_is_missing():
    problems = check(blank_workbook()).plan["problems"]
    assert [(p["sheet"], p["row"], p["column"], p["sentence"]) for p in problems] == [
        ("About", 2, "B", "Model line must not be empty.")
    ]


def test_known_features_head_its_columns_and_stand_in_it():
    load(made_workbook())
    book = opened(blank_workbook())
    assert "option: Steering side" in [cell.value for cell in book["Surfaces"][1]]
    assert [row[0].value for row in book["Features"].iter_rows(min_row=2)] == ["side", "volt"]
    assert book["Variants"].max_row == 1
    content = filled(blank_workbook(), {name: SMALL_LINE[name] for name in ("Model line", "Cabins")})
    assert set(check(content).plan["sheets"]) == {"Model line", "Cabins"}
    assert ModelLine.objects.get().code == LINE
    assert Feature.objects.count() == 2


def test_what_is_typed_into_a_text_column_is_text():
    parts = opened(blank_workbook())["Parts"]
    assert parts.column_dimensions["A"].number_format == "@"
    assert parts.column_dimensions["A"].width >= 9


def test_its_heads_are_frozen_wrapped_and_wide_enough():
    book = opened(blank_workbook())
    for name in (sheet.name for sheet in SHEETS):
        worksheet = book[name]
        assert worksheet.freeze_panes.endswith("2")
        for cell in worksheet[1]:
            assert cell.alignment.wrap_text
            width = worksheet.column_dimensions[cell.column_letter].width
            assert width >= max(len(word) for word in cell.value.split()) + 1, (name, cell.value)
