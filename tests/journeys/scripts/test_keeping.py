"""site.js: what was typed into a form marked data-keep outlives a lost connection and is put back."""

import json
from datetime import UTC, datetime

import pytest
from playwright.sync_api import Page, expect

FORM = """<form method="post" action="/save" hx-boost="true" data-keep="length">
<input type="hidden" name="version" value="{version}">
<label>Length <input name="length"></label>
<label>Source <textarea name="source"></textarea></label>
<label>Origin <select name="origin"><option>estimate</option><option>measured</option></select></label>
<label><input type="checkbox" name="market" value="home"> home</label>
<label><input type="checkbox" name="market" value="abroad" checked> abroad</label>
<label><input type="radio" name="side" value="left" checked> left</label>
<label><input type="radio" name="side" value="right"> right</label>
<label>Password <input type="password" name="password"></label>
<button name="way" value="save">Save</button></form>"""
MESSAGES = '<ul id="messages" role="status" hidden></ul>'
PAGE = MESSAGES + FORM.format(version=1)
REFUSED = MESSAGES + '<p class="error-summary">No.</p>'


def fill(page: Page) -> None:
    page.get_by_label("Length").fill("1240")
    page.get_by_label("Source").fill("two\nlines")
    page.get_by_label("Origin").select_option("measured")
    page.get_by_label("home").check()
    page.get_by_label("abroad").uncheck()
    page.get_by_label("right").check()
    page.get_by_label("Password").fill("a secret")


def values(page: Page) -> dict[str, object]:
    return {
        "length": page.get_by_label("Length").input_value(),
        "source": page.get_by_label("Source").input_value(),
        "origin": page.get_by_label("Origin").input_value(),
        "markets": [page.get_by_label(name).is_checked() for name in ("home", "abroad")],
        "sides": [page.get_by_label(name, exact=True).is_checked() for name in ("left", "right")],
        "password": page.get_by_label("Password").input_value(),
    }


EMPTY = {
    "length": "",
    "source": "",
    "origin": "estimate",
    "markets": [False, True],
    "sides": [True, False],
    "password": "",
}
FILLED = {
    "length": "1240",
    "source": "two\nlines",
    "origin": "measured",
    "markets": [True, False],
    "sides": [False, True],
    "password": "",
}


def said(page: Page):
    return page.get_by_role("status")


def kept(page: Page) -> list[str]:
    """The keys under which something is kept."""
    return page.evaluate("Object.keys(sessionStorage).filter((key) => key.startsWith('kitwright.keep:'))")


def test_what_was_typed_is_put_back_and_said_with_its_time(own_bench):
    own_bench.page.clock.install(time=datetime(2026, 5, 1, 12, 5, tzinfo=UTC))
    page = own_bench.open(PAGE)
    fill(page)
    own_bench.lay(PAGE.replace('value="1"', 'value="2"'))
    page.reload()
    assert values(page) == FILLED
    expect(said(page)).to_contain_text(
        "What you typed here at 14:05 had not been saved. It has been put back"
    )
    assert page.locator("[name=version]").get_attribute("value") == "2"


def test_secrets_files_and_hidden_fields_are_not_kept(bench):
    page = bench.open(PAGE.replace("<button", '<input type="file" name="photo"><button'))
    fill(page)
    page.locator("[name=photo]").set_input_files({"name": "a.png", "mimeType": "image/png", "buffer": b"x"})
    text = page.evaluate("key => sessionStorage.getItem(key)", kept(page)[0])
    assert [
        name for name, *_ in json.loads(text)["fields"]
    ] == "length source origin market market side side".split()
    assert "a secret" not in text


def test_whoever_signs_out_leaves_nothing_of_what_was_typed(bench):
    out = (
        '<form method="post" action="/sign-out/" data-unguarded data-forgets><button>Sign out</button></form>'
    )
    page = bench.open(PAGE + out)
    fill(page)
    assert kept(page)
    page.get_by_role("button", name="Sign out").evaluate("button => button.click()")
    bench.answer("<h1>Sign in</h1>")
    expect(page.get_by_role("heading")).to_have_text("Sign in")
    assert kept(page) == []


def test_what_was_put_back_can_be_discarded(bench):
    page = bench.open(PAGE)
    fill(page)
    page.reload()
    page.get_by_role("button", name="Discard it").click()
    assert values(page) == EMPTY
    expect(said(page)).to_be_empty()
    page.reload()
    assert values(page) == EMPTY


