"""site.js: a work that has ended leads on to what it made, in the place of its own page, once, to our pages only."""

import pytest
from playwright.sync_api import expect

from tests.journeys.scripts.conftest import HOST

DONE = '<section id="work" data-goes-to="{}">Done.</section>'
POLLING = '<section id="work" hx-get="/state" hx-trigger="every 50ms" hx-swap="outerHTML">Running.</section>'


def test_a_work_that_has_ended_already_leads_on_and_back_leads_to_where_one_was_before(bench):
    bench.lay(DONE.format("/made?paper=A4"), at="/works/1/")
    bench.lay("<h1>Made</h1>", at="/made")
    page = bench.open('<a href="/works/1/">Checklist</a>', at="/fitment")
    page.get_by_role("link").click()
    expect(page.get_by_role("heading", name="Made")).to_be_visible()
    assert page.url.endswith("/made?paper=A4")
    page.go_back()
    assert page.url.endswith("/fitment")


def test_it_leads_on_as_soon_as_the_page_learns_that_it_has_ended(bench):
    bench.lay("<h1>Made</h1>", at="/made")
    bench.lay(POLLING.replace("Running", "Still running"), at="/state")
    page = bench.open(POLLING, at="/works/1/")
    expect(page.locator("#work")).to_have_text("Still running.")
    bench.lay(DONE.format("/made"), at="/state")
    expect(page.get_by_role("heading", name="Made")).to_be_visible()


def test_what_is_downloaded_is_asked_for_once(bench):
    asked = []
    page = bench.page
    page.context.route("**/made.xlsx", lambda route: (asked.append(1), route.fulfill(status=204)))
    bench.lay(DONE.format("/made.xlsx"), at="/works/1/")
    page.goto(f"{HOST}/works/1/", wait_until="commit")
    page.wait_for_timeout(300)
    page.evaluate("document.dispatchEvent(new CustomEvent('htmx:afterSwap', {detail: {}}))")
    page.wait_for_timeout(200)
    page.context.unroute("**/made.xlsx")
    assert asked == [1]
    expect(page.locator("#work")).to_have_text("Done.")


@pytest.mark.parametrize(
    "address", ["https://evil.test/", "//evil.test/x", "javascript:document.body.remove()"]
)
def test_it_leads_to_no_other_site_and_runs_nothing(bench, address):
    page = bench.open(DONE.format(address), at="/works/1/")
    page.wait_for_timeout(200)
    assert page.url.endswith("/works/1/")
    expect(page.locator("#work")).to_have_text("Done.")
