"""What a browser is told with every answer."""

import pytest
from django.contrib.staticfiles import finders

from kits.config.headers import CLOSED_DEVICES, NOT_KEPT

STYLE = "/static/kitwright/css/base.css"


def answered(client, place, **how):
    """The answer; files are let go."""
    answer = client.get(place, **how)
    answer.close()
    return answer


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


EVERYWHERE = (
    "/",
    "/sign-in/",
    "/nothing-here",
    "/health",
    "/import/",
    "/static/kitwright/favicon.svg",
    STYLE,
)


@pytest.mark.parametrize("place", EVERYWHERE)
def test_every_answer_bears_the_policies(manager_client, place):
    page = answered(manager_client, place)
    assert page["X-Content-Type-Options"] == "nosniff"
    assert page["Referrer-Policy"] == "same-origin"
    assert "frame-ancestors 'none'" in page["Content-Security-Policy"]
    assert "object-src 'none'" in page["Content-Security-Policy"]
    assert not page.has_header("Access-Control-Allow-Origin")


@pytest.mark.parametrize("place", EVERYWHERE)
def test_every_answer_says_what_it_is_and_how_it_is_spelt(manager_client, place):
    kind = answered(manager_client, place)["Content-Type"]
    assert "charset=utf-8" in kind.replace('"', "") or kind == "application/json"


@pytest.mark.parametrize("place", EVERYWHERE)
def test_over_https_every_answer_asks_for_https_from_then_on(manager_client, settings, place):
    settings.SECURE_HSTS_SECONDS, settings.SECURE_HSTS_INCLUDE_SUBDOMAINS = 31_536_000, True
    page = answered(manager_client, place, secure=True)
    assert page["Strict-Transport-Security"] == "max-age=31536000; includeSubDomains"


def test_pages_lead_on_to_https_and_what_machines_ask_does_not(client, db, settings):
    settings.SECURE_SSL_REDIRECT = True
    assert client.get("/sign-in/")["Location"] == "https://testserver/sign-in/"
    assert not client.get("/health").has_header("Location")


def test_a_browser_can_not_say_by_itself_that_it_came_by_https(client, db, settings):
    settings.SECURE_SSL_REDIRECT = True
    assert settings.SECURE_PROXY_SSL_HEADER is None
    assert client.get("/sign-in/", headers={"X-Forwarded-Proto": "https"}).status_code == 301


@pytest.mark.parametrize(
    "place",
    [
        "/static/", "/static/kitwright/", "/static/kitwright/js/", "/.git/config", "/static/.git/config", "/manage.py",
        "/static/../manage.py", "/static/%2e%2e/manage.py", "/static/kitwright/../../../manage.py", "/var/", "/files/",
        "/var/kitwright.sqlite3", "/requirements.txt", "/static/kitwright/js/site.js~", "/docs/", "/admin/",
    ],
)  # fmt: skip
def test_no_folder_is_listed_and_no_file_of_the_checkout_is_served(manager_client, place):
    assert answered(manager_client, place).status_code == 404
