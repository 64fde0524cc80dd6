"""Somebody is invited, chooses a password, works here, and leaves."""

from urllib.parse import urlsplit

from playwright.sync_api import expect

from tests.journeys.axe import violations
from tests.journeys.test_pages import sticks_out
from vehicles.records.access import INSTALLER

PASSWORD = "seven kettles under the slate"


def signed_in_as(page, site, account):
    """Sign in on the page for it."""
    page.goto(f"{site.url}/sign-in/")
    page.get_by_label("Username").fill(account)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()


def test_invited_then_password_then_work_then_left_then_refused(sign_in, browser, site):
    page = sign_in("manager")
    page.get_by_role("link", name="People").click()
    page.get_by_role("link", name="Invite somebody").click()
    page.get_by_label("Name", exact=True).fill("Anna Berg")
    page.get_by_label("Name to sign in with").fill("anna.berg")
    page.get_by_label(f"{INSTALLER}:").check()
    page.get_by_label("Or a new firm").fill("Coast Garage")
    page.get_by_role("button", name="Make the account").click()
    link = page.get_by_label("The link").input_value()
    assert violations(page) == []

    own = browser.new_context(viewport={"width": 390, "height": 800})
    hers = own.new_page()
    hers.goto(site.url + urlsplit(link).path)
    assert violations(hers) == [] and not sticks_out(hers)
    hers.get_by_label("Password", exact=True).fill("anna.berg")
    hers.get_by_label("The same password again").fill("anna.berg")
    hers.get_by_role("button", name="Keep this password").click()
    expect(hers.get_by_role("alert")).to_contain_text("No password is kept yet")
    hers.get_by_label("Password", exact=True).fill(PASSWORD)
    hers.get_by_label("The same password again").fill(PASSWORD)
    hers.get_by_role("button", name="Keep this password").click()
    expect(hers.get_by_text("Sign in as “anna.berg”")).to_be_visible()
    hers.goto(site.url + urlsplit(link).path)
    expect(hers.get_by_role("heading", level=1)).to_have_text("This link does not work")
    signed_in_as(hers, site, "anna.berg")
    expect(hers.get_by_role("heading", level=1)).to_have_text("Home")

    page.get_by_role("link", name="To this person’s page").click()
    page.get_by_role("link", name="Record a certificate").click()
    page.get_by_label("Number").fill("R-1")
    page.get_by_label("First day").fill("2026-01-01")
    page.get_by_role("button", name="Record the certificate").click()
    expect(page.get_by_text("refrigerant: without end")).to_be_visible()
    page.get_by_role("link", name="Leaves…").click()
    page.get_by_label("Reason").fill("moved to the coast")
    page.get_by_role("button", name="Close the account").click()
    history = page.get_by_role("region", name="What was done").last
    expect(history).to_contain_text("account closed")
    expect(history).to_contain_text("moved to the coast")

    hers.goto(f"{site.url}/fit/")
    expect(hers.get_by_role("heading", level=1)).to_have_text("Sign in")
    signed_in_as(hers, site, "anna.berg")
    expect(hers.get_by_text("Please enter a correct username and password.").first).to_be_visible()
    own.close()


def test_the_last_manager_can_not_leave_by_the_keyboard_either(sign_in, site):
    page = sign_in("manager")
    page.goto(f"{site.url}/people/MA/leave/")
    page.get_by_label("His last day").focus()
    page.keyboard.press("Enter")
    alert = page.get_by_role("alert")
    expect(alert).to_contain_text("manager is the last manager who can sign in")
    expect(alert).to_be_focused()
