"""The scripts by themselves: a bare page in a real browser, without the site, its pages or its database."""

import re
from collections.abc import Iterator
from urllib.parse import parse_qsl, urlsplit

import pytest
from django.conf import settings
from django.contrib.staticfiles.finders import find
from playwright.sync_api import Browser, BrowserContext, Page, Route

HOST = "http://bench.test"
HTML = "text/html; charset=utf-8"
SCRIPTS = {
    "/htmx.js": "django_htmx/htmx-2.min.js",
    "/site.js": "kitwright/js/site.js",
    "/order.js": "kitwright/js/order.js",
}


class Bench:
    """A page and the scripts. What is laid down for an address is shown there; what is sent waits for an answer."""

    def __init__(self, context: BrowserContext) -> None:
        self.page: Page = context.new_page()
        self.sent: list[tuple[str, dict[str, str]]] = []
        self.broken: list[str] = []
        self._waiting: list[Route] = []
        self._bodies: dict[str, str] = {}
        base = (settings.BASE_DIR / "templates" / "base.html").read_text(encoding="utf-8")
        config = re.search(r'<meta name="htmx-config".*>', base)
        assert config
        self._head = config[0] + "".join(f'<script src="{script}" defer></script>' for script in SCRIPTS)
        context.route("**/*", self._take)
        self.page.on("pageerror", lambda error: self.broken.append(str(error)))

    def _take(self, route: Route) -> None:
        path = urlsplit(route.request.url).path
        if route.request.method == "POST":
            self.sent.append((path, dict(parse_qsl(route.request.post_data or "", keep_blank_values=True))))
            self._waiting.append(route)
        elif path in SCRIPTS:
            route.fulfill(path=find(SCRIPTS[path]), content_type="text/javascript")
        else:
            route.fulfill(body=self._document(self._bodies.get(path, "")), content_type=HTML)

    def _document(self, body: str) -> str:
        return f'<!doctype html><html lang="en"><head><title>bench</title>{self._head}</head><body>{body}</body></html>'

    def lay(self, body: str, at: str = "/") -> None:
        """Put a page at an address."""
        self._bodies[at] = body

    def open(self, body: str, at: str = "/") -> Page:
        """Put a page at an address and go there."""
        self.lay(body, urlsplit(at).path)
        self.page.goto(HOST + at)
        return self.page

    def clear(self) -> None:
        """Leave nothing of the test before."""
        while self._waiting:
            self._waiting.pop().abort()
        self._bodies.clear()
        self.page.goto(HOST)
        self.page.evaluate("sessionStorage.clear()")
        self.page.goto("about:blank")  # else an address with another # would not load the page anew
        self.sent.clear()
        self.broken.clear()

    def _next(self) -> Route:
        for _ in range(200):
            if self._waiting:
                return self._waiting.pop(0)
            self.page.wait_for_timeout(10)
        raise AssertionError("nothing was sent")

    def answer(self, body: str = "", status: int = 200, **headers: str) -> None:
        """Answer what was sent first."""
        self._next().fulfill(
            status=status, body=self._document(body), content_type=HTML, headers=headers or None
        )

    def cut(self) -> None:
        """Lose the connection over what was sent first."""
        self._next().abort("connectionfailed")


def set_up(browser: Browser) -> Iterator[Bench]:
    """A bench in a browser that nobody has used yet."""
    context = browser.new_context(timezone_id="Europe/Berlin", base_url=HOST)
    yield Bench(context)
    context.unroute_all(behavior="ignoreErrors")
    context.close()


@pytest.fixture(scope="session")
def standing_bench(browser: Browser) -> Iterator[Bench]:
    """A new one for each test would cost most of the time."""
    yield from set_up(browser)


@pytest.fixture
def bench(standing_bench: Bench) -> Iterator[Bench]:
    """The bench, cleared; a script that breaks fails the test."""
    standing_bench.clear()
    yield standing_bench
    assert standing_bench.broken == []


@pytest.fixture
def own_bench(browser: Browser) -> Iterator[Bench]:
    """A bench for one test that changes the browser itself, such as its clock."""
    for made in set_up(browser):
        yield made
        assert made.broken == []
