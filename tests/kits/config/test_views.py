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
    assert "Go back, reload and send again." in response.content.decode()
    assert "CSRF" not in response.content.decode()


def test_a_host_name_that_is_not_ours_gets_no_page(db):
    assert Client().get("/sign-in/", headers={"Host": "evil.example"}).status_code == 400