def test_what_the_page_shows_already_is_not_spoken_of(bench):
    page = bench.open(PAGE)
    page.get_by_label("Length").fill("1240")
    bench.lay(PAGE.replace('name="length"', 'name="length" value="1240"'))
    page.reload()
    expect(page.get_by_label("Length")).to_have_value("1240")
    expect(said(page)).to_be_hidden()


def test_two_forms_of_one_page_are_kept_apart(bench):
    other = (
        '<form method="post" action="/note" data-keep="note"><label>Note <input name="length"></label></form>'
    )
    page = bench.open(PAGE + other)
    page.get_by_label("Note").fill("ask again")
    page.reload()
    expect(page.get_by_label("Note")).to_have_value("ask again")
    expect(page.get_by_label("Length")).to_have_value("")


def test_a_field_that_is_no_longer_there_is_passed_over(bench):
    page = bench.open(PAGE)
    fill(page)
    bench.lay(PAGE.replace('<label>Source <textarea name="source"></textarea></label>', ""))
    page.reload()
    expect(page.get_by_label("Length")).to_have_value("1240")


@pytest.mark.parametrize("text", ["{", "null"])
def test_a_spoilt_store_is_passed_over(bench, text):
    page = bench.open(PAGE)
    page.get_by_label("Length").fill("1240")
    page.evaluate("([key, text]) => sessionStorage.setItem(key, text)", [kept(page)[0], text])
    page.reload()
    assert values(page) == EMPTY


def test_without_a_store_the_form_is_sent_all_the_same(own_bench):
    own_bench.page.add_init_script("Storage.prototype.setItem = () => { throw new Error('full') }")
    page = own_bench.open(PAGE)
    page.get_by_label("Length").fill("1240")
    page.get_by_role("button", name="Save").click()
    own_bench.answer("<h1>Saved</h1>")
    expect(page.get_by_role("heading")).to_have_text("Saved")
    assert own_bench.sent[0][1]["length"] == "1240"


def test_what_was_saved_is_no_longer_kept(bench):
    page = bench.open(PAGE)
    page.get_by_label("Length").fill("1240")
    assert len(kept(page)) == 1
    page.get_by_role("button", name="Save").click()
    bench.answer("<h1>Saved</h1>")
    expect(page.get_by_role("heading")).to_have_text("Saved")
    assert kept(page) == []


@pytest.mark.parametrize(
    ("body", "status"),
    [
        (REFUSED, 200),
        (MESSAGES + '<input aria-invalid="true">', 200),
        (MESSAGES, 403),
        (MESSAGES, 409),
        (REFUSED, 422),
        (MESSAGES, 500),
    ],
)
def test_what_was_refused_is_kept(bench, body, status):
    page = bench.open(PAGE)
    page.get_by_label("Length").fill("1240")
    page.get_by_role("button", name="Save").click()
    bench.answer(body + "<h1>Answered</h1>", status=status)
    expect(page.get_by_role("heading")).to_have_text("Answered")
    assert len(kept(page)) == 1
    page.goto("/")
    expect(page.get_by_label("Length")).to_have_value("1240")


def test_what_was_typed_is_put_into_the_form_that_the_answer_brings(bench):
    """A page of a conflict brings the form with the values of others, at another address."""
    page = bench.open(PAGE)
    page.get_by_label("Length").fill("1240")
    page.get_by_role("button", name="Save").click()
    theirs = PAGE.replace('name="length"', 'name="length" value="1300"')
    bench.answer(theirs + "<h1>Changed meanwhile</h1>", status=409)
    expect(page.get_by_role("heading")).to_have_text("Changed meanwhile")
    expect(page.get_by_label("Length")).to_have_value("1240")
    page.get_by_role("button", name="Discard it").click()
    expect(page.get_by_label("Length")).to_have_value("1300")


def test_what_is_sent_without_a_key_pressed_is_kept_too(bench):
    page = bench.open(PAGE.replace('name="length"', 'name="length" value="1300"'))
    page.get_by_role("button", name="Save").click()
    bench.cut()
    expect(said(page)).to_contain_text("What you typed is kept on this device")
    bench.lay(PAGE)
    page.reload()
    expect(page.get_by_label("Length")).to_have_value("1300")
