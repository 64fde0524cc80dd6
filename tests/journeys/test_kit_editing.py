"""A manager edits entries and the order of steps: by mouse, by finger, by keyboard, and without a script."""

import pytest
from playwright.sync_api import Browser, Page, expect

from kits.bom.models import Entry
from kits.bom.step_models import KitStep

POSITION = "/kits/S4-DASH/positions/101/"
ORDER = "/kits/S4-DASH/steps/order/"


def keys() -> list[str]:
    rows = KitStep.objects.filter(kit__code="S4-DASH").values_list("step_order", "key")
    return [key for _, key in sorted(rows)]


def shown(page: Page) -> list[str]:
    return page.locator(".order-row").evaluate_all("rows => rows.map(row => row.dataset.key)")


def places(page: Page) -> list[str]:
    return page.locator(".order-place input").evaluate_all("all => all.map(one => one.value)")


def save(page: Page) -> None:
    page.get_by_role("button", name="Save the order").first.click()
    page.wait_for_url("**/kits/S4-DASH/steps/")


@pytest.fixture
def order(signed_in, demonstration, site) -> Page:
    page = signed_in("manager")
    page.goto(site.url + ORDER)
    return page


def test_a_step_is_dragged_with_the_mouse_and_saved_as_one_number(order):
    before = keys()
    handle = order.locator(".order-row").nth(4).locator(".order-handle")
    target = order.locator(".order-row").nth(1).bounding_box()
    start = handle.bounding_box()
    assert start and target
    order.mouse.move(start["x"] + 10, start["y"] + 10)
    order.mouse.down()
    order.mouse.move(target["x"] + 20, target["y"] + 40, steps=4)
    order.mouse.move(target["x"] + 20, target["y"] + 4, steps=4)
    order.mouse.up()
    wanted = [before[0], before[4], *before[1:4], *before[5:]]
    assert shown(order) == wanted
    assert places(order) == [f"{i}" for i in range(1, len(wanted) + 1)]
    expect(order.get_by_role("status")).to_contain_text(
        f"Step {before[4]} is now 2 of {len(wanted)}. Not saved yet."
    )
    assert keys() == before
    save(order)
    expect(order.get_by_text("The order is saved: 1 step got another number.")).to_be_visible()
    assert keys() == wanted


def test_a_step_is_dragged_with_a_finger(browser: Browser, order, site):
    before = keys()
    phone = browser.new_context(
        viewport={"width": 390, "height": 800}, has_touch=True, storage_state=order.context.storage_state()
    )
    page = phone.new_page()
    page.goto(site.url + ORDER)
    page.locator(".order-row").nth(2).scroll_into_view_if_needed()
    start = page.locator(".order-row").nth(2).locator(".order-handle").bounding_box()
    target = page.locator(".order-row").nth(0).bounding_box()
    assert start and target
    finger = phone.new_cdp_session(page)
    x, y = start["x"] + 12, start["y"] + 12

    def touch(kind: str, *points: tuple[float, float]) -> None:
        finger.send(
            "Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": y} for x, y in points]}
        )

    touch("touchStart", (x, y))
    for share in (0.3, 0.6, 0.9, 1.0):
        touch("touchMove", (x, y + (target["y"] + 5 - y) * share))
    touch("touchEnd")
    assert shown(page)[:3] == [before[2], before[0], before[1]]
    phone.close()


def test_the_keyboard_alone_moves_a_step_and_keeps_the_focus(order):
    before = keys()
    up = order.get_by_role("button", name=f"Move step {before[3]} up")
    up.focus()
    order.keyboard.press("Enter")
    order.keyboard.press("Enter")
    expect(up).to_be_focused()
    assert shown(order)[:4] == [before[0], before[3], before[1], before[2]]
    order.get_by_label(f"Place of step {before[0]}", exact=True).focus()
    order.keyboard.press("Control+A")
    order.keyboard.type("3")
    order.keyboard.press("Tab")
    assert shown(order)[:4] == [before[3], before[1], before[0], before[2]]
    order.get_by_role("button", name="Save the order").first.focus()
    order.keyboard.press("Enter")
    order.wait_for_url("**/kits/S4-DASH/steps/")
    assert keys()[:4] == [before[3], before[1], before[0], before[2]]


def test_nonsense_beside_a_step_is_refused_and_kept(order):
    before = keys()
    place = order.get_by_label(f"Place of step {before[1]}", exact=True)
    place.fill("third")
    order.get_by_role("button", name="Save the order").first.click()
    expect(order.get_by_role("alert")).to_contain_text(f"The place of step {before[1]} must be a number")
    expect(order.get_by_label(f"Place of step {before[1]}", exact=True)).to_have_value("third")
    assert keys() == before


def test_without_a_script_typed_places_and_buttons_do_the_same(browser: Browser, order, site):
    before = keys()
    plain = browser.new_context(java_script_enabled=False, storage_state=order.context.storage_state())
    page = plain.new_page()
    page.goto(site.url + ORDER)
    page.get_by_label(f"Place of step {before[5]}", exact=True).fill("2")
    page.get_by_role("button", name=f"Move step {before[0]} down").click()
    expect(page.get_by_text("Not saved yet.")).to_be_visible()
    assert keys() == before
    save(page)
    assert keys()[:3] == [before[5], before[0], before[1]]
    plain.close()


def test_entries_are_edited_as_one_form_and_the_effect_is_seen(signed_in, demonstration, site):
    page = signed_in("manager")
    page.goto(site.url + POSITION)
    cars = page.get_by_role("region", name="Combinations of options and what they get")
    expect(cars).to_contain_text("entry 2: BM30-205")
    second = page.get_by_role("group", name="Steering side, entry 2")
    second.get_by_label("right").uncheck()
    page.get_by_label("Quantity, entry 1").fill("a pair")
    page.get_by_role("button", name="Save all entries").click()
    expect(page.get_by_role("alert")).to_contain_text("Quantity must be a number")
    expect(page.get_by_label("Quantity, entry 1")).to_have_value("a pair")
    expect(second.get_by_label("right")).not_to_be_checked()
    page.get_by_label("Quantity, entry 1").fill("1")
    page.get_by_role("button", name="Save all entries").click()
    expect(page.get_by_text("Saved: 1 entry.")).to_be_visible()
    expect(cars).to_contain_text("overlap")
    expect(page.get_by_role("list", name="Findings of this position")).to_contain_text(
        "has entry 1 as well as entry 2"
    )
    page.get_by_label("remove entry 2").check()
    page.get_by_role("button", name="Save all entries").dblclick()
    # the words of the save before stand there until the answer to this one comes
    expect(cars).to_contain_text("gap")
    expect(page.get_by_text("Saved: 1 entry.")).to_be_visible()
    assert Entry.objects.filter(position__kit__code="S4-DASH", position__number=101).count() == 1
