"""Who only reads sees nothing to change, and can't change it by another way either."""

import pytest
from playwright.sync_api import Page, expect

from kits.exchange.models import ImportPlan
from kits.fitment.models import RouteLength
from tests.keys import a_key

SHEET = "/fitments/S4-DASH/S4/TR12L/"
LENGTH = "/edit/S4/lengths/?kit=S4-DASH&variant=TR12L&route=LIQ-L"
READ = ("/", "/fit/", SHEET, "/kits/S4-DASH/", "/vehicles/S4/TR12L/", "/parts/BM20-001/")


def send(page: Page, address: str, fields: dict[str, str]) -> int:
    """The answer to a POST with the person's own session and a good token."""
    token = page.locator("input[name=csrfmiddlewaretoken]").first.get_attribute("value") or ""
    answer = page.context.request.post(address, form={"csrfmiddlewaretoken": token, **fields})
    return answer.status


@pytest.mark.parametrize("role", ["installer", "production", "owner"])
def test_a_reader_meets_no_form_that_changes_and_is_refused_when_he_sends_one(
    role, sign_in, demonstration, site
):
    page = sign_in(role)
    for address in READ:
        page.goto(site.url + address)
        forms = page.locator("form[method=post]")
        assert forms.evaluate_all("all => all.map(one => one.getAttribute('action'))") == ["/sign-out/"], (
            address
        )
    before = RouteLength.objects.count()
    typed = {
        "row-length_mm": "1480",
        "row-cars_count": "1",
        "row-origin_kind": "measured",
        "row-origin_source": "x",
    }
    assert send(page, site.url + LENGTH, typed) == 403
    assert send(page, site.url + "/fit/size-again/", {}) == 403
    assert send(page, site.url + "/import/", {}) == 403
    plan = ImportPlan.objects.get()
    assert send(page, f"{site.url}/import/{plan.pk}/", {"idempotency_key": a_key("again")}) == 403
    assert RouteLength.objects.count() == before
    page.goto(site.url + "/import/")
    expect(page.get_by_text("Your role does not include this page.")).to_be_visible()


def test_an_installer_finds_joints_charge_and_checklist_of_his_car(sign_in, demonstration, site):
    page = sign_in("installer")
    page.get_by_role("link", name="Find your car").click()
    page.get_by_label("Car, line or option").fill("CP12L")
    page.get_by_role("button", name="Filter").click()
    expect(page.locator(".fit-table tbody tr")).to_have_count(1)
    page.locator(".fit-table tbody").get_by_role("link", name="strong enough").click()
    charge = page.get_by_role("region", name="Charge and oil")
    expect(charge).to_contain_text("650 g")
    joints = page.get_by_role("region", name="Joints", exact=True).first
    expect(joints).to_contain_text("N·m")
    paper = page.get_by_role("link", name="Installation checklist (PDF)")
    expect(paper).to_have_count(0)
    page.get_by_role("navigation", name="Market the papers are for").get_by_role("link", name="Home").click()
    expect(page).to_have_url(f"{site.url}/fitments/S4-DASH/S4/CP12L/?market=home#papers")
    assert (paper.get_attribute("href") or "").endswith("/checklist.pdf?market=home")
    answer = page.context.request.get(site.url + (paper.get_attribute("href") or ""))
    assert answer.status == 200
    assert answer.body().startswith(b"%PDF-")
