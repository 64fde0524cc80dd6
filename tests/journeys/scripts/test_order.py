"""order.js: a list in order is moved by buttons, by typed places and by dragging; places are counted and said."""

import pytest
from playwright.sync_api import Page, expect

ROW = (
    '<li class="order-row" data-key="{key}" style="height: 60px"><span class="order-handle">=</span>'
    '<label>Place of {key} <input name="place:{key}" value="{place}"></label> <span>{key}</span>'
    '<button name="up" value="{key}" data-by="-1">{key} up</button>'
    '<button name="down" value="{key}" data-by="1">{key} down</button></li>'
)


def listed(keys: str, above_px: int = 0, below_px: int = 0) -> str:
    rows = "".join(ROW.format(key=key, place=i) for i, key in enumerate(keys, 1))
    return (
        f'<div style="height: {above_px}px"></div><form method="post" action="/order" target="frame">'
        f'<p role="status" data-order-said></p><ol data-order>{rows}</ol><button>Save</button></form>'
        f'<div style="height: {below_px}px"></div><iframe name="frame"></iframe>'
    )


def shown(page: Page) -> str:
    return "".join(page.locator("li").evaluate_all("rows => rows.map(row => row.dataset.key)"))


def places(page: Page) -> list[str]:
    return page.locator("li input").evaluate_all("all => all.map(one => one.value)")


def button(page: Page, name: str):
    return page.get_by_role("button", name=name, exact=True)


def middle(page: Page, selector: str) -> tuple[float, float]:
    box = page.locator(selector).bounding_box()
    assert box
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def grip(page: Page, key: str) -> None:
    page.mouse.move(*middle(page, f"[data-key={key}] .order-handle"))
    page.mouse.down()


def over(page: Page, key: str, share: float) -> None:
    """Move over a row, at a share of its height."""
    box = page.locator(f"[data-key={key}]").bounding_box()
    assert box
    page.mouse.move(box["x"] + 20, box["y"] + share * box["height"], steps=3)


@pytest.mark.parametrize(
    ("pressed", "order", "said"),
    [
        ("b up", "bacd", "Step b is now 1 of 4. Not saved yet."),
        ("b down", "acbd", "Step b is now 3 of 4. Not saved yet."),
        ("c down", "abdc", "Step c is now 4 of 4. Not saved yet."),
        ("a up", "abcd", "Step a is now 1 of 4. Not saved yet."),
        ("d down", "abcd", "Step d is now 4 of 4. Not saved yet."),
    ],
)
def test_a_button_moves_its_row_by_one_and_no_further_than_the_ends(bench, pressed, order, said):
    page = bench.open(listed("abcd"))
    button(page, pressed).click()
    assert shown(page) == order
    assert places(page) == ["1", "2", "3", "4"]
    expect(page.get_by_role("status")).to_have_text(said)
    expect(button(page, pressed)).to_be_focused()
    assert bench.sent == []


def test_a_row_moved_by_the_keyboard_stays_under_the_fingers_and_in_view(bench):
    page = bench.open(listed("abcdefghijklmnopqrst"))
    button(page, "a down").focus()
    for _ in range(19):
        page.keyboard.press("Enter")
    assert shown(page) == "bcdefghijklmnopqrsta"
    expect(button(page, "a down")).to_be_focused()
    expect(page.locator("[data-key=a]")).to_be_in_viewport(ratio=1)


def test_the_button_of_the_form_sends_the_places(bench):
    page = bench.open(listed("ab"))
    button(page, "Save").click()
    bench.answer("<h1>Saved</h1>")
    expect(page.frame_locator("iframe").get_by_role("heading")).to_have_text("Saved")
    assert bench.sent == [("/order", {"place:a": "1", "place:b": "2"})]


@pytest.mark.parametrize(
    ("typed", "order"),
    [("1", "cabd"), ("2", "acbd"), (" 4 ", "abdc"), ("3.0", "abcd")],
)
def test_a_typed_place_moves_its_row_there(bench, typed, order):
    page = bench.open(listed("abcd"))
    page.get_by_label("Place of c").fill(typed)
    page.get_by_label("Place of c").blur()
    assert shown(page) == order
    assert places(page) == ["1", "2", "3", "4"]


@pytest.mark.parametrize("typed", ["third", "0", "-1", "5", "2.5", "", " "])
def test_a_place_that_is_none_moves_nothing_and_stays_as_typed(bench, typed):
    page = bench.open(listed("abcd"))
    page.get_by_label("Place of c").fill(typed)
    page.get_by_label("Place of c").blur()
    assert shown(page) == "abcd"
    assert places(page) == ["1", "2", typed, "4"]
    expect(page.get_by_role("status")).to_be_empty()


