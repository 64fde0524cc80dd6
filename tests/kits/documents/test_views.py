"""The documents of a fitment as files: of exactly that car, and a sentence when there is none."""

import io

import pytest
from django.urls import reverse
from openpyxl import load_workbook

from tests.kits.documents.fitment import make_fitment, store_answer
from tests.kits.documents.reading import text

pytestmark = pytest.mark.one_database

CODES = ["DASH/1", "S4", "S4-LC"]
NAMES = ("parts-list-xlsx", "parts-list-pdf", "checklist-pdf", "sizing-sheet-pdf", "sizing-report-pdf")


@pytest.fixture
def fitment(db):
    """A fitment with a charge."""
    return make_fitment()


@pytest.mark.parametrize("name", NAMES[1:])
def test_each_pdf_is_of_the_car_asked_for(installer_client, fitment, name):
    answer = installer_client.get(reverse(name, args=CODES))
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    assert answer["Content-Disposition"] == f'inline; filename="dash1-s4-lc-{name.removesuffix("-pdf")}.pdf"'
    assert "no-store" in answer["Cache-Control"]
    whole = text(answer.content)
    assert "Solenne S4 left coupé (S4-LC)" in whole
    assert "installer" in whole, "who had it made"


def test_the_workbook_carries_the_charge_of_the_fitment(production_client, fitment):
    answer = production_client.get(reverse("parts-list-xlsx", args=CODES))
    assert answer["Content-Disposition"].startswith("attachment")
    sheet = load_workbook(io.BytesIO(answer.content))["About"]
    assert {row[0].value: row[1].value for row in sheet}["Charge"] == "850 g ± 25 g (weighed)"


@pytest.mark.parametrize(("stamp", "is_stale"), [(7, False), (6, True)])
def test_the_sizing_sheet_prints_the_stored_answer_and_whether_it_is_out_of_date(
    owner_client, fitment, stamp, is_stale
):
    store_answer(fitment, stamp=stamp)
    whole = text(owner_client.get(reverse("sizing-sheet-pdf", args=CODES)).content)
    assert "not enough −19 %" in whole
    assert "as of 2026-03-01 09:30 UTC" in whole
    assert ("size again" in whole) is is_stale


def test_a_fitment_that_was_never_sized_has_a_sheet_that_says_so(owner_client, fitment):
    assert "not sized" in text(owner_client.get(reverse("sizing-sheet-pdf", args=CODES)).content)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("place", [0, 1, 2])
def test_a_fitment_that_is_not_there_is_not_found(owner_client, fitment, name, place):
    codes = [*CODES[:place], "OTHER", *CODES[place + 1 :]]
    assert owner_client.get(reverse(name, args=codes)).status_code == 404


def test_paper_may_be_letter_and_anything_else_is_a4(owner_client, fitment):
    from pypdf import PdfReader

    def width(**asked):
        address = reverse("checklist-pdf", args=CODES)
        content = owner_client.get(address, asked).content
        return round(PdfReader(io.BytesIO(content)).pages[0].mediabox.width)

    assert (width(paper="Letter"), width(size="letter"), width(paper="A3")) == (612, 612, 595)
