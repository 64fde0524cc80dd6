"""site.js: leaving a page with unsaved input asks first."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Dialog, Page, expect

LINK = '<a href="/elsewhere">Elsewhere</a>'
FORM = '<form method="post" action="/save"><label>Length <input name="length"></label><button>Save</button></form>'


@pytest.fixture
def asked(bench) -> Iterator[list[str]]:
    """What the browser asked; the answer is always to stay."""
    questions: list[str] = []

    def stay(dialog: Dialog) -> None:
        questions.append(dialog.type)
        dialog.dismiss()

    bench.page.on("dialog", stay)
    bench.lay("<h1>Elsewhere</h1>", at="/elsewhere")
    yield questions
    bench.page.remove_listener("dialog", stay)


def type_and_leave(page: Page, typed: str = "1240") -> None:
    page.get_by_label("Length").press_sequentially(typed)
    page.get_by_role("link").click(no_wait_after=True)


def test_unsaved_input_asks_before_the_page_is_left(bench, asked):
    page = bench.open(FORM + LINK)
    type_and_leave(page)
    expect(page.get_by_label("Length")).to_have_value("1240")
    assert asked == ["beforeunload"]
    assert page.url.endswith("/")


@pytest.mark.parametrize(
    "form",
    [
        FORM.replace("<form", "<form data-unguarded"),
        FORM.replace("<form", '<form data-keep="length" hx-boost="true"'),
        FORM.replace('method="post" ', ""),
        FORM.replace("form", "div"),
    ],
    ids=["unguarded", "kept", "only asks", "no form"],
)
def test_where_nothing_would_be_lost_nobody_is_asked(bench, asked, form):
    page = bench.open(form + LINK)
    type_and_leave(page)
    expect(page.get_by_role("heading")).to_have_text("Elsewhere")
    assert asked == []


def test_a_form_in_which_nothing_was_typed_asks_nothing(bench, asked):
    page = bench.open(FORM + LINK)
    page.get_by_label("Length").click()
    page.get_by_role("link").click()
    expect(page.get_by_role("heading")).to_have_text("Elsewhere")
    assert asked == []


def test_a_form_that_has_gone_from_the_page_asks_nothing(bench, asked):
    page = bench.open(FORM + LINK)
    page.get_by_label("Length").press_sequentially("1240")
    page.locator("form").evaluate("form => form.remove()")
    page.get_by_role("link").click()
    expect(page.get_by_role("heading")).to_have_text("Elsewhere")
    assert asked == []


def test_sending_the_input_asks_nothing(bench, asked):
    page = bench.open(FORM)
    page.get_by_label("Length").press_sequentially("1240")
    page.get_by_role("button").click(no_wait_after=True)
    bench.answer("<h1>Saved</h1>")
    expect(page.get_by_role("heading")).to_have_text("Saved")
    assert asked == []


def test_a_form_sent_in_the_page_asks_for_the_others_still(bench, asked):
    small = '<form method="post" action="/size" hx-post="/size" hx-swap="none"><button>Size</button></form>'
    page = bench.open(FORM + small + LINK)
    page.get_by_label("Length").press_sequentially("1240")
    page.get_by_role("button", name="Size").click()
    bench.answer()
    page.get_by_role("link").click(no_wait_after=True)
    expect(page.get_by_label("Length")).to_have_value("1240")
    assert asked == ["beforeunload"]


def test_what_is_typed_after_a_download_asks_again(bench, asked):
    page = bench.open(FORM + LINK)
    page.get_by_role("button").click(no_wait_after=True)
    with page.expect_download():
        bench.answer(**{"Content-Disposition": "attachment"})
    type_and_leave(page)
    expect(page.get_by_label("Length")).to_have_value("1240")
    assert asked == ["beforeunload"]
