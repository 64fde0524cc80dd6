"""Numbers stand right, a number stays with its unit, and a table is narrow when half a sheet holds it."""

import pytest

from kits.documents.report_tables import are_numbers, on_paper
from kits.topics.figure import Table


@pytest.mark.parametrize(
    ("texts", "expected"),
    [
        (["1", "2.5", "−3", "+4", "1,250"], True),
        (["1 W", "20 W", "–"], True),
        (["10°", "4°"], True),
        (["1 W", "2 K"], False),
        (["1", "not stated"], False),
        (["3.6 to 4.3"], False),
        (["–", ""], False),
        ([], False),
    ],
)
def test_a_column_of_numbers_is_known_by_one_unit(texts, expected):
    assert are_numbers(texts) is expected


def test_a_short_number_stays_on_a_line_with_its_unit():
    table = on_paper(Table("", ("a", "b"), (("12 W", "a text of some length"),)))
    assert [cell.text for cell in table.rows[0]] == ["12\N{NO-BREAK SPACE}W", "a text of some length"]


def test_a_table_is_narrow_when_its_columns_fit_half_a_sheet():
    narrow = Table("", ("what", "value"), (("superheat behind the coil", "5.0 K"),))
    assert on_paper(narrow).is_narrow
    wide = Table("", ("duty point", "capacity") * 5, (("cruise-35", "2,932") * 5,))
    assert not on_paper(wide).is_narrow


def test_a_table_without_rows_is_no_fault():
    assert on_paper(Table("Empty", ("a", "b"), ())).is_narrow
