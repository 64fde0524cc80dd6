"""The page of fillings in steps, and the charge that is recorded from one."""

import pytest

from kits.fitment import tasks
from kits.fitment.actions import WorkedOut
from kits.fitment.models import ChargeRecord, Fitment
from tests.kits.fitment.pages import text
from tests.kits.fitment.plateau.trials import READ, RISING, filled

pytestmark = [pytest.mark.one_database, pytest.mark.usefixtures("demonstration")]

PAGE = "/fitments/S4-DASH/S4/CP12L/plateau/"


@pytest.fixture
def fitment() -> Fitment:
    return Fitment.objects.get(variant__code="CP12L")


@pytest.fixture(autouse=True)
def unsized(monkeypatch):
    """Spare the sizing after a charge is recorded; it has tests of its own."""
    monkeypatch.setattr(tasks, "worked_out", lambda on, keys: WorkedOut(0, ()))


def test_a_trial_is_shown_with_its_plateau_and_only_a_manager_records_it(clients, fitment):
    filled(fitment)
    for role in ("manager", "production", "installer", "owner"):
        page = text(clients[role].get(PAGE))
        assert "625 g ± 25 g : it stands still from 500 g to 700 g" in page
        assert "between 600 g and 650 g" in page
        assert ("Record 625 g as the charge" in page) is (role == "manager")
        assert ("Write the step" in page) is (role == "manager")
        assert "Never vent it" in page
    assert clients["installer"].post(f"{PAGE}charge/", {"trial": "A"}).status_code == 403


def test_the_charge_of_a_trial_is_recorded_as_weighed_with_its_source(manager_client, fitment):
    filled(fitment)
    answer = manager_client.post(f"{PAGE}charge/", {"trial": "a"})
    assert answer.status_code == 302
    row = ChargeRecord.objects.filter(fitment=fitment).last()
    assert (row.charge_g, row.tolerance_g, row.origin_kind) == (625, 25, "weighed")
    assert row.origin_source == "trial A: stands still from 500 to 700 g, start + 100 to 150 g"
    assert row.origin_instrument == "scale 5 g"
    page = text(manager_client.get(PAGE))
    assert "This is the charge that counts." in page
    assert "as the charge" not in page


def test_pressed_twice_it_is_recorded_once(manager_client, fitment):
    filled(fitment)
    count, sent = ChargeRecord.objects.count(), {"trial": "A"}
    assert [manager_client.post(f"{PAGE}charge/", sent).status_code for _ in range(2)] == [302, 409]
    assert ChargeRecord.objects.count() == count + 1


@pytest.mark.parametrize(
    ("read", "engine_rpm", "sentence"),
    [
        (RISING, 1800, "No plateau is seen"),
        (READ[:3], 1800, "four rows or more"),
        (READ[3:], 1800, "began before the first row"),
        (READ, 900, "turned at 900 rpm"),
    ],
)
def test_a_trial_without_a_plateau_says_why_and_records_nothing(
    manager_client, fitment, read, engine_rpm, sentence
):
    filled(fitment, read=read, engine_rpm=engine_rpm)
    page = text(manager_client.get(PAGE))
    assert sentence in page
    assert "as the charge" not in page
    count = ChargeRecord.objects.count()
    refused = manager_client.post(f"{PAGE}charge/", {"trial": "A"})
    assert refused.status_code == 422
    assert "Nothing was recorded" in text(refused)
    assert ChargeRecord.objects.count() == count


def test_a_trial_that_is_not_there_is_refused(manager_client, fitment):
    answer = manager_client.post(f"{PAGE}charge/", {"trial": "Z"})
    assert answer.status_code == 422
    assert "no such trial" in text(answer)


def test_the_newest_trial_comes_first(installer_client, fitment):
    filled(fitment, "Z")
    filled(fitment, "B")
    page = text(installer_client.get(PAGE))
    assert page.index("Trial B") < page.index("Trial Z")


def test_the_oil_is_a_ledger_that_nothing_stores(installer_client):
    page = installer_client.get(PAGE, {"prefill_ml": "120", "added_ml": "0", "drained_ml": "0"})
    assert page.status_code == 200
    assert "120 ml are in the circuit, it needs" in text(page)
    wrong = installer_client.get(PAGE, {"prefill_ml": "120", "added_ml": "-5", "drained_ml": "nan"})
    assert wrong.status_code == 422
    assert "Below 0 ml can’t be right" in text(wrong)
    much = installer_client.get(PAGE, {"prefill_ml": "120", "added_ml": "0", "drained_ml": "500"})
    assert much.status_code == 422
    assert "no more is drained than is there" in text(much)


def test_without_a_trial_the_page_says_what_to_do(manager_client):
    assert "No filling in steps was recorded yet. Write the first step below." in text(
        manager_client.get(PAGE)
    )
    assert manager_client.get("/fitments/S4-DASH/S4/NONE/plateau/").status_code == 404
