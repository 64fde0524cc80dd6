"""What was typed survives a sign-in: kept, shown, and sent once it is said so."""

import re

import pytest
from django.core import signing
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from kits.people.signing import bridge
from tests.conftest import PASSWORD
from tests.kits.config.fuzz.pages import forms_and_links
from tests.kits.config.test_access_table import SITE
from tests.kits.fitment.pages import main_text
from tests.kits.people.signing.people import at, entered, is_in
from vehicles.records.access import is_not_kept, rule_of

pytestmark = pytest.mark.django_db
MARKET = {"row-code": "NEW", "row-name": "A <b>new</b> market", "row-note": "", "reason": "by hand"}
WHERE = "/edit/-/markets/"


def fields_of(answer, action):
    """The fields of a page's form that is sent to an address."""
    (form,) = [form for form in forms_and_links("/", answer.content.decode())[0] if form.action == action]
    return dict(form.pairs)


@pytest.fixture
def idle(manager, clock):
    """The manager's browser, an hour and more after his last request."""
    client = at()
    entered(client)
    clock.forward(minutes=61)
    return client


def kept_by(client, sent=MARKET, where=WHERE, **more):
    """Send a form; what the sign-in page carries along."""
    answer = client.post(where, sent, **more)
    assert answer.status_code == 403
    return answer, fields_of(answer, "/sign-in/").get("kept", "")


def test_a_form_sent_after_the_session_ended_is_kept_and_can_be_sent(idle):
    answer, kept = kept_by(idle)
    page = main_text(answer)
    assert "signed out after 60 minutes" in page and "What you typed is kept" in page
    answer = entered(idle, kept=kept)
    assert answer["Location"] == "/sign-in/typed/"
    page = idle.get("/sign-in/typed/")
    assert "A <b>new</b> market" in main_text(page) and "<b>new" not in page.content.decode()
    assert "row-note (empty)" in main_text(page), "an empty field is sent as well"
    assert f"It will be sent, with your rights, to {WHERE}" in main_text(page)
    assert fields_of(page, WHERE) == MARKET, "it is sent as it was, the empty field too"


def test_it_stays_until_it_is_thrown_away(idle):
    entered(idle, kept=kept_by(idle, HTTP_REFERER="http://testserver/kits/?page=2")[1])
    for _ in range(2):
        assert "This was not sent yet" in main_text(idle.get("/sign-in/typed/"))
    assert idle.post("/sign-in/typed/")["Location"] == "/kits/?page=2"
    assert "Nothing waits" in main_text(idle.get("/sign-in/typed/"))


def test_it_survives_a_wrong_password_a_lock_and_the_second_step(idle, manager, clock, monkeypatch):
    from tests.kits.people.signing.test_second_step import turned_on

    telephone, _ = turned_on(manager, clock, monkeypatch)
    kept = kept_by(idle)[1]
    for _ in range(5):
        answer = idle.post("/sign-in/", {"username": "manager", "password": "wrong", "kept": kept})
        assert fields_of(answer, "/sign-in/")["kept"] == kept
    assert answer.status_code == 429
    clock.forward(seconds=61)
    entered(idle, kept=kept)
    answer = idle.post("/sign-in/code/", {"one_time_code": telephone.code()})
    assert answer["Location"] == "/sign-in/typed/"
    assert "by hand" in main_text(idle.get("/sign-in/typed/"))


def test_it_is_forgotten_after_two_hours(idle, monkeypatch):
    kept = kept_by(idle)[1]
    import time

    now = time.time()
    monkeypatch.setattr("django.core.signing.time.time", lambda: now + 7201 + 3700)
    assert entered(idle, kept=kept)["Location"] == "/"


def test_another_person_neither_sees_nor_sends_it(idle, owner):
    kept = kept_by(idle)[1]
    entered(idle, "owner", kept=kept)
    answer = idle.get("/sign-in/typed/")
    page = main_text(answer)
    assert "It was typed by manager" in page and "signed in as owner" in page
    assert "by hand" not in answer.content.decode() and "Send it now" not in page


def test_what_anybody_may_have_typed_is_shown_and_not_offered_to_be_sent(manager):
    client = at()
    kept = kept_by(client, HTTP_REFERER="http://testserver/edit/-/markets/new/")[1]
    entered(client, kept=kept)
    answer = client.get("/sign-in/typed/")
    page = main_text(answer)
    assert "Nobody knows who typed it" in page and "by hand" in page and WHERE in page
    assert "Send it now" not in page
    forms = forms_and_links("/", answer.content.decode())[0]
    assert WHERE not in {form.action for form in forms}
    assert 'href="/edit/-/markets/new/"' in answer.content.decode()


