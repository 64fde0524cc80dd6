"""A workbook is read in a process of its own that is given so much time and memory and no more."""

import datetime
import io
import os
import pickle
import re
from decimal import Decimal

import pytest
from openpyxl.worksheet.formula import ArrayFormula

from kits.exchange import apart
from kits.exchange.apart import TOO_LARGE, Cell, open_apart, plain
from kits.exchange.safety import open_workbook
from kits.exchange.scan import UnsafeWorkbook
from tests.kits.exchange.books import opened, saved
from tests.kits.exchange.hostile import FILES
from tests.kits.exchange.rows import made_workbook

HOSTILE_A_RUN = 4


def contents(sheets):
    return [
        (s.title, s.visible, s.facts, [[(cell.value, cell.data_type) for cell in row] for row in s.rows()])
        for s in sheets
    ]


def test_it_brings_the_same_as_a_look_from_here():
    content = made_workbook()
    found = contents(open_apart(content))
    assert found == contents(open_workbook(content))
    assert sum(len(rows) for *_, rows in found) > 100


def test_hostile_files_are_refused_with_the_same_words(sampled):
    for name in sampled(sorted(FILES), HOSTILE_A_RUN):
        make, words = FILES[name]
        with pytest.raises(UnsafeWorkbook, match=re.escape(words)):
            open_apart(make())


@pytest.fixture
def limited(monkeypatch):
    """Let the process have less than it needs."""

    def limit(**values):
        told = "; ".join(f"apart.{name} = {value}" for name, value in values.items())
        start = f"from kits.exchange import apart; {told}; apart.run()"
        monkeypatch.setattr(apart, "_START", start)

    return limit


@pytest.mark.parametrize(
    "values", [{"MOST_BYTES": 20 * 1024**2}, {"MOST_BYTES": 40 * 1024**2}, {"MOST_CPU_S": 0}]
)
def test_what_needs_more_than_one_workbook_is_given_is_refused_with_a_sentence(limited, values):
    limited(**values)
    with pytest.raises(UnsafeWorkbook) as refused:
        open_apart(made_workbook())
    assert str(refused.value) == TOO_LARGE


def test_what_takes_too_long_by_the_clock_is_ended(monkeypatch):
    monkeypatch.setattr(apart, "_START", "import time; time.sleep(60)")
    monkeypatch.setattr(apart, "MOST_S", 0.5)
    with pytest.raises(UnsafeWorkbook) as refused:
        open_apart(b"")
    assert str(refused.value) == TOO_LARGE


def test_memory_that_runs_out_on_the_way_is_told_as_such_and_not_as_a_damaged_file(monkeypatch):
    def runs_out(content):
        try:
            raise MemoryError
        except MemoryError as error:
            raise UnsafeWorkbook("damaged") from error

    monkeypatch.setattr(apart, "open_workbook", runs_out)
    out = io.BytesIO()
    apart.tell(b"", out)
    assert pickle.loads(out.getvalue()) == TOO_LARGE


def test_every_value_of_a_cell_comes_back():
    moment = datetime.datetime(2026, 5, 1, 12, 5)  # noqa: DTZ001 - a cell knows no zone
    values = [
        None,
        "x",
        1,
        1.5,
        True,
        Decimal("1.50"),
        moment,
        moment.date(),
        moment.time(),
        datetime.timedelta(1),
    ]
    told = io.BytesIO(pickle.dumps([Cell(value, "n") for value in values]))
    assert [cell.value for cell in plain(told)] == values


def test_a_formula_over_many_cells_comes_back_as_a_formula():
    book = opened(made_workbook())
    book.worksheets[1]["A2"] = ArrayFormula("A2:A3", "=B2:B3")
    cells = [cell for sheet in open_apart(saved(book)) for row in sheet.rows() for cell in row]
    assert [type(cell.value) for cell in cells if cell.data_type == "f"] == [str]


class Hostile:
    """What would run a command when it is read back."""

    def __reduce__(self):
        return os.system, ("exit 7",)


@pytest.mark.parametrize("told", [Hostile(), [Cell(Hostile(), "s")], re.compile("x")])
def test_nothing_but_plain_values_is_taken_back_from_the_process(told):
    with pytest.raises(pickle.UnpicklingError, match="is no plain value"):
        plain(io.BytesIO(pickle.dumps(told)))
