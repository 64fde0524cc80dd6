"""The documents of a fitment as files: of exactly that car, and a sentence when there is none."""

import io
import re
from datetime import timedelta

import pytest
from django.db.models import F
from django.urls import reverse
from openpyxl import load_workbook

from kits.bom.models import KitOffer
from kits.documents import tasks
from kits.files.store import path_of
from kits.fitment.models import CatalogueStamp, ChargeRecord, Fitment, SizedFitment
from kits.people.models import Shop
from kits.work.actions import run
from kits.work.kind import RUNNING, WAITING, Asked
from kits.work.models import Work
from tests.kits.documents.fitment import make_fitment, offer, store_answer
from tests.kits.documents.reading import text
from tests.kits.fitment.pages import main_text

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


@pytest.fixture
def worker(settings):
    """A worker that takes the work when the test says so."""
    settings.WORK_AT_ONCE = False
    return lambda: [run(work.pk) for work in Work.objects.filter(state=WAITING)]


@pytest.mark.parametrize("name", NAMES)
def test_a_paper_tells_how_far_it_is_and_no_time_left(owner_client, fitment, worker, name):
    owner_client.get(reverse(name, args=CODES))
    work = Work.objects.get()
    steps = tasks.PAPER.steps(Asked(work.wanted, work.by, work.asked_at))
    assert [(step.done, step.of) for step in steps] == [(1, 3), (2, 3), (3, 3)]
    begun = {"state": RUNNING, "taken_at": work.asked_at, "step_at": work.asked_at + timedelta(seconds=2)}
    Work.objects.filter(pk=work.pk).update(done_count=1, of_count=3, **begun)
    page = main_text(owner_client.get(f"/works/{work.pk}/"))
    assert "1 of 3 done." in page
    assert "left" not in page


@pytest.mark.parametrize("name", NAMES)
def test_a_paper_is_made_by_the_worker_and_the_page_leads_to_it(owner_client, fitment, worker, name):
    address = reverse(name, args=CODES)
    there = owner_client.get(address)
    work = Work.objects.get()
    assert there["Location"] == f"/works/{work.pk}/?next=%2Ffitments%2FDASH~1%2FS4%2FS4-LC%2F&go=1"
    assert owner_client.get(address)["Location"] == there["Location"], "asked again while it waits: the same"
    worker()
    page = owner_client.get(there["Location"]).content.decode()
    assert f'data-goes-to="{address}?paper=A4"' in page
    answer = owner_client.get(f"{address}?paper=A4")
    assert (answer.status_code, answer["X-Content-Type-Options"]) == (200, "nosniff")
    assert answer.content[:4] in (b"%PDF", b"PK\x03\x04")
    assert Work.objects.count() == 1


def test_a_paper_is_made_anew_as_soon_as_something_in_it_may_have_changed(
    owner_client, installer_client, fitment
):
    address = reverse("checklist-pdf", args=CODES)
    store_answer(fitment, stamp=7)

    def made():
        assert owner_client.get(address).status_code == 200
        return Work.objects.count()

    assert (made(), made()) == (1, 1)
    installer_client.get(address)
    assert made() == 2, "another name stands on it"
    CatalogueStamp.objects.update(value=F("value") + 1)
    assert (made(), made()) == (3, 3)
    SizedFitment.objects.update(sized_at=F("sized_at") + timedelta(seconds=1))
    assert made() == 4
    Shop.objects.create(pk=1, second_person="always")
    assert (made(), made()) == (5, 5)
    Work.objects.update(ended_at=F("ended_at") - timedelta(minutes=11))
    assert made() == 6


def test_a_paper_whose_bytes_are_damaged_is_not_shown(owner_client, fitment, settings):
    address = reverse("checklist-pdf", args=CODES)
    owner_client.get(address)
    path_of(settings.FILES_DIR, Work.objects.get().file.sha256).write_bytes(b"%PDF damaged")
    answer = owner_client.get(address)
    assert answer.status_code == 404 and "damaged" in main_text(answer)


def test_a_paper_that_could_not_be_made_says_why_on_the_fitments_page(owner_client, fitment, monkeypatch):
    monkeypatch.setattr(tasks, "document_pdf", lambda *a, **k: 1 / 0)
    page = main_text(owner_client.get(reverse("checklist-pdf", args=CODES), follow=True))
    assert "Checklist of DASH/1 in S4-LC was not made. A fault of ours ended it" in page