@pytest.mark.parametrize(
    "where", ["/people/invite/", "/people/MA/roles/", "/settings/", "/account/sign-out-everywhere/"]
)
def test_what_is_about_people_and_settings_is_never_kept(idle, where):
    answer, kept = kept_by(idle, {"roles": "manager", "account": "eve"}, where)
    assert kept == "" and "never kept" in main_text(answer)


def test_every_form_of_the_people_rooms_declares_that_it_is_not_kept():
    views = [entry.callback for entry in SITE.values()]
    rooms = [
        view
        for view in views
        if view.__module__.startswith("kits.people")
        and view.__module__ != "kits.people.signing.views"  # the way in and out
    ]
    lacking = {view.__name__ for view in rooms if rule_of(view).allowed("POST") and not is_not_kept(view)}
    assert len(rooms) > 15 and lacking == set()


def test_a_strangers_page_can_plant_nothing(manager):
    client = Client(enforce_csrf_checks=True)
    answer = client.post(WHERE, MARKET)
    assert "open for too long" in main_text(answer) and "kept" not in answer.content.decode()


def test_a_text_that_was_not_signed_here_is_nothing(manager):
    client = at()
    for text in ("x", "x:y:z", signing.dumps({"to": "/", "fields": []}, salt="another")):
        assert entered(client, kept=text)["Location"] == "/"
        client.post("/sign-out/")


def test_a_file_is_left_out_and_the_page_says_so(manager, clock):
    client = at()
    entered(client)
    clock.forward(minutes=61)
    sent = {"reason": "the new book", "workbook": SimpleUploadedFile("a.xlsx", b"PK secret bytes")}
    entered(client, kept=kept_by(client, sent, "/import/")[1])
    page = client.get("/sign-in/typed/")
    assert "choose or type that again" in main_text(page) and "the new book" in main_text(page)
    assert "Send it now" not in main_text(page) and "secret bytes" not in page.content.decode()


def test_a_password_is_never_carried_along(idle):
    sent = {"old_password": PASSWORD, "new_password1": "n", "new_password2": "n"}
    answer = idle.post("/account/password/", sent)
    assert (answer.status_code, answer["Location"]) == (302, "/sign-in/")
    kept = kept_by(idle, {**sent, "reason": "a form with both"})[1]
    assert bridge.kept(kept).fields == (("reason", "a form with both"),)
    assert not bridge.kept(kept).can_send


def test_a_code_is_never_carried_along(idle):
    assert idle.post("/account/second-step/", {"one_time_code": "123456"}).status_code == 302


def test_a_large_form_of_somebody_just_signed_out_is_kept_as_well(idle):
    large = {f"row-{number}": f"value {number}" for number in range(4000)}
    kept = kept_by(idle, large)[1]
    assert 0 < len(kept) <= bridge.MOST_SIGNS
    assert entered(idle, kept=kept)["Location"] == "/sign-in/typed/"
    assert fields_of(idle.get("/sign-in/typed/"), WHERE) == large


def test_what_is_too_much_to_be_kept_is_told(idle):
    import random

    dice = random.Random(1)
    answer, kept = kept_by(idle, {"note": "".join(chr(dice.randint(33, 0x2FFF)) for _ in range(60_000))})
    assert kept == "" and "too much to be kept" in main_text(answer)


def test_a_file_larger_than_a_form_only_leads_to_the_sign_in(idle):
    answer = idle.post("/import/", {"workbook": SimpleUploadedFile("a.xlsx", b"x" * 3 * 1024**2)})
    assert (answer.status_code, answer["Location"]) == (302, "/sign-in/")
    assert "signed out after 60 minutes" in main_text(idle.get("/sign-in/"))


def test_where_there_is_nothing_to_keep_one_is_asked_to_sign_in(idle):
    assert idle.post("/sign-out/")["Location"] == "/sign-in/"
    assert not is_in(idle)


@pytest.mark.parametrize(
    "referer", ["http://evil.example/x", "http://[", "x", "http://testserver//evil.example"]
)
def test_the_page_before_is_one_of_ours_or_none(idle, referer):
    kept = kept_by(idle, HTTP_REFERER=referer)[1]
    assert bridge.kept(kept).back == ""


def test_the_form_of_a_part_of_a_page_keeps_itself_in_the_browser(idle):
    answer = idle.post(
        WHERE, MARKET, headers={"HX-Request": "true", "HX-Current-URL": "http://testserver/kits/"}
    )
    assert answer["HX-Redirect"] == "/sign-in/?next=%2Fkits%2F"


def test_every_form_that_htmx_sends_keeps_itself_in_the_browser():
    from tests.architecture.test_layout import named, read
    from tests.architecture.tree import templates

    sent = re.compile(r"<form\b[^>]*(?:hx-post|hx-boost)[^>]*>")
    lacking = [
        named(path) for path in templates() for form in sent.findall(read(path)) if "data-keep" not in form
    ]
    assert lacking == []
