"""A manager tries a change on a fitment, sees the answer move, and keeps it as a note."""

import re

import pytest
from playwright.sync_api import Page, expect

from kits.fitment.models import FitmentNote

SHEET = "/fitments/S4-DASH/S4/CP12L/"
SOLVING_MS = 60_000


@pytest.fixture
def study(signed_in, demonstration, site) -> Page:
    """The study of a coupé, opened from its sheet, at the town point."""
    page = signed_in("manager")
    page.goto(site.url + SHEET)
    page.get_by_role("link", name="Try a change").click()
    page.get_by_role("link", name=re.compile("^Town")).click()
    expect(page.get_by_text("Nothing is changed yet")).to_be_visible()
    return page


def answer(page: Page):
    return page.locator("#study-answer")


def test_a_change_moves_the_answer_its_picture_and_the_address(study):
    picture = answer(study).locator("img")
    before = picture.get_attribute("src")
    study.get_by_label("Outside temperature").fill("43")
    expect(answer(study)).to_contain_text("Outside temperature: 35 °C → 43 °C", timeout=SOLVING_MS)
    expect(study.get_by_label("Outside temperature")).to_be_focused()
    expect(study).to_have_url(re.compile(r"duty=town-35&outside_c=43$"))
    assert picture.get_attribute("src") != before
    assert picture.evaluate("async i => { await i.decode(); return i.naturalWidth }") > 100
    expect(study.locator("#study-said")).to_contain_text("With the change:")
    expect(answer(study)).to_contain_text("Cabin it holds", timeout=SOLVING_MS)

    study.get_by_label("Solar film on side and rear glass").check()
    expect(answer(study)).to_contain_text("Solar film on side and rear glass", timeout=SOLVING_MS)
    study.go_back()
    expect(study).to_have_url(re.compile(r"outside_c=43$"))
    expect(study.get_by_label("Outside temperature")).to_have_value("43")
    expect(study.get_by_label("Solar film on side and rear glass")).not_to_be_checked()


def test_nonsense_is_told_beside_its_field_and_mended_there(study):
    field = study.get_by_label("Relative humidity outside")
    field.fill("200")
    sentence = "The relative humidity must lie within 0 to 100 %."
    expect(study.locator("#wrong-humidity_pct")).to_contain_text(sentence, timeout=SOLVING_MS)
    expect(answer(study)).to_contain_text("Nothing was worked out.")
    expect(field).to_have_value("200")
    expect(field).to_have_accessible_description(re.compile(re.escape(sentence)))
    field.fill("60")
    expect(study.locator("#wrong-humidity_pct")).to_be_empty(timeout=SOLVING_MS)
    expect(answer(study)).to_contain_text("Relative humidity outside: 40 % → 60 %")


def test_a_study_is_kept_as_a_note_and_asked_again_from_the_sheet(study, site):
    study.get_by_label("Outside temperature").fill("40")
    expect(answer(study)).to_contain_text("40 °C", timeout=SOLVING_MS)
    study.get_by_label("Note", exact=True).fill("Ask again with film.")
    study.get_by_role("button", name="Keep question and answer as a note").click()
    expect(study).to_have_url(site.url + SHEET + "#notes", timeout=SOLVING_MS)
    expect(study.get_by_text("The study is kept as a note of this fitment.")).to_be_visible()
    note = study.locator(".note")
    expect(note).to_contain_text("Ask again with film.")
    assert FitmentNote.objects.get().study["query"] == "duty=town-35&outside_c=40"
    note.locator("summary").click()
    note.get_by_role("link", name="Ask it again").click()
    expect(study.get_by_label("Outside temperature")).to_have_value("40")


def test_the_study_works_without_script(browser, signed_in, demonstration, site):
    known = signed_in("installer").context.storage_state()
    context = browser.new_context(java_script_enabled=False, storage_state=known)
    page = context.new_page()
    page.goto(f"{site.url}{SHEET}study/?duty=town-35")
    page.get_by_label("Outside temperature").fill("41")
    page.get_by_role("button", name="Work it out").click()
    expect(page.locator("#study-answer")).to_contain_text("Outside temperature: 35 °C → 41 °C")
    page.get_by_role("link", name=re.compile("^Work out what limits it")).click()
    expect(page.locator("#study-answer")).to_contain_text("Cabin it holds")
    context.close()


def test_the_keyboard_alone_changes_and_reads_the_answer(study):
    study.get_by_label("Outside temperature").focus()
    study.keyboard.press("Control+A")
    study.keyboard.type("39")
    expect(answer(study)).to_contain_text("35 °C → 39 °C", timeout=SOLVING_MS)
    study.keyboard.press("Tab")
    expect(study.get_by_label("Relative humidity outside")).to_be_focused()
