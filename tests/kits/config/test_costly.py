"""How often a person may ask for what takes long."""

import re

import pytest
from django.contrib.auth.models import AnonymousUser, User
from django.core.cache import cache
from django.http import HttpRequest, HttpResponse
from django.test import RequestFactory

from kits.config.costly import CostlyMiddleware
from kits.work.kind import MOST_OPEN
from tests.architecture.tree import ROOT
from tests.kits.config.test_access_table import SITE
from vehicles.records.access import costly, most_a_minute


@costly(3)
def slow(request: HttpRequest) -> None:
    """A view that takes long."""


def quick(request: HttpRequest) -> None:
    """One that does not."""


@pytest.fixture(autouse=True)
def counted(settings, monkeypatch):
    settings.COSTLY_COUNTED = True
    cache.clear()
    clock = {"now": 1_000_020 // 60 * 60}
    monkeypatch.setattr("kits.config.costly.time.time", lambda: clock["now"])
    yield clock
    cache.clear()


def answers(view, person: int, times: int) -> list[int]:
    """The statuses of so many requests; 200 stands for a request that was let through."""
    middleware = CostlyMiddleware(lambda request: None)
    found = []
    for _ in range(times):
        request = RequestFactory().get("/study/")
        request.user = User(pk=person) if person else AnonymousUser()
        request.resolver_match = None
        refused = middleware.process_view(request, view, [], {})
        found.append(refused.status_code if refused else 200)
    return found


@pytest.fixture
def bare_page(monkeypatch):
    """The page without the frame, which asks for the person's roles."""
    monkeypatch.setattr(
        "kits.config.costly.render", lambda request, name, context, status: _page(context, status)
    )


def _page(context, status):
    return HttpResponse(f"{context['most']} a minute, {context['wait_s']} s", status=status)


@pytest.mark.usefixtures("bare_page")
def test_what_is_more_than_declared_is_refused_until_the_next_minute(counted):
    assert answers(slow, 1, 5) == [200, 200, 200, 429, 429]
    counted["now"] += 60
    assert answers(slow, 1, 4) == [200, 200, 200, 429]


@pytest.mark.usefixtures("bare_page")
def test_one_persons_haste_is_nobody_elses():
    assert answers(slow, 1, 4)[-1] == 429
    assert answers(slow, 2, 3) == [200, 200, 200]


def test_what_declares_nothing_is_never_refused():
    assert set(answers(quick, 1, 500)) == {200}


def test_the_page_says_how_often_and_when_to_ask_again(manager_client, manager, monkeypatch):
    monkeypatch.setattr("kits.config.costly.most_a_minute", lambda view: 1)
    assert manager_client.get("/").status_code == 200
    page = manager_client.get("/")
    assert page.status_code == 429
    assert page["Retry-After"] == "60"
    assert "Wait 60 seconds" in page.content.decode()


def test_what_is_costly_is_written_down():
    text = (
        (ROOT / "DEVELOPERS.md")
        .read_text(encoding="utf-8")
        .partition("**What may be sent, and how often.**")[2]
    )
    told = re.findall(r"`([\w-]+)` (\d+)", text.partition("\n\n")[0])
    assert f"So many works of one person may wait or run: {MOST_OPEN}." in " ".join(text.split())
    views = {entry.name: most_a_minute(entry.callback) for entry in SITE.values()}
    assert {name: int(most) for name, most in told} == {name: most for name, most in views.items() if most}
