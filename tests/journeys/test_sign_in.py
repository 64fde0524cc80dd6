"""Signing in and out."""

import base64
import re

from django.conf import settings
from django.contrib.auth.models import User
from django_otp.oath import TOTP
from playwright.sync_api import Page, expect

from kits.people.signing.actions import sign_out_everywhere
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


def code_of(secret: str) -> str:
    """What a telephone shows that was given the secret."""
    return f"{TOTP(base64.b32decode(secret.replace(' ', ''))).token():06}"


def give(page: Page, role: str) -> None:
    """Fill in name and password and press the button."""
    page.get_by_label("Username").fill(role)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()


def test_a_manager_turns_on_the_second_step_and_comes_in_with_a_recovery_code(sign_in, site):
    page = sign_in("manager")
    page.get_by_role("link", name="manager").click()
    page.get_by_role("link", name="Turn it on").click()
    page.get_by_label("Your password").fill(PASSWORD)
    page.get_by_role("button", name="Go on").click()
    picture = page.get_by_alt_text("The secret below")
    expect(picture).to_be_visible()
    expect(picture).to_have_js_property("complete", True)
    assert picture.evaluate("picture => picture.naturalWidth > 100")
    page.get_by_label("Code").fill(code_of(page.locator("p.code").inner_text()))
    page.get_by_role("button", name="Turn it on").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("The second step is on")
    assert violations(page) == []
    codes = page.locator(".codes li").all_inner_texts()
    page.get_by_role("button", name="Sign out").click()
    give(page, "manager")
    expect(page).to_have_url(f"{site.url}/sign-in/code/")
    assert violations(page) == []
    page.goto(f"{site.url}/kits/")
    expect(page).to_have_url(re.compile("/sign-in/"))
    page.goto(f"{site.url}/sign-in/code/")
    page.get_by_label("Code").fill(codes[0])
    page.keyboard.press("Enter")
    expect(page).to_have_url(f"{site.url}/")


def test_who_is_locked_out_is_let_in_by_a_manager(sign_in, browser, site):
    manager = sign_in("manager")
    make_person("installer")
    page = browser.new_page()
    page.goto(f"{site.url}/sign-in/")
    for _ in range(5):
        page.get_by_label("Username").fill("installer")
        page.get_by_label("Password").fill("wrong")
        page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Too many tries")
    assert violations(page) == []
    manager.goto(f"{site.url}/sign-ins/")
    assert violations(manager) == []
    manager.get_by_role("button", name="Lift the lock of installer").click()
    expect(manager.get_by_text("can be tried again at once")).to_be_visible()
    give(page, "installer")
    expect(page).to_have_url(f"{site.url}/")
    page.close()


def test_what_was_typed_into_a_page_is_sent_after_signing_in_again(signed_in, demonstration, site):
    page = signed_in("manager")
    page.goto(f"{site.url}/fitments/S4-DASH/S4/CP12L/study/?duty=cruise-35&outside_c=45")
    note = page.locator("#keep")
    note.get_by_role("textbox").fill("asked with a tape along the first car")
    sign_out_everywhere(user=User.objects.get(username="manager"), address="")
    note.get_by_role("button").click()
    expect(page.get_by_text("What you typed is kept.")).to_be_visible()
    give(page, "manager")
    expect(page.get_by_role("heading", level=1)).to_have_text("This was not sent yet")
    expect(page.get_by_text("asked with a tape along the first car")).to_be_visible()
    assert violations(page) == []
    page.get_by_role("button", name="Send it now").click()
    expect(page).to_have_url(re.compile("/fitments/S4-DASH/S4/CP12L/"))
    expect(page.get_by_text("asked with a tape along the first car")).to_be_visible()


def test_a_form_that_htmx_sends_stands_in_its_page_again_after_signing_in(signed_in, demonstration, site):
    page = signed_in("manager")
    page.goto(f"{site.url}/edit/-/markets/?next=/markets/home/")
    page.get_by_label("Name", exact=True).fill("A market typed long ago")
    page.get_by_label("Code", exact=True).fill("ZZ")
    page.context.clear_cookies(name=settings.SESSION_COOKIE_NAME)
    page.get_by_role("button", name=re.compile("^(Save|Add)")).first.click()
    give(page, "manager")
    expect(page.get_by_label("Name", exact=True)).to_have_value("A market typed long ago")
