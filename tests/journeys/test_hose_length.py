"""A hose is measured on the car, and the sheet says how long to cut it."""

import re

import pytest
from playwright.sync_api import Locator, expect

from kits.fitment.models import RouteLength
from tests.journeys.demonstration import SIZING_MS

SHEET = "/fitments/S4-DASH/S4/TR12L/"


def cut_length_mm(hose: Locator) -> int | None:
    shown = hose.locator("div", has=hose.page.locator("dt", has_text="Cut length")).last.inner_text()
    found = re.search(r"([\d,]+) mm", shown)
    return int(found[1].replace(",", "")) if found else None


@pytest.fixture
def hose(signed_in, demonstration, site) -> Locator:
    """The liquid hose of a tourer whose route nobody has measured."""
    page = signed_in("manager")
    page.goto(site.url + SHEET)
    return page.locator("#length-LIQ-L")


def record(hose: Locator, length: str, source: str) -> None:
    """On the form behind the hose's link, or on the form that is there."""
    page = hose.page
    if hose.count():
        hose.get_by_role("link", name="Record a length of route LIQ-L").click()
    page.get_by_label("Length [mm]").fill(length)
    page.get_by_label("Source").fill(source)
    page.get_by_role("button", name="Record the length").click()


def test_a_measured_route_gives_the_cut_length_and_a_better_one_changes_it(hose):
    page = hose.page
    assert cut_length_mm(hose) is None
    expect(page.get_by_text("Route LIQ-L has no length")).to_be_visible()
    record(hose, "1480", "tourer of 1963, dummy hose")
    expect(page.get_by_text("Length of route LIQ-L recorded: 1480 mm.")).to_be_visible(timeout=SIZING_MS)
    first_mm = cut_length_mm(hose)
    assert first_mm is not None
    expect(page.get_by_text("Route LIQ-L has no length")).to_have_count(0)

    record(hose, "1520", "the same car with the steering on lock")
    expect(page.get_by_text("Length of route LIQ-L recorded: 1520 mm.")).to_be_visible(timeout=SIZING_MS)
    # 40 mm more of route, and the kit's 3 % of slack on them
    assert cut_length_mm(hose) == first_mm + 41
    assert RouteLength.objects.filter(fitment__variant__code="TR12L", route__code="LIQ-L").count() == 2


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("one and a half metres", "Must be a number, not “one and a half metres”."),
        ("-5", "Must be at least 1"),
        ("148000", "at most 30,000"),
        ("", "Must not be empty."),
    ],
)
def test_nonsense_is_refused_with_a_sentence_and_stays_where_it_was_typed(hose, typed, sentence):
    page = hose.page
    record(hose, typed, "a slip of the pen")
    expect(page.get_by_role("alert")).to_contain_text(sentence)
    expect(page.get_by_label("Length [mm]")).to_have_value(typed)
    expect(page.get_by_label("Source")).to_have_value("a slip of the pen")
    assert not RouteLength.objects.filter(fitment__variant__code="TR12L", route__code="LIQ-L").exists()