def test_a_fitment_that_is_gone_when_the_worker_comes_is_told_in_words(owner_client, fitment, worker):
    there = owner_client.get(reverse("checklist-pdf", args=CODES))
    ChargeRecord.objects.all().delete()
    Fitment.objects.all().delete()
    worker()
    page = main_text(owner_client.get(there["Location"]))
    assert "Failed. Kit DASH/1 has no fitment in variant S4-LC of model line S4." in page


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


@pytest.mark.parametrize("name", NAMES)
def test_a_paper_without_a_market_leads_back_where_there_are_several(owner_client, fitment, name):
    offer(fitment, "home", "away")
    answer = owner_client.get(reverse(name, args=CODES), follow=True)
    assert answer.redirect_chain == [("/fitments/DASH~1/S4/S4-LC/#papers", 302)]
    assert "choose away (Market away) or home (Market home)" in main_text(answer)
    assert not Work.objects.exists()


def test_a_paper_of_a_market_that_is_none_of_the_kits_leads_back(owner_client, fitment):
    offer(fitment, "home")
    page = main_text(
        owner_client.get(reverse("checklist-pdf", args=CODES), {"market": "x" * 900}, follow=True)
    )
    assert f"not offered in the market {'x' * 20} for this car" in page


def test_each_market_has_a_paper_of_its_own_that_says_what_its_own_rules_say(owner_client, fitment):
    offer(fitment, "home", "ban")
    address = reverse("checklist-pdf", args=CODES)

    def paper(**asked):
        return text(owner_client.get(address, asked).content)

    home, ban = paper(market="home"), paper(market="ban")
    assert Work.objects.count() == 2
    assert "Market: Market home (home)" in home and "Law of home" in home and "RULE-ban" not in home
    assert "RULE-ban of the market ban forbids R-134a" in ban and "Law of home" not in ban
    answer = owner_client.get(address, {"market": "ban"})
    assert answer["Content-Disposition"] == 'inline; filename="dash1-s4-lc-ban-checklist.pdf"'
    assert Work.objects.count() == 2


def test_the_only_market_is_that_of_the_paper_and_without_one_it_says_so(owner_client, fitment):
    address = reverse("parts-list-pdf", args=CODES)
    assert "Market: no market stated" in text(owner_client.get(address).content)
    offer(fitment, "home")
    CatalogueStamp.objects.update(value=F("value") + 1)
    assert "Market: Market home (home)" in text(owner_client.get(address).content)


def test_a_paper_in_the_making_leads_back_to_its_market_and_on_to_its_paper(owner_client, fitment, worker):
    offer(fitment, "home", "away")
    there = owner_client.get(reverse("checklist-pdf", args=CODES), {"market": "away"})
    assert "next=%2Ffitments%2FDASH~1%2FS4%2FS4-LC%2F%3Fmarket%3Daway" in there["Location"]
    worker()
    page = owner_client.get(there["Location"]).content.decode()
    assert "Checklist of DASH/1 in S4-LC, market away" in page
    assert f'data-goes-to="{reverse("checklist-pdf", args=CODES)}?paper=A4&amp;market=away"' in page


def test_a_market_that_ended_before_the_worker_came_is_told_in_words(owner_client, fitment, worker):
    offer(fitment, "home", "away")
    there = owner_client.get(reverse("checklist-pdf", args=CODES), {"market": "away"})
    KitOffer.objects.filter(market__code="away").delete()
    worker()
    assert "Failed. This kit is not offered in the market away" in main_text(
        owner_client.get(there["Location"])
    )


def links(page):
    """The addresses of the papers on a fitment's page."""
    return re.findall(r'href="([^"]*\.(?:pdf|xlsx)[^"]*)"', page)


def test_the_page_offers_the_markets_and_one_choice_goes_with_all_papers(owner_client, fitment):
    here = reverse("fitment-sheet", args=CODES)
    bare = [reverse(name, args=CODES) for name in NAMES]

    def page(**asked):
        return owner_client.get(here, asked).content.decode()

    assert sorted(links(page())) == sorted(bare)
    assert "offered in no market for this car" in page()
    offer(fitment, "home")
    assert sorted(links(page())) == sorted(f"{address}?market=home" for address in bare)
    offer(fitment, "away+")
    assert links(page()) == [], "one has to be chosen first"
    assert 'href="?market=away%2B#papers"' in page() and "Choose it first" in page()
    chosen = page(market="away+")
    assert sorted(links(chosen)) == sorted(f"{address}?market=away%2B" for address in bare)
    assert 'href="?market=away%2B#papers" aria-current="true"' in chosen
    assert links(page(market="nowhere")) == []
    assert "Law of home" in chosen, "the page itself tells what every market says"
