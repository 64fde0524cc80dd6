"""Every page on office screen, bench tablet and phone, light and dark: nothing sticks out, everyone can read it."""

import pytest
from playwright.sync_api import Page

from kits.exchange.models import ImportPlan
from tests.journeys.axe import violations
from tests.journeys.demonstration import open_workbook, upload

WIDTHS_PX = (1440, 834, 390)
HEIGHT_PX = 900
GRAVE = ("serious", "critical")
PAGES = (
    "/",
    "/fit/",
    "/fit/?text=no+such+car",
    "/fitments/S4-DASH/S4/CP12L/",
    "/fitments/S4-DASH/S4/CP12L/?market=US",
    "/fitments/S4-DASH/S4/TR12L/",
    "/fitments/S4-DASH/S4/TR12L/calculations/",
    "/fitments/S4-DASH/S4/CP12L/readings/?ambient_c=35&humidity_pct=30&air=recirculated&blower=highest&doors=open"
    "&engine_rpm=1500&minutes=12&low_bar_g=2.9&high_bar_g=24&vent_c=13&subcooling_k=17",
    "/fitments/S4-DASH/S4/CP12L/readings/?ambient_c=hot",
    "/fitments/S4-DASH/S4/CP12L/plateau/?prefill_ml=150&added_ml=30&drained_ml=0",
    "/markets/home/",
    "/duty-points/",
    "/fitments/S4-DASH/S4/CP12L/study/",
    "/fitments/S4-DASH/S4/CP12L/study/?duty=town-35&outside_c=-300",
    "/fitments/S4-DASH/S4/TR12L/study/",
    "/fitments/S4-DASH/S4/CP12L/study/gases/",
    "/fitments/S4-DASH/S4/CP12L/air/",
    "/history/",
    "/lines/S4/copy/",
    "/vehicles/S4/CP12L/copy/",
    "/fitments/S4-DASH/S4/TR6L/",
    "/vehicles/",
    "/vehicles/S4/TR12L/",
    "/vehicles/S4/TR12L/survey/surfaces/",
    "/vehicles/S4/TR12L/survey/charging/",
    "/vehicles/S4/TR12L/survey/routes/S4-DASH/",
    "/kits/",
    "/kits/S4-DASH/",
    "/kits/S4-DASH/positions/101/",
    "/kits/S4-DASH/steps/",
    "/kits/S4-DASH/steps/?car=S4|CP12L",
    "/kits/S4-DASH/steps/order/",
    "/parts/",
    "/parts/BM20-001/",
    "/parts/BM10-146/",
    "/import/",
    "/people/",
    "/people/?state=left&role=owner",
    "/people/invite/",
    "/people/MA/",
    "/people/MA/change/",
    "/people/MA/roles/",
    "/people/MA/leave/",
    "/people/MA/link/",
    "/people/MA/certificates/add/",
    "/settings/",
    "/invitation/1-a/",
    "/account/",
    "/account/password/",
    "/account/second-step/",
    "/sign-ins/",
    "/sign-in/typed/",
    "/no-such-page/",
)


def sticks_out(page: Page) -> bool:
    """Whether the page as a whole has to be pushed sideways."""
    return bool(page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth"))


def opened_out(page: Page) -> None:
    """Open what is folded away, so that it is looked at too."""
    page.locator("details").evaluate_all("all => all.forEach(one => { one.open = true })")


def faults(page: Page, address: str) -> list[str]:
    """What is wrong with the page the browser shows, at each width and in both themes."""
    found = []
    opened_out(page)
    for width in WIDTHS_PX:
        page.set_viewport_size({"width": width, "height": HEIGHT_PX})
        if sticks_out(page):
            found.append(f"{address} sticks out at {width} px")
    for theme in ("light", "dark"):
        page.emulate_media(color_scheme=theme, reduced_motion="reduce")
        found += [
            f"{address} {theme}: {broken['id']} at {broken['nodes'][0]['target']}"
            for broken in violations(page)
            if broken["impact"] in GRAVE
        ]
    page.emulate_media(color_scheme="light", reduced_motion="reduce")
    return found


@pytest.mark.parametrize("address", PAGES)
def test_no_page_sticks_out_or_shuts_anybody_out(address, signed_in, demonstration, site):
    page = signed_in("manager")
    page.set_viewport_size({"width": WIDTHS_PX[0], "height": HEIGHT_PX})
    page.goto(site.url + address)
    assert faults(page, address) == []


def test_a_plan_with_problems_and_one_without_stay_within_the_screen(signed_in, demonstration, site):
    page = signed_in("manager")
    book = open_workbook()
    book["Cabins"]["C2"] = "about two and a half cubic metres, to be measured again when the car is back " * 3
    found = []
    for name in ("wrong.xlsx", "right.xlsx"):
        page.goto(site.url + "/import/")
        page.get_by_label("Workbook", exact=True).set_input_files(upload(book, name))
        page.get_by_role("button", name="Check the workbook").click()
        page.get_by_role("heading", level=1, name=name).wait_for()
        found += faults(page, f"plan of {name}")
        book["Cabins"]["C2"] = 2.4
    assert set(ImportPlan.objects.values_list("state", flat=True)) == {"refused", "ready", "applied"}
    assert found == []


def test_the_keyboard_alone_reaches_the_sheet_of_a_car(signed_in, demonstration, site):
    page = signed_in("manager")
    page.goto(site.url + "/fit/")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip-link"
    wanted = "/fitments/S4-DASH/S4/CP12L/"
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.getAttribute('href')") == wanted:
            break
    else:
        raise AssertionError("the first fitment can't be reached with the Tab key")
    page.keyboard.press("Enter")
    page.wait_for_url(site.url + wanted)


def test_a_page_that_sticks_out_pale_words_and_a_field_without_a_name_are_caught(page: Page, site):
    page.goto(f"{site.url}/sign-in/")
    assert faults(page, "sign-in") == []
    page.evaluate(
        """() => {
            document.querySelector("h1").style.width = "1000px"
            document.querySelector("label").remove()
            document.querySelector("label").style.color = "rgb(128 128 128 / 0.6)"
        }"""
    )
    found = faults(page, "sign-in")
    assert "sign-in sticks out at 390 px" in found
    assert any("label" in fault for fault in found)
    for theme in ("light", "dark"):
        assert any(f"{theme}: color-contrast" in fault for fault in found)
