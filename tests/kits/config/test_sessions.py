"""When somebody is signed in, and when he is no more."""

import math

import pytest
from django.conf import settings as site
from django.contrib.sessions.backends.base import VALID_KEY_CHARS
from django.contrib.sessions.backends.db import SessionStore
from django.contrib.sessions.models import Session
from django.test import Client

from tests.conftest import PASSWORD
from tests.kits.config.access_table import TABLE
from tests.kits.config.test_access_table import address

BITS = 128


def sign_in(client: Client, name: str = "installer"):
    """Go through the page."""
    return client.post("/sign-in/", {"username": name, "password": PASSWORD})


def with_session(key: str) -> Client:
    """A browser that sends this key."""
    client = Client()
    client.cookies[site.SESSION_COOKIE_NAME] = key
    return client


def key_of(client: Client) -> str:
    """The key that the browser sends."""
    return client.cookies[site.SESSION_COOKIE_NAME].value


def is_in(client: Client) -> bool:
    """Whether the home page opens."""
    return client.get("/").status_code == 200


def test_its_key_can_not_be_guessed(db):
    keys = {SessionStore()._get_new_session_key() for _ in range(50)}
    assert len(keys) == 50
    assert min(map(len, keys)) * math.log2(len(set(VALID_KEY_CHARS))) >= BITS
    assert site.SESSION_ENGINE == "django.contrib.sessions.backends.db"


def test_looking_at_the_sign_in_page_begins_none(client, db):
    client.get("/sign-in/")
    assert site.SESSION_COOKIE_NAME not in client.cookies
    assert not Session.objects.exists()


def test_signing_in_gives_it_a_new_key_and_the_old_one_opens_nothing(installer):
    before = SessionStore()
    before["planted"] = True
    before.save()
    client = with_session(before.session_key)
    assert sign_in(client).status_code == 302 and is_in(client)
    assert key_of(client) != before.session_key
    assert not is_in(with_session(before.session_key))


def test_a_key_that_nobody_was_given_opens_nothing(installer):
    client = with_session("k" * 32)
    assert not is_in(client)
    sign_in(client)
    assert key_of(client) != "k" * 32


def test_its_cookie_is_for_this_site_only_and_no_script_reads_it(client, installer):
    client.get("/sign-in/")
    sign_in(client)
    client.get("/")
    assert {site.SESSION_COOKIE_NAME, site.CSRF_COOKIE_NAME} < set(client.cookies)
    for name, cookie in client.cookies.items():
        assert cookie["httponly"] and cookie["samesite"] == "Lax", name
        assert cookie["path"] == "/" and not cookie["domain"], name


def test_over_https_every_cookie_bears_the_prefix_of_this_host(client, installer, settings):
    settings.SESSION_COOKIE_SECURE = settings.CSRF_COOKIE_SECURE = True
    # as tests/kits/config/test_settings.py finds them in production
    settings.SESSION_COOKIE_NAME, settings.CSRF_COOKIE_NAME = "__Host-session", "__Host-csrf"
    client.get("/sign-in/", secure=True)
    client.post("/sign-in/", {"username": "installer", "password": PASSWORD}, secure=True)
    assert client.get("/", secure=True).status_code == 200
    assert len(client.cookies) > 2
    for name, cookie in client.cookies.items():
        assert name.startswith("__Host-") and cookie["secure"], name
        assert cookie["path"] == "/" and not cookie["domain"], name


def test_the_key_stands_on_no_page(client, installer):
    sign_in(client)
    assert key_of(client) not in client.get("/").content.decode()


def test_after_signing_out_its_key_opens_nothing(client, installer):
    sign_in(client)
    key = key_of(client)
    client.post("/sign-out/")
    assert not is_in(with_session(key))
    assert not Session.objects.filter(pk=key).exists()


def test_a_closed_account_is_signed_out_everywhere(installer):
    first, second = Client(), Client()
    sign_in(first)
    sign_in(second)
    installer.is_active = False
    installer.save()
    assert not is_in(first) and not is_in(second)


def test_a_new_password_signs_out_everywhere(installer):
    client = Client()
    sign_in(client)
    installer.set_password("another kettle on the coast")
    installer.save()
    assert not is_in(client)


def test_every_page_of_somebody_signed_in_has_the_way_out(installer_client):
    pages = [address(line) for line in TABLE if "installer" in (line.get or ())]
    shown = [installer_client.get(page) for page in pages if not page.endswith((".svg", ".pdf", ".xlsx"))]
    html = [answer for answer in shown if answer["Content-Type"].startswith("text/html") and answer.content]
    assert len(html) > 15
    assert [a.request["PATH_INFO"] for a in html if 'action="/sign-out/"' not in a.content.decode()] == []


@pytest.mark.parametrize("status", ["/nothing-here", "/import/"])
def test_so_have_the_pages_that_refuse(installer_client, status):
    assert 'action="/sign-out/"' in installer_client.get(status).content.decode()
