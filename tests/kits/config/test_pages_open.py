"""Every page is asked once on each database with rows in its tables: the queries of a view must run on both.

Beside it the views' own tests run on one database, since what they do with the rows is the same on any.
"""

from dataclasses import replace
from datetime import date

import pytest

from kits.bom.models import Position
from kits.exchange.models import ImportPlan
from kits.fitment.actions import ask_to_size
from kits.fitment.models import Market
from kits.parts.models import Part
from tests.kits.config.access_table import TABLE
from tests.kits.config.test_access_table import address, asked
from tests.kits.people.cast import entered
from vehicles.records.access import CONSOLE

pytestmark = pytest.mark.django_db
# drawn from stored answers or a part's data, printed from what the fitment's page asks for, or asked with a key
LEFT_OUT = (".svg", ".pdf", "/remove/", "sign-in/", "sign-in/code/", "history/<uuid:act>/", "metrics")


def test_every_page_opens_with_the_first_line_loaded(demonstration, manager, manager_client):
    real = {
        "kit": "S4-DASH", "line": "S4", "variant": "CP12L", "code": Market.objects.first().code,
        "number": Part.objects.first().number, "pk": ask_to_size(actor=CONSOLE, on=date(2026, 1, 1), kit="NONE").pk,
        "plan": ImportPlan.objects.first().pk, **entered(manager),
    }  # fmt: skip
    position = {"number": Position.objects.filter(kit__code="S4-DASH").first().number}
    shown = [line for line in TABLE if "manager" in (line.get or ()) and not line.route.endswith(LEFT_OUT)]
    assert len(shown) > 30
    answers = {}
    for line in shown:
        known = real | (position if "positions" in line.route else {})
        asked_for = replace(
            line, sample={name: known.get(name, value) for name, value in line.sample.items()}
        )
        answers[address(asked_for)] = asked(manager_client, "GET", asked_for).status_code
    assert {page: status for page, status in answers.items() if status != 200} == {}
