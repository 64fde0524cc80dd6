"""site.js: a lost connection and a refusal are told in words, once, above the page."""

import pytest
from playwright.sync_api import Page, expect

MESSAGES = '<ul id="messages" role="status" hidden></ul>'
ASKS = (
    '<form method="post" action="/save" {} hx-post="/save" hx-swap="none">'
    '<input name="length"><button>Save</button></form>'
)
KEPT = MESSAGES + ASKS.format('data-keep="length"')
PLAIN = MESSAGES + ASKS.format("data-unguarded")
DOWN = "Not sent: the connection is down."


def told(page: Page) -> list[str]:
    return page.locator("#messages li p").all_inner_texts()


def press(page: Page) -> None:
    page.get_by_role("button").click()


@pytest.mark.parametrize(
    ("form", "sentence"),
    [
        (KEPT, "What you typed is kept on this device; press the button again when it is back."),
        (PLAIN, "Nothing was changed; try again when it is back."),
    ],
    ids=["kept", "not kept"],
)
def test_a_form_that_could_not_be_sent_says_whether_it_is_kept(bench, form, sentence):
    page = bench.open(form)
    press(page)
    bench.cut()
    expect(page.locator("#messages li")).to_have_class("message message--error")
    assert told(page) == [f"{DOWN} {sentence}"]


def test_what_is_no_form_and_could_not_be_sent_is_told_too(bench):
    page = bench.open(MESSAGES + '<button hx-post="/again" hx-swap="none">Again</button>')
    press(page)
    bench.cut()
    expect(page.get_by_role("status")).to_have_text(f"{DOWN} Nothing was changed; try again when it is back.")


@pytest.mark.parametrize(
    ("status", "sentence"),
    [
        (403, "Your account may not do this. Nothing was changed."),
        (
            409,
            "Somebody else has changed this in the meantime. Load the page again to see it; nothing was overwritten.",
        ),
        (
            500,
            "The server could not do this (error 500). Nothing was changed; load the page again and retry.",
        ),
        (
            404,
            "The server could not do this (error 404). Nothing was changed; load the page again and retry.",
        ),
    ],
)
def test_a_refusal_is_told_in_words(bench, status, sentence):
    page = bench.open(PLAIN)
    press(page)
    bench.answer("<h1>Refused</h1>", status=status)
    expect(page.get_by_role("status")).to_have_text(sentence)
    assert page.get_by_role("heading").count() == 0


def test_a_form_to_be_mended_is_no_refusal(bench):
    page = bench.open(PLAIN)
    press(page)
    bench.answer(status=422)
    expect(page.get_by_role("button")).to_be_enabled()
    assert told(page) == []


def test_the_page_of_a_refusal_is_shown_where_the_whole_page_was_asked_and_speaks_for_itself(bench):
    page = bench.open(
        MESSAGES + '<form method="post" action="/save" hx-boost="true"><button>Save</button></form>'
    )
    press(page)
    bench.answer(MESSAGES + "<h1>Not yours</h1>", status=403)
    expect(page.get_by_role("heading")).to_have_text("Not yours")
    page.wait_for_timeout(50)
    assert told(page) == []


def test_a_newer_message_takes_the_place_of_an_older_one_and_leaves_the_pages_own(bench):
    own = MESSAGES.replace(" hidden", "").replace("></ul>", "><li><p>Imported.</p></li></ul>")
    page = bench.open(own + ASKS.format("data-unguarded"))
    press(page)
    bench.answer(status=500)
    expect(page.locator("#messages li")).to_have_count(2)
    press(page)
    bench.answer(status=403)
    expect(page.locator("#messages li").nth(1)).to_contain_text("Your account")
    assert told(page) == ["Imported.", "Your account may not do this. Nothing was changed."]


def test_a_page_without_a_place_for_messages_goes_on_in_silence(bench):
    page = bench.open(ASKS.format("data-unguarded"))
    press(page)
    bench.answer(status=500)
    expect(page.get_by_role("button")).to_be_enabled()


def test_the_connection_is_told_when_it_goes_and_when_it_comes_back(bench):
    page = bench.open(MESSAGES)
    page.context.set_offline(True)
    expect(page.get_by_role("status")).to_have_text(
        "No connection. Forms keep what you type; send them when it is back."
    )
    expect(page.locator("#messages li")).to_have_class("message message--warning")
    page.context.set_offline(False)
    expect(page.get_by_role("status")).to_have_text("The connection is back.")
    expect(page.locator("#messages li")).to_have_class("message message--success")
