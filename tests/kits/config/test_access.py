"""How refusals look to the people refused."""

import pytest
from django.urls import reverse

from tests.conftest import PASSWORD
from vehicles.records.access import NO_ROLE


def test_somebody_unknown_comes_back_to_the_page_he_wanted(client, db):
    response = client.get("/?kit=DK-1")
    assert response.status_code == 302
    assert response["Location"] == "/sign-in/?next=/%3Fkit%3DDK-1"


def test_a_form_sent_by_somebody_unknown_is_not_repeated_after_sign_in(client, db):
    response = client.post("/sign-out/")
    assert (response.status_code, response["Location"]) == (302, "/sign-in/")


def test_a_part_of_a_page_asks_the_whole_page_to_sign_in(client, db):
    headers = {"HX-Request": "true", "HX-Current-URL": "http://testserver/kits/?page=2"}
    response = client.get("/", headers=headers)
    assert response.status_code == 200
    assert response["HX-Redirect"] == "/sign-in/?next=%2Fkits%2F%3Fpage%3D2"
    assert response.content == b""


@pytest.mark.parametrize("told", ["http://[", "http://testserver//x", "x", "http://testserver/" + "x" * 5000])
def test_a_part_of_a_page_that_is_none_of_ours_leads_to_the_sign_in_alone(client, db, told):
    response = client.get("/kits/", headers={"HX-Request": "true", "HX-Current-URL": told})
    assert response["HX-Redirect"] == "/sign-in/"


def test_an_address_too_long_to_be_carried_along_is_left_behind(client, db):
    assert client.get(f"/kits/?page={'x' * 5000}")["Location"] == "/sign-in/"


@pytest.mark.parametrize("elsewhere", ["x", "/a\x00", "/" + "x" * 20_000])
def test_signing_in_with_an_address_that_is_none_leads_home(client, manager, elsewhere):
    sent = {"username": "manager", "password": PASSWORD, "next": elsewhere}
    assert client.post("/sign-in/", sent)["Location"] == "/"


def test_an_account_without_a_role_reads_one_sentence(stranger_client):
    assert NO_ROLE.split(",")[0] in stranger_client.get("/").content.decode()


def test_a_role_reads_no_such_sentence(installer_client):
    assert "no role yet" not in installer_client.get("/").content.decode()


def test_signing_in_leads_home(client, manager):
    response = client.post(reverse("sign-in"), {"username": "manager", "password": PASSWORD})
    assert (response.status_code, response["Location"]) == (302, "/")


@pytest.mark.parametrize("elsewhere", ["https://evil.example/", "//evil.example/"])
def test_signing_in_never_leads_to_another_site(client, manager, elsewhere):
    given = {"username": "manager", "password": PASSWORD, "next": elsewhere}
    assert client.post(reverse("sign-in"), given)["Location"] == "/"
