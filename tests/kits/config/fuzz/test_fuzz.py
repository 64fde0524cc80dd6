"""Whatever is asked, and by whom, is answered: nothing is a fault of the server, and no exception is logged.

The requests follow from the seed that the run prints; `--whole` asks ten thousand. A failure names its request.
"""

import logging
from collections.abc import Iterator
from dataclasses import replace

import pytest
from django.contrib.auth.models import User
from django.db import transaction
from django.test import Client
from django.urls import resolve

from kits.bom.models import Position
from kits.exchange.models import ImportPlan, RowChange
from kits.exchange.plan import refused
from kits.fitment.models import Market
from kits.parts.models import Part
from tests.keys import a_key
from tests.kits.config.access_table import TABLE
from tests.kits.config.fuzz.pages import Form, forms_and_links
from tests.kits.config.fuzz.requests import SLOW, WHOLE, Asked, Site, request
from tests.kits.config.test_access_table import address
from tests.kits.people.cast import entered

pytestmark = pytest.mark.django_db
IN_A_RUN = 100
MOST_LINKS = 12
FITMENT = "/fitments/S4-DASH/S4/CP12L/"
# What pages show only in a state that the demonstration is not in.
UNSHOWN = (
    Form(f"{FITMENT}plateau/charge/", "POST", [("trial", "A-1"), ("version", "1")]),
    Form("/vehicles/S4/CP12L/surveyed/", "POST", [("reason", "")]),
    Form("/works/1/cancel/", "POST", [("next", "/fit/")]),
    Form("/sign-in/code/", "POST", [("one_time_code", "123456")]),
    Form("/sign-in/typed/", "POST", [("next", "/fit/")]),
    Form("/sign-ins/locks/1/lift/", "POST", [("next", "/fit/")]),
    Form("/sign-ins/second-steps/1/reset/", "POST", [("next", "/fit/")]),
)


def real_values() -> dict[str, list[str]]:
    """Values that the parameters of addresses really have."""
    acts = RowChange.objects.order_by().values_list("act__key", flat=True).distinct()[:3]
    parts = Part.objects.values_list("number", flat=True)[:5]
    position = Position.objects.filter(kit__code="S4-DASH").first().number
    return {
        "kit": ["S4-DASH"], "line": ["S4", "-"], "variant": ["CP12L", "CP12R"], "code": [Market.objects.first().code],
        "number": [*parts, f"{position}"], "section": ["surfaces", "leakage", "routes", "temperatures"],
        "sheet": ["parts", "entries", "surfaces", "lengths", "steps"], "act": list(acts), "topic": ["levers"],
        "plan": [f"{ImportPlan.objects.create(state='ready', plan=refused('S4', []), catalogue_stamp=1).pk}"],
        "picture": ["levers"], "revision": ["A"], "curve": ["heat"],
        **{name: [f"{value}"] for name, value in entered(User.objects.get(username="manager")).items()},
    }  # fmt: skip


def pages_of(real: dict[str, list[str]]) -> Iterator[str]:
    """The pages that a manager opens, with real values in their addresses."""
    position = {"number": real["number"][-1]}
    for line in TABLE:
        if "manager" not in (line.get or ()) or line.route.endswith((*SLOW, ".svg")):
            continue
        known = {name: values[0] for name, values in real.items()} | (
            position if "positions" in line.route else {}
        )
        yield address(
            replace(line, sample={name: known.get(name, value) for name, value in line.sample.items()})
        )


def site_of(client: Client) -> Site:
    """The forms of every page that a manager is shown, and of some pages that those link to."""
    real = real_values()
    confirmed = Form(
        f"/import/{real['plan'][0]}/",
        "POST",
        [("idempotency_key", a_key("k")), ("removals", ""), ("unusual", "on")],
    )
    forms = {(form.action, form.method): form for form in (*UNSHOWN, confirmed)}
    links: dict[str, None] = {}
    for place in pages_of(real):
        found, more = forms_and_links(place, client.get(place).content.decode())
        forms |= {(form.action, form.method): form for form in found}
        links |= dict.fromkeys(link for link in more if link.startswith("/edit/"))
    keyed = [link for link in links if "key=" in link]
    removals = [link.replace("/?", "/remove/?") for link in keyed[:1]]
    for link in [*list(links)[:: max(1, len(links) // MOST_LINKS)], *removals]:
        found, _ = forms_and_links(link, client.get(link).content.decode())
        forms |= {(form.action, form.method): form for form in found}
    found = [form for form in forms.values() if not form.action.startswith("/sign-out")]
    reached = {resolve(form.action.partition("?")[0]).route for form in found if form.method == "POST"}
    missed = {line.route for line in TABLE if line.post} - reached - {"sign-in/", "sign-out/"}
    assert missed == set(), "no page shows a form for it"
    return Site(real, found)


def sent(client: Client, asked: Asked):
    """Ask; whatever that changed is taken back."""
    cookies = {name: morsel.value for name, morsel in client.cookies.items()}
    client.raise_request_exception = False
    with transaction.atomic():
        for body in (asked.body, asked.again):
            if body is not None:
                response = client.generic(asked.method, asked.address, body, asked.kind, **asked.headers)
        transaction.set_rollback(True)
    client.cookies.load(cookies)
    return response


@pytest.fixture
def site(demonstration, manager_client):
    """What there is to ask."""
    return site_of(manager_client)


def test_whatever_is_asked_is_answered(site, clients, sampled, pytestconfig, caplog):
    seed = f"{pytestconfig.getoption('randomly_seed', 0)}"
    wrong = []
    for number in sampled(range(WHOLE), IN_A_RUN):
        asked = request(seed, number, site)
        caplog.clear()
        response = sent(clients[asked.who], asked)
        told = [record for record in caplog.records if record.levelno >= logging.ERROR or record.exc_info]
        if response.status_code >= 500 or told:
            cause = (
                told[-1].exc_info[1] if told and told[-1].exc_info else told[-1].getMessage() if told else ""
            )
            wrong.append(f"{number}: {response.status_code} {cause!r:.300} {asked}")
    assert wrong == [], "\n".join(wrong)
