"""What a reader finds, and does not find, of a kit that heats only."""

import pytest

from kits.fitment.models import Fitment
from tests.kits.fitment.answers import store, with_verdict
from tests.kits.fitment.pages import main_text

pytestmark = [pytest.mark.one_database, pytest.mark.usefixtures("demonstration")]
SHEET = "/fitments/S4-WARM/S4/CP6R/"
OTHER = "/fitments/S4-DASH/S4/CP6R/"


@pytest.fixture
def fitment() -> Fitment:
    return Fitment.objects.get(kit__code="S4-WARM", variant__code="CP6R")


def test_its_sheet_tells_of_no_gas_no_condenser_and_no_study(manager_client, fitment):
    store(fitment, with_verdict("strong enough", 0.71))
    store(Fitment.objects.get(kit__code="S4-DASH", variant__code="CP6R"))
    heats, cools = (main_text(manager_client.get(page)) for page in (SHEET, OTHER))
    for word in ("Charge and oil", "Record a charge", "Condenser air above outside", "Try a change"):
        assert word in cools, word
        assert word not in heats, word
    assert "the matrix’s heat over the heat that the cabin loses" in heats


@pytest.mark.parametrize("page", ["readings/", "plateau/", "study/", "study/gases/"])
def test_pages_of_the_refrigerant_say_that_there_is_none(owner_client, page):
    found = owner_client.get(f"{SHEET}{page}")
    assert found.status_code == 404
    assert "This kit heats only" in main_text(found)
    assert owner_client.get(f"{OTHER}{page}").status_code == 200


def test_the_kits_page_says_what_it_is(owner_client):
    page = main_text(owner_client.get("/kits/S4-WARM/"))
    assert "none, heats only" in page
    assert "Superheat" not in page
    assert "Superheat" in main_text(owner_client.get("/kits/S4-DASH/"))
