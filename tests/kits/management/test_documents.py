"""The commands that write documents: what the pages give, and a sentence when something is wrong."""

import io

import pytest
from django.core.management.base import CommandError
from openpyxl import load_workbook

from tests.kits.documents.fitment import make_fitment, offer
from tests.kits.documents.reading import text

pytestmark = pytest.mark.one_database

CODES = ("DASH/1", "S4", "S4-LC")


@pytest.fixture
def fitment(db):
    """A fitment with a charge."""
    return make_fitment()


def test_the_parts_list_is_a_workbook_unless_asked_otherwise(command, fitment, tmp_path):
    file = tmp_path / "new folder" / "list.xlsx"
    assert command("parts_list", *CODES, "--out", str(file)).strip() == str(file)
    sheet = load_workbook(io.BytesIO(file.read_bytes()))["About"]
    assert {row[0].value: row[1].value for row in sheet}["Variant"] == "Solenne S4 left coupé (S4-LC)"


@pytest.mark.parametrize("arguments", [("--out", "list.pdf"), ("--format", "pdf")])
def test_the_parts_list_is_a_pdf_by_the_files_name_or_when_asked(
    command, fitment, tmp_path, monkeypatch, arguments
):
    monkeypatch.chdir(tmp_path)
    file = tmp_path / command("parts_list", *CODES, *arguments).strip()
    assert "Parts list" in text(file.read_bytes())


@pytest.mark.parametrize(
    ("name", "words"),
    [("checklist", "Installation checklist"), ("sizing_sheet", "not sized"), ("sizing_report", "not sized")],
)
def test_each_document_is_written_here_under_a_name_of_its_own(
    command, fitment, tmp_path, monkeypatch, name, words
):
    monkeypatch.chdir(tmp_path)
    file = tmp_path / command(name, *CODES).strip()
    assert file.name == f"DASH-1-S4-LC-{name.replace('_', '-')}.pdf"
    whole = text(file.read_bytes())
    assert words in whole
    assert "the console" in whole


@pytest.mark.parametrize("name", ["parts_list", "checklist", "sizing_sheet", "sizing_report"])
def test_a_fitment_that_is_not_there_is_said_and_nothing_is_written(command, fitment, tmp_path, name):
    file = tmp_path / "x.pdf"
    with pytest.raises(CommandError, match="has no fitment in variant OTHER"):
        command(name, "DASH/1", "S4", "OTHER", "--out", str(file))
    assert not file.exists()


def test_a_place_that_can_not_be_written_is_said(command, fitment, tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(CommandError, match="Could not write"):
        command("parts_list", *CODES, "--out", str(tmp_path / "file" / "x.xlsx"))


@pytest.mark.parametrize("name", ["parts_list", "checklist", "sizing_sheet", "sizing_report"])
def test_where_there_are_several_markets_one_has_to_be_stated(command, fitment, tmp_path, name):
    offer(fitment, "home", "away")
    file = tmp_path / "x.pdf"
    with pytest.raises(CommandError, match=r"choose away \(Market away\) or home"):
        command(name, *CODES, "--out", str(file))
    assert not file.exists()
    command(name, *CODES, "--market", "home", "--out", str(file))
    assert "Market: Market home (home)" in text(file.read_bytes())
