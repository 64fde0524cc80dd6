"""The export of a line: loaded into an empty database it gives the same rows."""

import pytest

from kits.exchange.queries import export_workbook
from kits.exchange.sheets.bridge import SHEETS
from kits.models import Part
from tests.kits.exchange.books import check, empty_tables, load, opened, rows_from
from tests.kits.exchange.rows import LINE, made_rows, made_workbook
from vehicles.models import Cabin, Feature, ModelLine

pytestmark = pytest.mark.django_db


def test_every_sheet_is_stored_as_it_was_written():
    load(made_workbook())
    rows, counts = rows_from(LINE)
    assert rows == made_rows()
    assert counts["kits.StepFits"] == 2 * 5
    assert min(counts.values()) > 0


def test_an_export_loaded_into_an_empty_database_gives_the_same_rows():
    load(made_workbook())
    before = rows_from(LINE)
    content = export_workbook(ModelLine.objects.get())
    empty_tables()
    assert rows_from(LINE) != before
    load(content)
    assert rows_from(LINE) == before


@pytest.mark.usefixtures("demonstration_here")
def test_the_demonstrations_export_plans_no_change():
    for line in ModelLine.objects.all():
        plan = check(export_workbook(line)).plan
        assert (plan["problems"], plan["sheets"]) == ([], {})


def test_what_the_line_does_not_use_stays_out():
    load(made_workbook())
    Part.objects.create(number="other", name="other", kind="label")
    Feature.objects.create(code="other", name="Other")
    line = ModelLine.objects.create(code="V30", name="van")
    Cabin.objects.create(line=line, code="other", name="other")
    book = opened(export_workbook(ModelLine.objects.get(code=LINE)))
    texts = {str(cell.value) for sheet in book for row in sheet.iter_rows() for cell in row}
    assert not {"other", "option: Other", "V30"} & texts


@pytest.mark.one_database
def test_the_number_of_queries_does_not_grow_with_the_rows(django_assert_max_num_queries):
    load(made_workbook())
    with django_assert_max_num_queries(2 * len(SHEETS)):
        export_workbook(ModelLine.objects.get())
    load(made_workbook(made_rows(count=9), complete=False))
    with django_assert_max_num_queries(2 * len(SHEETS)):
        export_workbook(ModelLine.objects.get())
