"""What a browser is told with every answer."""

import pytest
from django.contrib.staticfiles import finders

from kits.config.headers import CLOSED_DEVICES, NOT_KEPT


@pytest.mark.parametrize("place", ["/", "/import/", "/nothing-here", "/sign-in/"])
def test_no_page_is_kept_and_none_may_use_a_device(manager_client, place):
    page = manager_client.get(place)
    assert "no-store" in page["Cache-Control"] and "private" in page["Cache-Control"]
    assert page["Cross-Origin-Resource-Policy"] == "same-origin"
    assert page["Permissions-Policy"].split(", ") == [f"{device}=()" for device in CLOSED_DEVICES]


def test_whoever_is_sent_to_sign_in_keeps_nothing_either(client, db):
    assert client.get("/import/")["Cache-Control"] == NOT_KEPT


def test_what_says_itself_how_long_it_holds_is_left_alone(client, db):
    assert client.get("/health")["Cache-Control"] == "no-store"
    assert finders.find("kitwright/js/site.js")
    script = client.get("/static/kitwright/js/site.js")
    script.close()
    assert "no-store" not in script["Cache-Control"]
