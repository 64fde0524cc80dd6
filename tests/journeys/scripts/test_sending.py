"""site.js: a form is sent once, however often its button is pressed, and can be sent again after the answer."""

import pytest
from playwright.sync_api import Page, expect

PLAIN = """<form method="post" action="/save" data-unguarded><input name="length">
<button name="way" value="save">Save</button> <button type="button">Look</button> <button disabled>Not yet</button>
</form>"""
# The answer goes into a frame, so that the page stays and can be looked at while it waits.
FRAMED = PLAIN.replace("<form", '<form target="frame"') + '<iframe name="frame"></iframe>'
BOOSTED = PLAIN.replace("data-unguarded", 'data-unguarded hx-boost="true"')


def press(page: Page, name: str = "Save") -> None:
    page.get_by_role("button", name=name, exact=True).evaluate("button => button.click()")


def submit(page: Page) -> None:
    """As the Enter key does it, which asks no button."""
    page.locator("form").evaluate("form => form.requestSubmit()")


def test_a_form_pressed_twice_is_sent_once_with_the_name_of_its_button(bench):
    page = bench.open(PLAIN)
    page.evaluate("() => { const one = document.querySelector('[name=way]'); one.click(); one.click(); }")
    bench.answer("<h1>Saved</h1>")
    expect(page.get_by_role("heading")).to_have_text("Saved")
    assert bench.sent == [("/save", {"length": "", "way": "save"})]


def test_while_it_is_sent_only_the_buttons_that_send_are_held(bench):
    page = bench.open(FRAMED)
    press(page)
    expect(page.get_by_role("button", name="Save")).to_be_disabled()
    expect(page.get_by_role("button", name="Look")).to_be_enabled()
    submit(page)
    bench.answer()
    assert len(bench.sent) == 1


def test_a_form_that_only_asks_is_not_held(bench):
    page = bench.open('<form action="/find"><input name="text"><button>Find</button></form>')
    page.evaluate("document.addEventListener('submit', (event) => event.preventDefault())")
    press(page, "Find")
    page.wait_for_timeout(50)
    expect(page.get_by_role("button")).to_be_enabled()
    assert page.locator("form").get_attribute("data-sent") is None


@pytest.mark.parametrize("status", [200, 409, 422, 500])
def test_after_any_answer_it_can_be_sent_again(bench, status):
    page = bench.open(BOOSTED.replace("<form", '<form hx-swap="none"'))
    press(page)
    expect(page.get_by_role("button", name="Save")).to_be_disabled()
    bench.answer(status=status)
    expect(page.get_by_role("button", name="Save")).to_be_enabled()
    expect(page.get_by_role("button", name="Not yet")).to_be_disabled()
    press(page)
    bench.answer()
    assert len(bench.sent) == 2


def test_after_a_lost_connection_it_can_be_sent_again(bench):
    page = bench.open(BOOSTED)
    press(page)
    bench.cut()
    expect(page.get_by_role("button", name="Save")).to_be_enabled()
    press(page)
    bench.answer("<h1>Saved</h1>")
    expect(page.get_by_role("heading")).to_have_text("Saved")


def test_a_form_whose_answer_is_a_download_is_let_go_after_a_while(own_bench):
    own_bench.page.clock.install()
    page = own_bench.open(FRAMED)
    press(page)
    expect(page.get_by_role("button", name="Save")).to_be_disabled()
    own_bench.answer(**{"Content-Disposition": "attachment"})
    page.clock.fast_forward(14_000)
    expect(page.get_by_role("button", name="Save")).to_be_disabled()
    page.clock.fast_forward(2_000)
    expect(page.get_by_role("button", name="Save")).to_be_enabled()


def test_a_form_sent_again_is_held_as_long_as_the_first_time(own_bench):
    own_bench.page.clock.install()
    page = own_bench.open(BOOSTED.replace("<form", '<form hx-swap="none"'))
    press(page)
    expect(page.get_by_role("button", name="Save")).to_be_disabled()
    own_bench.answer()
    expect(page.get_by_role("button", name="Save")).to_be_enabled()
    page.clock.fast_forward(13_000)
    press(page)
    expect(page.get_by_role("button", name="Save")).to_be_disabled()
    page.clock.fast_forward(3_000)
    assert page.get_by_role("button", name="Save").is_disabled()
    own_bench.answer()
    expect(page.get_by_role("button", name="Save")).to_be_enabled()


@pytest.mark.parametrize(("persisted", "again"), [("true", True), ("false", False)])
def test_a_page_that_comes_back_from_the_browsers_cache_can_be_sent_again(bench, persisted, again):
    page = bench.open(FRAMED)
    press(page)
    expect(page.get_by_role("button", name="Save")).to_be_disabled()
    page.evaluate(f"dispatchEvent(new PageTransitionEvent('pageshow', {{persisted: {persisted}}}))")
    assert page.get_by_role("button", name="Save").is_enabled() is again
    bench.answer()
