"""A newcomer brings in a model line: three mistakes, mended, imported, sized, and the answer read."""

from playwright.sync_api import Page, expect

from tests.journeys.demonstration import SIZING_MS, open_workbook, upload


def choose(page: Page, book, name: str) -> None:
    page.get_by_role("navigation").get_by_role("link", name="Import").click()
    page.get_by_label("Workbook", exact=True).set_input_files(upload(book, name))
    page.get_by_role("button", name="Check the workbook").click()


def test_a_newcomer_mends_three_mistakes_and_learns_which_car_the_kit_cannot_cool(signed_in, site):
    page = signed_in("manager")
    page.goto(site.url)
    expect(page.get_by_role("heading", name="Nothing here yet")).to_be_visible()

    # Words in a number column, an option nobody defined, a part that stands twice.
    book = open_workbook()
    book["Cabins"]["C2"] = "about 2.4"
    steering = next(cell for cell in book["Variants"][1] if cell.value == "option: Steering side")
    book["Variants"].cell(3, steering.column, "centre")
    parts = book["Parts"]
    below = max(cell.row for cell in parts["A"] if cell.value) + 1
    for cell in parts[2]:
        parts.cell(below, cell.column, cell.value)
    choose(page, book, "first try.xlsx")

    expect(page.get_by_label("The answer")).to_contain_text("Refused: nothing was imported. 3 problems found")
    rows = page.get_by_role("region", name="Problems by place").get_by_role("row")
    expect(rows).to_have_count(4)
    # In the order of the sheets' names: sheet, row, column as the spreadsheet letters it, sentence.
    expect(rows.nth(1)).to_have_text("Cabins2CVolume [m³] must be a number, not “about 2.4”.")
    expect(rows.nth(2)).to_have_text(f"Parts{below}Abm10-146 stands in row 2 already.", ignore_case=True)
    told = "Steering side has no option “centre”; it has: left, right."
    expect(rows.nth(3)).to_have_text(f"Variants3{steering.column_letter}{told}")

    # Mended where the page said.
    page.get_by_role("link", name="Choose the corrected workbook").click()
    book["Cabins"]["C2"] = 2.35
    book["Variants"].cell(3, steering.column, "right")
    parts.delete_rows(below)
    choose(page, book, "second try.xlsx")
    expect(page.get_by_label("The answer")).to_contain_text("No problem found. Nothing has changed yet.")
    page.get_by_role("button", name="Import this").click()
    expect(page.get_by_label("The answer")).to_contain_text("Imported")

    page.get_by_role("button", name="Size every fitment").click(timeout=SIZING_MS)
    expect(page.get_by_role("heading", level=1)).to_have_text("Fit table", timeout=SIZING_MS)
    expect(page.locator(".fit-table tbody tr")).to_have_count(8)
    short = page.get_by_role("link", name="not enough")
    tourer = page.get_by_role("row", name="TR12L").filter(has=short)
    expect(tourer).to_have_count(1)
    tourer.get_by_role("link", name="not enough").click()

    # Why, and what would help.
    answer = page.get_by_label("The answer")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Tourer, 12 V, left-hand drive")
    expect(answer).to_contain_text("not enough")
    expect(answer).to_contain_text("What limits it: the freeze control")
    expect(answer).to_contain_text("What would help:")
    reason = page.get_by_text("less than needed; 20 % reserve is asked").first
    expect(reason).to_be_visible()
    answer.get_by_role("link", name="All changes that help").click()
    changes = page.get_by_role("region", name="Changes that help, the best first").get_by_role("row")
    expect(changes.nth(1)).to_contain_text("Close the openings")
    picture = page.locator("figure img").first
    picture.scroll_into_view_if_needed()
    expect(picture).to_be_visible()
    page.wait_for_function(
        "() => { const one = document.querySelector('figure img'); return one.complete && one.naturalWidth > 0 }"
    )
