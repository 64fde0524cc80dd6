"""Journeys: a person does a whole job in a real browser. Run by `make journeys`, in a call of their own.

A process has one browser, one server and one database. Before each journey the rows that the one before it changed
are put back, so none depends on another.
"""

import os
import shutil
from collections.abc import Callable, Iterator

import pytest
from django.conf import settings as django_settings
from django.contrib.auth.models import User
from django.contrib.sessions.models import Session
from django.db import connection
from django.test import override_settings
from django.test.utils import setup_databases, teardown_databases
from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, expect, sync_playwright
from pytest_django.live_server_helper import LiveServer

from kits.people.models import Person
from tests.conftest import PASSWORD, make_person
from tests.conftest import signed_in as client_of
from tests.journeys.demonstration import put_back
from tests.journeys.requests_in_work import RequestsInWork

# The browser's event loop runs in the thread of the tests, where Django would then refuse its database.
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "1")
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")

expect.set_options(timeout=10_000)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """The system's Chromium; as the administrator it can't put itself in a sandbox."""
    assert CHROMIUM, "journeys need Chromium: apt-get install -y --no-install-recommends chromium"
    sandbox = ["--no-sandbox"] if os.geteuid() == 0 else []
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=CHROMIUM, args=sandbox)
        yield started
        started.close()


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    """A browser that nobody has used yet."""
    opened = browser.new_context()
    yield opened
    opened.close()


@pytest.fixture
def page(context: BrowserContext) -> Iterator[Page]:
    """A page on which any error in the console, such as a broken security policy, fails the journey."""
    page = context.new_page()
    errors: list[str] = []

    def note(message: ConsoleMessage) -> None:
        # The browser and htmx repeat a refused or broken request there; the journey itself looks at those.
        repeated = ("Failed to load resource", "htmx:sendError", "htmx:afterRequest")
        if message.type == "error" and not message.text.startswith(repeated):
            errors.append(message.text)

    page.on("console", note)
    page.on("pageerror", lambda error: errors.append(str(error)))
    yield page
    assert errors == []


@pytest.fixture(scope="session")
def database(django_test_environment, django_db_modify_db_settings, django_db_blocker) -> Iterator[None]:
    """A database for this process that is never emptied as a whole, as pytest-django's own would be."""
    connection.settings_dict["TEST"]["MIGRATE"] = False
    with django_db_blocker.unblock():
        made = setup_databases(verbosity=0, interactive=False, aliases=["default"], serialized_aliases=set())
        yield
        teardown_databases(made, verbosity=0)


@pytest.fixture(scope="session")
def server(database) -> Iterator[tuple[LiveServer, RequestsInWork]]:
    """The site of this process, and what it has in work."""
    with override_settings(ALLOWED_HOSTS=["localhost"]), RequestsInWork() as in_work:
        started = LiveServer("localhost")
        yield started, in_work
        in_work.wait()
        # Not `stop`, which ends the sharing of the database too: threads of connections that the browser keeps open
        # close theirs only afterwards.
        started.thread.terminate()


@pytest.fixture
def site(server: tuple[LiveServer, RequestsInWork], request: pytest.FixtureRequest) -> LiveServer:
    """The site: an empty workshop without people, or the demonstration where the journey asks for it."""
    live, in_work = server
    in_work.wait()
    put_back(demonstrated="demonstration" in request.fixturenames)
    Person.objects.all().delete()
    User.objects.all().delete()
    Session.objects.all().delete()
    return live


@pytest.fixture
def demonstration(site: LiveServer) -> None:
    """The demonstration's first model line, imported and sized, is what the site holds."""


@pytest.fixture
def sign_in(page: Page, site: LiveServer) -> Callable[[str], Page]:
    """Sign in as one of the cast on the page for it, and stand on the home page."""

    def as_role(role: str) -> Page:
        make_person(role)
        page.goto(f"{site.url}/sign-in/")
        page.get_by_label("Username").fill(role)
        page.get_by_label("Password").fill(PASSWORD)
        page.get_by_role("button", name="Sign in").click()
        expect(page).to_have_url(f"{site.url}/")
        return page

    return as_role


@pytest.fixture
def signed_in(page: Page, site: LiveServer) -> Callable[[str], Page]:
    """Be signed in as one of the cast, by the cookie alone; no page is open yet."""

    def as_role(role: str) -> Page:
        name = django_settings.SESSION_COOKIE_NAME
        value = client_of(make_person(role)).cookies[name].value
        page.context.add_cookies([{"name": name, "value": value, "url": site.url}])
        return page

    return as_role
