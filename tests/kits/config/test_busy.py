"""A database that is locked or away: soon a page says so, with what was typed, and health does not wait for it."""

import sqlite3
import time
from contextlib import contextmanager

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import OperationalError, connection, connections
from django.test import Client
from django.urls import include, path

from kits.config.busy import is_busy
from kits.config.health import WATCHED
from kits.config.patience import wait_at_most
from tests.conftest import PASSWORD, make_person
from tests.kits.concurrency.databases import used
from vehicles.records.access import PUBLIC, allow

SOON_S = 0.3
NOTE = {"text": "a <b>long</b> note", "version": "7", "empty": ""}


@allow(get={PUBLIC}, post={PUBLIC})
def away(request):
    """A page whose database is away."""
    raise OperationalError("database is locked")


urlpatterns = [path("away", away), path("", include("kits.config.urls"))]
handler500 = "kits.config.views.server_error"


@pytest.fixture
def site(settings, db):
    settings.ROOT_URLCONF = __name__
    return Client(raise_request_exception=False)


@contextmanager
def locked():
    """Somebody else holds what a sign-in has to write."""
    if connection.vendor == "sqlite":
        other = sqlite3.connect(connection.settings_dict["NAME"], isolation_level=None)
        other.execute("BEGIN EXCLUSIVE")
    else:
        other = connections.create_connection("default")
        other.set_autocommit(False)
        other.cursor().execute("LOCK TABLE auth_user, django_session IN EXCLUSIVE MODE")
    try:
        yield
    finally:
        other.close()


def test_a_page_that_finds_the_database_busy_says_so_and_how_to_go_on(site):
    answer = site.get("/away?line=S4&page=2")
    page = answer.content.decode()
    assert answer.status_code == 503
    assert answer["Retry-After"] == "5"
    assert "Busy, try again" in page
    assert 'href="/away?line=S4&amp;page=2">Try again' in page


def test_what_was_typed_is_kept_and_can_be_sent_again(site):
    checked = Client(raise_request_exception=False, enforce_csrf_checks=True)
    page = checked.post("/away?line=S4", NOTE).content.decode()
    assert "This form is too old" in page, "a form without its token is refused first"
    page = site.post("/away?line=S4", {**NOTE, "csrfmiddlewaretoken": "t" * 64}).content.decode()
    assert 'action="/away?line=S4"' in page
    assert '<input type="hidden" name="text" value="a &lt;b&gt;long&lt;/b&gt; note">' in page
    assert '<input type="hidden" name="version" value="7">' in page
    assert '<input type="hidden" name="empty" value="">' in page, "an empty field is sent too"
    assert page.count("csrfmiddlewaretoken") == 1 and "t" * 64 not in page
    assert "<dt>text</dt>" in page and "<dt>empty</dt>" not in page


@pytest.mark.parametrize(
    "sent",
    [
        {"username": "anna", "password": "a secret of hers"},
        {"new_password1": "a secret of hers"},
        {"book": SimpleUploadedFile("x.xlsx", b"x")},
    ],
)
def test_a_password_or_a_file_is_not_kept_and_the_page_says_so(site, sent):
    page = site.post("/away?line=S4", sent).content.decode()
    assert "choose or type it again" in page
    assert "secret" not in page and "<form" not in page


@pytest.mark.parametrize(("attribute", "code", "helps"), [
    ("sqlite_errorname", "SQLITE_BUSY", True),
    ("sqlite_errorname", "SQLITE_BUSY_SNAPSHOT", True),
    ("sqlite_errorname", "SQLITE_LOCKED", True),
    ("sqlite_errorname", "SQLITE_ERROR", False),
    ("sqlite_errorname", "SQLITE_FULL", False),
    ("sqlite_errorname", "SQLITE_READONLY_DBMOVED", False),
    ("sqlite_errorname", "SQLITE_IOERR_WRITE", False),
    ("sqlstate", "55P03", True),
    ("sqlstate", "53300", True),
    ("sqlstate", "53100", False),
])  # fmt: skip
def test_waiting_helps_where_somebody_else_holds_it_and_not_where_a_table_or_room_is_missing(
    attribute, code, helps
):
    error = OperationalError("told in a sentence")
    error.__cause__ = Exception("told by the driver")
    setattr(error.__cause__, attribute, code)
    assert is_busy(error) is helps


def test_what_is_no_fault_of_the_database_is_not_busy():
    assert is_busy(OperationalError("the server closed the connection"))
    assert not is_busy(ValueError("x"))
    assert not is_busy(None)


@pytest.fixture
def shared(file_database):
    """A database that somebody else can lock, with an account."""
    wait_at_most(SOON_S)
    person = make_person("manager")
    yield
    person.person.delete()
    person.delete()


def test_who_signs_in_while_another_holds_the_database_is_told_soon(shared):
    site = Client(raise_request_exception=False)
    with locked():
        began = time.monotonic()
        answer = site.post("/sign-in/", {"username": "manager", "password": PASSWORD})
        assert time.monotonic() - began < 10 * SOON_S
    assert answer.status_code == 503
    assert site.post("/sign-in/", {"username": "manager", "password": PASSWORD}).status_code == 302


def test_health_does_not_wait_for_who_holds_the_database(shared):
    site = Client()
    WATCHED.forget()
    with locked():
        began = time.monotonic()
        told = site.get("/health").json()
        assert time.monotonic() - began < 10 * SOON_S
    assert told["database"] == "ok"
    assert told["work"] == {"oldest_waiting_s": None, "youngest_beat_s": None}


def test_who_asks_for_little_patience_leaves_other_databases_theirs(empty_file, db):
    before = dict(connection.settings_dict["OPTIONS"])
    with used(empty_file):
        wait_at_most(SOON_S)
        assert connection.settings_dict["OPTIONS"] != before
    assert connection.settings_dict["OPTIONS"] == before


def test_where_nothing_was_typed_nothing_is_said_to_be_kept(site):
    page = site.post("/away").content.decode()
    assert "hat you typed" not in page
    assert "Send it again" in page
