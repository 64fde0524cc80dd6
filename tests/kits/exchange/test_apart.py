"""A workbook is read in a process of its own that is given so much time and memory and no more."""

import io
import pickle
import re

import pytest

from kits.exchange import apart
from kits.exchange.apart import TOO_LARGE, open_apart
from kits.exchange.safety import open_workbook
from kits.exchange.scan import UnsafeWorkbook
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
