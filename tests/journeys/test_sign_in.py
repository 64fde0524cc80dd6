"""Signing in and out."""

from playwright.sync_api import Page, expect

from tests.conftest import PASSWORD, make_person
from tests.journeys.axe import violations


def test_a_manager_signs_in_and_out(sign_in, site):
    page = sign_in("manager")
    expect(page.get_by_role("heading", level=1)).to_have_text("Home")
    page.get_by_role("button", name="Sign out").click()
    expect(page).to_have_url(f"{site.url}/sign-in/")


def test_a_wrong_password_is_explained_and_the_name_is_kept(page: Page, site):
    make_person("manager")
    page.goto(f"{site.url}/sign-in/")
    page.get_by_label("Username").fill("manager")
    page.get_by_label("Password").fill("wrong")
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_text("Please enter a correct username and password.").first).to_be_visible()
    expect(page.get_by_label("Username")).to_have_value("manager")


def test_the_page_that_was_wanted_comes_after_signing_in(page: Page, site):
    make_person("installer")
    page.goto(f"{site.url}/?wanted=1")
    page.get_by_label("Username").fill("installer")
    page.get_by_label("Password").fill(PASSWORD)
    page.keyboard.press("Enter")
    expect(page).to_have_url(f"{site.url}/?wanted=1")


def test_the_sign_in_page_is_open_to_everybody(page: Page, site):
    page.goto(f"{site.url}/sign-in/")
    assert violations(page) == []
