"""The duty points of the report: what is told of them adds up, and many go into several tables."""

import pytest

from kits.documents.report_duties import MOST_COLUMNS, duty_verdicts, load_tables, number_tables
from kits.documents.sizing_sheet import sizing_sheet
from tests.kits.documents.sample import duty, of, record


def sized(**changes):
    """Duty points of a record and the sizing sheet's lines of them."""
    answer = record(**changes)
    return answer.duties, sizing_sheet(of(answer=answer), "x").duties


def values(table):
    """The numbers of a table's rows."""
    return [[float(cell.text.replace(",", "").replace("−", "-")) for cell in row[1:]] for row in table.rows]


def test_the_load_by_term_adds_up_to_the_total():
    # computed here anew from the record: terms dry and wet against the load that is told
    (table,) = load_tables(record().duties)
    rows = values(table)
    for column, total in enumerate(rows[-1]):
        assert sum(row[column] for row in rows[:-1]) == pytest.approx(total, abs=len(rows))


def test_many_duty_points_go_into_tables_that_fit_the_sheet():
    many = tuple(duty(f"D{i}", f"Duty point number {i}", "marginal", 0.03) for i in range(MOST_COLUMNS + 2))
    duties, lines = sized(duties=many)
    for tables in (number_tables(duties, lines), load_tables(duties)):
        heads = [head.text for table in tables for head in table.heads[1:]]
        assert heads == [one.code for one in many]
        assert all(len(table.heads) - 1 <= MOST_COLUMNS for table in tables)


def test_each_fact_of_the_sizing_sheet_stands_in_the_table_of_numbers():
    duties, lines = sized()
    (table,) = number_tables(duties, lines)
    rows = [[cell.text.replace("\N{NO-BREAK SPACE}", " ") for cell in row] for row in table.rows]
    told = {row[0]: row[1:] for row in rows}
    for column, line in enumerate(line for line in lines if line.facts):
        for label, text in (
            *line.facts,
            ("Load, total", line.load),
            ("Capacity, dry", line.capacity_sensible),
        ):
            assert told[label][column] == text, label


def test_a_duty_point_that_is_not_sized_says_what_is_missing_and_has_no_column():
    duties, lines = sized()
    assert duty_verdicts(duties, lines)[-1].missing == ("The hot idle speed is missing.",)
    (table,) = number_tables(duties, lines)
    assert "I40" not in {head.text for head in table.heads}


def test_without_a_solved_duty_point_there_is_no_table():
    assert tuple(load_tables(())) == tuple(number_tables((), ())) == ()
