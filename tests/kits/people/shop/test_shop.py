"""The workshop's settings, and what papers make of them."""

import pytest
from django.core.exceptions import PermissionDenied, ValidationError

from kits.people.models import Shop
from kits.people.shop.actions import change_shop
from kits.people.shop.queries import history_of_shop, is_second_person_always_asked, shop
from tests.conftest import unsaved
from vehicles.records.actions import Stale

pytestmark = pytest.mark.django_db
USUAL = "where it can be had"


def test_before_anybody_changed_it_a_second_person_is_where_it_can_be_had(django_assert_num_queries):
    assert shop().second_person == USUAL
    with django_assert_num_queries(1):
        assert not is_second_person_always_asked()
    assert not Shop.objects.exists()


def test_a_change_is_kept_with_its_history(manager):
    change_shop(actor=manager, second_person="always", reason="two of us now", expected_version=1)
    assert is_second_person_always_asked()
    (change,) = history_of_shop()
    assert (change.fields["second_person"], change.act.person) == ([USUAL, "always"], manager)
    assert change.act.reason == "two of us now"
    with pytest.raises(Stale):
        change_shop(actor=manager, second_person=USUAL, reason="", expected_version=1)
    with pytest.raises(ValidationError):
        change_shop(actor=manager, second_person="never", reason="", expected_version=2)


@pytest.mark.parametrize("role", ["installer", "production", "owner", "stranger"])
def test_only_a_manager_changes_it(role):
    with pytest.raises(PermissionDenied):
        change_shop(actor=unsaved(role), second_person="always", reason="", expected_version=1)


def test_a_manager_changes_it_on_its_page_and_the_owner_reads(manager_client, owner_client):
    assert "<form" in manager_client.get("/settings/").content.decode().split("<main")[1]
    sent = {"second_person": "always", "version": "1", "reason": "<b>safety</b>"}
    assert manager_client.post("/settings/", sent)["Location"] == "/settings/"
    page = owner_client.get("/settings/").content.decode().split("<main")[1]
    assert (
        "No paper lets “same person” be ticked" in page and "&lt;b&gt;safety" in page and "<form" not in page
    )
    stale = manager_client.post("/settings/", {**sent, "second_person": USUAL})
    assert stale.status_code == 409 and "was changed in the meantime" in stale.content.decode()
    assert 'name="version" value="2"' in stale.content.decode()
    for wrong in ({}, {"second_person": "never", "version": "2"}, {"second_person": USUAL, "version": "x"}):
        assert manager_client.post("/settings/", wrong).status_code == 422
    assert is_second_person_always_asked()