@pytest.mark.parametrize(
    ("target", "share", "order"),
    [("a", 0.2, "cabd"), ("a", 0.8, "acbd"), ("d", 0.2, "abcd"), ("d", 0.8, "abdc"), ("c", 0.9, "abcd")],
)
def test_a_row_is_dragged_before_or_behind_another_by_the_half_it_is_over(bench, target, share, order):
    page = bench.open(listed("abcd", above_px=100))
    grip(page, "c")
    expect(page.locator("[data-key=c]")).to_have_class("order-row is-dragged")
    over(page, target, share)
    page.mouse.up()
    assert shown(page) == order
    assert places(page) == ["1", "2", "3", "4"]
    place = order.index("c") + 1
    expect(page.get_by_role("status")).to_have_text(f"Step c is now {place} of 4. Not saved yet.")
    expect(page.locator("[data-key=c]")).to_have_class("order-row")


def test_a_drag_that_leaves_the_list_keeps_the_last_place(bench):
    page = bench.open(listed("abc", above_px=100, below_px=200))
    grip(page, "a")
    over(page, "c", 0.8)
    page.mouse.move(300, 600, steps=3)
    page.mouse.up()
    assert shown(page) == "bca"
    page.mouse.move(*middle(page, "[data-key=b]"))
    assert shown(page) == "bca"


def test_a_row_is_dragged_by_its_handle_and_the_main_button_only(bench):
    page = bench.open(listed("abc", above_px=100))
    page.mouse.move(*middle(page, "[data-key=c] > span:not(.order-handle)"))
    page.mouse.down()
    over(page, "a", 0.2)
    page.mouse.up()
    page.mouse.move(*middle(page, "[data-key=c] .order-handle"))
    page.mouse.down(button="right")
    over(page, "a", 0.2)
    page.mouse.up(button="right")
    assert shown(page) == "abc"
    expect(page.get_by_role("status")).to_be_empty()


def pointer(page: Page, kind: str, key: str, number: int, y: float = 0) -> None:
    """What the browser tells of one of several pointers, or takes away from the page."""
    page.locator(f"[data-key={key}] .order-handle").dispatch_event(
        kind, {"bubbles": True, "cancelable": True, "pointerId": number, "button": 0, "clientY": y}
    )


@pytest.fixture
def loose(own_bench):
    """Pointers that no hand holds can't be captured."""
    own_bench.page.add_init_script("Element.prototype.setPointerCapture = () => {}")
    return own_bench


def test_a_drag_that_the_browser_takes_away_ends_where_it_is(loose):
    page = loose.open(listed("abc", above_px=100))
    pointer(page, "pointerdown", "c", 1)
    pointer(page, "pointermove", "c", 1, y=middle(page, "[data-key=a]")[1] - 20)
    pointer(page, "pointercancel", "c", 1)
    assert shown(page) == "cab"
    expect(page.locator(".is-dragged")).to_have_count(0)
    pointer(page, "pointermove", "c", 1, y=middle(page, "[data-key=b]")[1] + 20)
    assert shown(page) == "cab"


def test_a_second_finger_does_not_take_over(loose):
    page = loose.open(listed("abc", above_px=100))
    pointer(page, "pointerdown", "c", 1)
    pointer(page, "pointerdown", "b", 2)
    pointer(page, "pointermove", "b", 2, y=middle(page, "[data-key=a]")[1] - 20)
    assert shown(page) == "abc"
    pointer(page, "pointerup", "b", 2)
    pointer(page, "pointermove", "c", 1, y=middle(page, "[data-key=a]")[1] - 20)
    pointer(page, "pointerup", "c", 1)
    assert shown(page) == "cab"
    expect(page.locator(".is-dragged")).to_have_count(0)


@pytest.mark.parametrize(("edge", "sign"), [("top", -1), ("bottom", 1)])
def test_the_page_moves_along_at_its_edges_until_the_drag_ends(bench, edge, sign):
    page = bench.open(listed("abc", above_px=1500, below_px=1500))
    page.evaluate("scrollTo(0, 1200)")
    grip(page, "b")
    page.mouse.move(100, 400)
    before = page.evaluate("scrollY")
    page.mouse.move(100, 20 if edge == "top" else 700)
    page.wait_for_function("([before, sign]) => (scrollY - before) * sign > 30", arg=[before, sign])
    page.mouse.up()
    page.wait_for_timeout(50)
    after = page.evaluate("scrollY")
    page.wait_for_timeout(100)
    assert page.evaluate("scrollY") == after


def test_one_row_alone_stays_where_it_is_by_every_way(bench):
    page = bench.open(listed("a", above_px=100))
    for name in ("a up", "a down"):
        button(page, name).click()
    page.get_by_label("Place of a").fill("1")
    page.get_by_label("Place of a").blur()
    grip(page, "a")
    page.mouse.move(100, 300, steps=3)
    page.mouse.up()
    assert (shown(page), places(page)) == ("a", ["1"])
    expect(page.get_by_role("status")).to_have_text("Step a is now 1 of 1. Not saved yet.")


@pytest.mark.parametrize("body", [listed(""), "<p>no list</p>"])
def test_an_empty_list_and_a_page_without_one_do_no_harm(bench, body):
    page = bench.open(body)
    page.mouse.move(100, 60)
    page.mouse.down()
    page.mouse.move(100, 200)
    page.mouse.up()
    assert shown(page) == ""
