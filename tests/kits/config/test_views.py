"""Health and error pages."""

from datetime import timedelta

import pytest
from django.core.exceptions import PermissionDenied, SuspiciousOperation
from django.db import DatabaseError
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from django.http import Http404
from django.test import Client
from django.urls import path
from django.utils import timezone

from kits.config import views
from kits.work.models import Work
from tests.kits.config.test_access_table import SITE
from vehicles.records.access import PUBLIC, allow


@pytest.fixture
def applied(db, settings, monkeypatch):
    """The migrations of a real site, all recorded as applied; the tests' own tables come from the models."""
    settings.MIGRATION_MODULES = {}
    recorded = dict.fromkeys(MigrationLoader(None).graph.nodes)
    monkeypatch.setattr(MigrationRecorder, "applied_migrations", lambda _: recorded)
    return recorded


def test_a_healthy_site_says_so(client, applied):
    assert len(applied) > 20
    response = client.get("/health")
    assert response.status_code == 200
    idle = {"oldest_waiting_s": None, "youngest_beat_s": None}
    assert response.json() == {
        "status": "ok", "database": "ok", "migrations": "ok", "static": "ok", "files": "ok", "work": idle,
    }  # fmt: skip
    assert response["Cache-Control"] == "no-store"


def test_health_tells_how_long_works_wait_and_when_one_last_gave_a_sign_of_life(client, applied):
    now = timezone.now()
    for key, state, seconds in (
        ("a", "waiting", 40),
        ("b", "waiting", 90),
        ("c", "running", 7),
        ("d", "running", 20),
    ):
        at = now - timedelta(seconds=seconds)
        Work.objects.create(kind="size", key=key, title=key, state=state, asked_at=at, beat_at=at)
    told = client.get("/health").json()["work"]
    assert 90 <= told["oldest_waiting_s"] < 100
    assert 7 <= told["youngest_beat_s"] < 17


@pytest.mark.parametrize("app", ["kits", "sessions"])
def test_a_migration_that_is_missing_is_found(client, applied, app):
    del applied[max(key for key in applied if key[0] == app)]
    response = client.get("/health")
    assert response.status_code == 503
    assert response.json()["migrations"] == "failed"


@pytest.mark.parametrize("what", ["a file in its place", "no room"])
def test_a_folder_of_files_that_can_not_be_written_is_found(
    client, applied, settings, tmp_path, monkeypatch, what
):
    settings.FILES_DIR = tmp_path / "files"
    assert client.get("/health").json()["files"] == "ok"
    if what == "no room":
        monkeypatch.setattr(views, "ROOM_BYTES", 2**63)
    else:
        settings.FILES_DIR.rmdir()
        settings.FILES_DIR.write_bytes(b"")
    response = client.get("/health")
    assert (response.status_code, response.json()["files"]) == (503, "failed")


def test_a_database_that_does_not_answer_is_found(client, monkeypatch):
    class Dead:
        def cursor(self):
            raise DatabaseError("connection to server at 10.0.0.7 failed for user kitwright")

    monkeypatch.setattr(views, "connection", Dead())
    assert not views.database_works()


def test_production_without_collected_files_is_found(settings):
    settings.PRODUCTION = True
    assert not views.static_collected()


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
