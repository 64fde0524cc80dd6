"""Files that are too big, damaged, or more than data are not opened."""

import io
import zipfile

import pytest

from kits.exchange import safety, scan
from kits.exchange.safety import UnsafeWorkbook, open_workbook
from kits.exchange.sheets.bridge import SHEETS
from tests.architecture.tree import ROOT
from tests.kits.exchange.books import opened, saved
from tests.kits.exchange.rows import made_workbook, some_sheets


def repacked(change=None, more=()):
    """A good workbook with a file changed or files added."""
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(some_sheets({"Cabins"}))) as old,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for name in old.namelist():
            data = old.read(name)
            new.writestr(name, change(name, data) if change else data)
        for name, data in more:
            new.writestr(name, data)
    return out.getvalue()


def refusal(content):
    with pytest.raises(UnsafeWorkbook) as refused:
        open_workbook(content)
    return str(refused.value)


def test_a_good_workbook_opens():
    assert [sheet.title for sheet in open_workbook(made_workbook())][:2] == ["About", "Model line"]
    assert [sheet.title for sheet in open_workbook(repacked())] == ["About", "Cabins", "Lists"]


@pytest.mark.parametrize("content", [b"", b"name;code\n", b"PK\x03\x04", made_workbook()[:5000]])
def test_what_is_no_workbook_is_refused(content):
    assert refusal(content) == "This file is not an .xlsx workbook, or it is damaged."


def test_a_file_too_large_is_refused():
    assert refusal(b"x" * (safety.MAX_BYTES + 1)) == "The file is larger than 20 MB."


def test_a_workbook_that_unpacks_to_too_much_is_refused():
    zeros = bytes(21 * 1024**2)
    content = repacked(more=[(f"xl/media/{n}.bin", zeros) for n in range(10)])
    assert len(content) < 1024**2
    assert refusal(content) == "The workbook unpacks to more than 200 MB."


@pytest.mark.parametrize(
    ("name", "word"),
    [
        ("xl/vbaProject.bin", "macros"),
        ("xl/externalLinks/externalLink1.xml", "links"),
        ("xl/connections.xml", "connections"),
        ("xl/embeddings/oleObject1.bin", "embedded"),
        ("xl/activeX/activeX1.xml", "active"),
    ],
)
def test_more_than_data_is_refused(name, word):
    assert word in refusal(repacked(more=[(name, b"<x/>")]))


def test_a_document_type_with_entities_is_refused():
    bomb = b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "bbbb">]><a>&b;</a>'
    assert "damaged" in refusal(repacked(lambda name, data: bomb if name == "xl/styles.xml" else data))


def test_more_elements_than_can_be_read_are_refused(monkeypatch):
    monkeypatch.setattr(scan, "MAX_ELEMENTS", 500)
    assert "more cells" in refusal(made_workbook())


def test_too_many_sheets_rows_or_columns_are_refused():
    book = opened(some_sheets({"Cabins"}))
    for n in range(safety.MAX_SHEETS):
        book.create_sheet(f"s{n}")
    assert refusal(saved(book)) == f"The workbook has more than {safety.MAX_SHEETS} sheets."
    for cell, word in (("A100001", "100,000 rows"), ("GS1", "200 columns")):
        book = opened(some_sheets({"Cabins"}))
        book["Cabins"][cell].value = 1
        assert word in refusal(saved(book))


def test_the_limits_are_written_down():
    told = " ".join((ROOT / "README.md").read_text(encoding="utf-8").split())
    assert f"a workbook {safety.MAX_BYTES // 1024**2} MB" in told
    assert (
        f"Workbooks (.xlsx) are the only files that are taken: unpacked {safety.MAX_UNPACKED_BYTES // 1024**2} MB and "
        f"{safety.MAX_MEMBERS} parts at most"
    ) in told


def test_our_own_layout_has_room_in_the_limits():
    assert len(SHEETS) + 20 <= safety.MAX_SHEETS
    assert max(len(sheet.columns) for sheet in SHEETS) + 100 < safety.MAX_COLUMNS
