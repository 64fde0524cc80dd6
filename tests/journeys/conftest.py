"""Journeys: a person does a whole job in a real browser. Run by `make journeys`, in a call of their own."""

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import ConsoleMessage, Page, expect

from tests.conftest import PASSWORD, make_person
from tests.journeys.demonstration import put_demonstration

HERE = Path(__file__).parent
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")

expect.set_options(timeout=10_000)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Everything in this folder is a journey."""
    for item in items:
        if HERE in item.path.parents:
            item.add_marker(pytest.mark.journey)


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args: dict[str, object]) -> dict[str, object]:
    """The system's Chromium; as the administrator it can't put itself in a sandbox."""
    assert CHROMIUM, "journeys need Chromium: apt-get install -y --no-install-recommends chromium"
    sandbox = ["--no-sandbox"] if os.geteuid() == 0 else []
    return {**browser_type_launch_args, "executable_path": CHROMIUM, "args": sandbox}


@pytest.fixture
def page(page: Page) -> Iterator[Page]:
    """A page on which any error in the console, such as a broken security policy, fails the journey."""
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


@pytest.fixture
def sign_in(page: Page, live_server) -> Callable[[str], Page]:
    """Sign in as one of the cast and stand on the home page."""

    def as_role(role: str) -> Page:
        make_person(role)
        page.goto(f"{live_server.url}/sign-in/")
        page.get_by_label("Username").fill(role)
        page.get_by_label("Password").fill(PASSWORD)
        page.get_by_role("button", name="Sign in").click()
        expect(page).to_have_url(f"{live_server.url}/")
        return page

    return as_role


@pytest.fixture
def demonstration(live_server) -> None:
    """The demonstration's model line, imported and sized."""
    put_demonstration()
