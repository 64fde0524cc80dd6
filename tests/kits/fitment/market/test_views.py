"""The page of a market lists its rules with dates and sources."""

import re
from datetime import date
from html import unescape

import pytest

from kits.fitment.models import Market, MarketRule
from tests.kits.fitment.pages import text

pytestmark = pytest.mark.usefixtures("demonstration")


@pytest.fixture
def market() -> Market:
    made = Market.objects.create(code="EDGE", name="The edge")
    rules = (
        ("OLD", None, date(2020, 1, 1)),
        ("NOW", date(2017, 1, 1), None),
        ("SOON", date(2999, 1, 1), None),
    )
    MarketRule.objects.bulk_create(
        MarketRule(
            market=made, code=code, effect="forbids", above_gwp=150.0, text=f"Text of {code} <b>bold</b>.",
            in_force_from=start, in_force_until=end, source=f"Book {code}",
        )
        for code, start, end in rules
    )  # fmt: skip
    return made


def test_every_role_reads_the_rules_with_dates_source_and_standing(clients, market):
    for role in ("manager", "production", "installer", "owner"):
        page = text(clients[role].get("/markets/edge/"))
        assert "any gas with a GWP above 150, any vehicle" in page
        assert "no longer in force until 2020-01-01 Book OLD" in page
        assert "in force, from 2017-01-01 Book NOW" in page
        assert "not yet in force, from 2999-01-01 Book SOON" in page
        assert "local law prevails" in page
        assert ("Add a rule" in page) is (role == "manager")


def test_a_rule_is_changed_through_the_form_of_its_row(manager_client, market):
    page = manager_client.get("/markets/EDGE/").content.decode()
    (link,) = [
        unescape(href)
        for href in re.findall(r'href="([^"]*market-rules[^"]*key[^"]*)"', page)
        if "now" in href
    ]
    form = manager_client.get(link)
    assert form.status_code == 200
    assert "Text of NOW" in unescape(form.content.decode())
    assert "<b>bold</b>" not in page


def test_a_market_tells_what_is_offered_there_and_one_without_rules_says_so(owner_client, market):
    home = text(owner_client.get("/markets/home/"))
    assert "Directive 2006/40/EC" in home
    assert "S4-DASH" in home
    Market.objects.create(code="FAR", name="Far away")
    assert "That does not mean that there is none" in text(owner_client.get("/markets/FAR/"))
    assert owner_client.get("/markets/NONE/").status_code == 404
