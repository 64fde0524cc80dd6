"""How refusals look to the people refused."""

import pytest
from django.urls import reverse

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


def test_an_account_without_a_role_reads_one_sentence(stranger_client):
    assert NO_ROLE.split(",")[0] in stranger_client.get("/").content.decode()


def test_a_role_reads_no_such_sentence(installer_client):
    assert "no role yet" not in installer_client.get("/").content.decode()


def test_signing_in_leads_home(client, manager):
    from tests.conftest import PASSWORD

    response = client.post(reverse("sign-in"), {"username": "manager", "password": PASSWORD})
    assert (response.status_code, response["Location"]) == (302, "/")


@pytest.mark.parametrize("elsewhere", ["https://evil.example/", "//evil.example/"])
def test_signing_in_never_leads_to_another_site(client, manager, elsewhere):
    from tests.conftest import PASSWORD

    given = {"username": "manager", "password": PASSWORD, "next": elsewhere}
    assert client.post(reverse("sign-in"), given)["Location"] == "/"


def test_guessing_a_password_is_stopped(client, manager, settings):
    from tests.conftest import PASSWORD

    settings.AXES_ENABLED = True
    wrong = {"username": "manager", "password": "wrong"}
    # README: ten wrong passwords lock a name
    assert {client.post(reverse("sign-in"), wrong).status_code for _ in range(9)} == {200}
    response = client.post(reverse("sign-in"), wrong)
    assert response.status_code == 429
    assert "Too many tries" in response.content.decode()
    response = client.post(reverse("sign-in"), {"username": "manager", "password": PASSWORD})
    assert response.status_code == 429
