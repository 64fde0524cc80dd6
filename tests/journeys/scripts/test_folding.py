"""site.js: a folded part opens when a link asks for it and on paper; what is wrong gets the focus."""

import pytest
from playwright.sync_api import Page, expect

TALL = '<div style="height: 4000px">far</div>'
FOLDED = "".join(
    f'<h2 id="{code}">{code}</h2><details data-open-at="{code}"><summary>{code}</summary>'
    f'<img loading="lazy" alt="" src="/{code}.svg">Figures</details>'
    for code in ("air", "sun", "é")
)
LINKS = "".join(f'<a href="#{code}">to {code}</a> ' for code in ("air", "sun", "é", "none"))
PAGE = LINKS + TALL + FOLDED + "<details><summary>other</summary>Other</details>" + TALL


def opened(page: Page) -> list[str]:
    return page.locator("details[open] summary").all_inner_texts()


@pytest.mark.parametrize("code", ["air", "sun", "é"])
def test_the_part_whose_heading_the_address_names_opens_and_is_in_view(bench, code):
    page = bench.open(PAGE, at=f"/#{code}")
    assert opened(page) == [code]
    expect(page.get_by_role("heading", name=code)).to_be_in_viewport()


def test_a_link_on_the_page_opens_its_part(bench):
    page = bench.open(PAGE)
    assert opened(page) == []
    page.get_by_role("link", name="to sun").click()
    expect(page.locator("details[open]")).to_have_count(1)
    assert opened(page) == ["sun"]


@pytest.mark.parametrize("at", ["/", "/#none", "/#", "/#100%"])
def test_an_address_that_names_no_part_opens_none(bench, at):
    assert opened(bench.open(PAGE, at=at)) == []


def test_a_part_whose_heading_is_missing_opens_all_the_same(bench):
    assert opened(bench.open(PAGE.replace('<h2 id="sun">', "<h2>"), at="/#sun")) == ["sun"]


def test_on_paper_every_part_is_open_and_those_that_were_folded_fold_again(bench):
    page = bench.open(PAGE, at="/#sun")
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    assert opened(page) == ["air", "sun", "é"]
    loading = page.locator("img").evaluate_all("all => all.map(one => one.loading)")
    assert loading == ["eager"] * 3
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    assert opened(page) == ["sun"]


def test_the_browsers_own_print_opens_the_parts(bench):
    page = bench.open(PAGE)
    page.evaluate("addEventListener('afterprint', () => { window.openOnPaper = 0 })")
    page.evaluate(
        "addEventListener('beforeprint', () => { window.seen = document.querySelectorAll('details[open]').length })"
    )
    page.pdf()
    assert page.evaluate("window.seen") == 3
    assert opened(page) == []


ERROR = '<div class="error-summary" tabindex="-1" data-focus><h2>Nothing was saved.</h2></div>'


def test_an_error_summary_has_the_focus_when_the_page_comes(bench):
    page = bench.open("<input name='length'>" + ERROR)
    expect(page.locator(".error-summary")).to_be_focused()


def test_an_error_summary_gets_the_focus_when_the_answer_brings_it(bench):
    page = bench.open('<form method="post" action="/save" hx-boost="true"><button>Save</button></form>')
    page.get_by_role("button").click()
    bench.answer(ERROR)
    expect(page.locator(".error-summary")).to_be_focused()


def test_a_part_of_the_page_that_changes_does_not_take_the_focus(bench):
    page = bench.open(
        ERROR
        + '<form method="post" hx-post="/look" hx-target="#seen" action="/look"><input name="length"></form>'
        '<p id="seen"></p>'
    )
    page.locator("input").focus()
    page.keyboard.press("Enter")
    bench.answer("looked")
    expect(page.locator("#seen")).to_contain_text("looked")
    expect(page.locator("input")).to_be_focused()
