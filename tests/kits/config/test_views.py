"""Error pages."""

import pytest
from django.core.exceptions import PermissionDenied, SuspiciousOperation
from django.http import Http404
from django.test import Client
from django.urls import path

from tests.kits.config.test_access_table import SITE
from vehicles.records.access import PUBLIC, allow


@allow(get={PUBLIC})
def fault(request):
    """A page that fails."""
    raise RuntimeError("secret detail")


@allow(get={PUBLIC})
def nonsense(request):
    """A page that gets nonsense."""
    raise SuspiciousOperation("secret detail")


@allow(get={PUBLIC})
def denial(request):
    """A page whose action refuses."""
    raise PermissionDenied("Only a manager may import workbook.")


@allow(get={PUBLIC})
def missing(request):
    """A page of a thing that is not there."""
    raise Http404("There is no such <b>kit</b>.")


urlpatterns = [
    path("fault", fault, name="fault"),
    path("nonsense", nonsense, name="nonsense"),
    path("denial", denial, name="denial"),
    path("missing", missing, name="missing"),
    *(SITE[route] for route in ("", "sign-in/", "sign-out/", "health")),
]
handler400 = "kits.config.views.bad_request"
handler403 = "kits.config.views.forbidden"
handler404 = "kits.config.views.not_found"
handler500 = "kits.config.views.server_error"


@pytest.fixture
def site(settings, db):
    """A client on a site with pages that go wrong."""
    settings.ROOT_URLCONF = __name__
    return Client(raise_request_exception=False)


@pytest.mark.parametrize(
    ("address", "status"), [("/nonsense", 400), ("/denial", 403), ("/nothing", 404), ("/fault", 500)]
)
def test_each_error_page_names_the_request_and_no_detail(site, address, status):
    response = site.get(address)
    page = response.content.decode()
    assert response.status_code == status
    assert response["X-Request-ID"] in page
    assert "secret detail" not in page
    assert "<h1>" in page


def test_a_refusal_shows_the_sentence_of_who_refused(site):
    assert "Only a manager may import workbook." in site.get("/denial").content.decode()


def test_what_is_not_there_is_told_in_the_sentence_of_who_looked_for_it(site):
    assert "There is no such &lt;b&gt;kit&lt;/b&gt;." in site.get("/missing").content.decode()
    nothing = site.get("/nothing").content.decode()
    assert "There is nothing at this address." in nothing and "tried" not in nothing


def test_a_wrong_method_gets_a_page_and_the_methods_that_work(site):
    response = site.post("/fault")
    assert response.status_code == 405
    assert response["Allow"] == "GET"
    assert response["X-Request-ID"] in response.content.decode()


def test_a_form_without_its_token_is_refused_in_plain_words(db):
    response = Client(enforce_csrf_checks=True).post("/sign-in/", {"username": "x", "password": "y"})
    assert response.status_code == 403
    assert "Open the page again, and enter it there." in response.content.decode()
    assert "CSRF" not in response.content.decode()


def test_a_host_name_that_is_not_ours_gets_no_page(db):
    assert Client().get("/sign-in/", headers={"Host": "evil.example"}).status_code == 400


NOTE = {"text": "a <b>long</b> note", "version": "7", "csrfmiddlewaretoken": "t" * 32}


@pytest.mark.parametrize(
    ("site", "is_kept"), [("same-origin", True), ("same-site", False), ("cross-site", False), ("", False)]
)
def test_a_form_of_before_the_last_sign_in_keeps_what_was_typed_if_it_stood_on_a_page_of_ours(
    manager, site, is_kept
):
    client = Client(enforce_csrf_checks=True, headers={"Sec-Fetch-Site": site} if site else None)
    client.force_login(manager)
    answer = client.post("/fit/size-again/", NOTE)
    page = answer.content.decode()
    assert answer.status_code == 403
    assert "This form is too old" in page
    assert ('<input type="hidden" name="text" value="a &lt;b&gt;long&lt;/b&gt; note">' in page) is is_kept
    assert ("Send it now" in page) is is_kept
    assert "t" * 32 not in page


def test_a_password_is_never_kept_by_a_form_that_is_too_old(manager):
    client = Client(enforce_csrf_checks=True, headers={"Sec-Fetch-Site": "same-origin"})
    client.force_login(manager)
    page = client.post("/account/password/", {**NOTE, "old_password": "a long kettle"}).content.decode()
    assert "a long kettle" not in page and "Send it now" not in page


def test_a_form_about_people_or_the_shop_that_is_too_old_is_shown_and_not_sent_from_there(manager):
    client = Client(enforce_csrf_checks=True, headers={"Sec-Fetch-Site": "same-origin"})
    client.force_login(manager)
    page = client.post("/settings/", NOTE).content.decode()
    assert "<dd>a &lt;b&gt;long&lt;/b&gt; note</dd>" in page
    assert "Send it now" not in page and 'type="hidden" name="text"' not in page
