"""A car is surveyed: areas and temperatures are entered together, a charge is recorded, the survey is finished."""

import pytest
from playwright.sync_api import Page, expect

from kits.fitment.models import ChargeRecord
from tests.journeys.demonstration import SIZING_MS
from vehicles.cabin.models import Surface
from vehicles.catalogue.models import Variant
from vehicles.powertrain.models import EngineTemperature

CAR = "/vehicles/S4/TR6L/"
INPUTS = "input[inputmode=decimal]"


@pytest.fixture
def car(signed_in, demonstration, site) -> Page:
    """The page of a car that is to be surveyed, on a phone."""
    Variant.objects.filter(code="TR6L").update(to_be_surveyed=True)
    page = signed_in("manager")
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(site.url + CAR)
    expect(page.locator("#survey")).to_contain_text("to be surveyed")
    return page


def hold_for_all(page: Page, instrument: str) -> None:
    """What is the same for all values."""
    page.get_by_label("Instrument").fill(instrument)
    page.get_by_label("Source").fill("chassis S4T/L1002")


def test_values_typed_together_are_written_together_and_nonsense_is_kept(car):
    car.get_by_role("link", name="Enter areas").click()
    hold_for_all(car, "tape, class II")
    areas = car.locator(INPUTS)
    areas.nth(0).fill("0.61")
    areas.nth(1).fill("a bit")
    car.get_by_role("button", name="Write them all").click()
    expect(car.get_by_role("alert")).to_contain_text("must be a number, not “a bit”")
    expect(areas.nth(0)).to_have_value("0.61")
    assert not Surface.objects.filter(area_m2=0.61, origin_instrument="tape, class II").exists()

    areas.nth(1).fill("0.37")
    car.get_by_role("button", name="Write them all").click()
    expect(car.get_by_text("2 values of surfaces written.")).to_be_visible()
    found = Surface.objects.filter(origin_instrument="tape, class II", origin_by="manager")
    assert sorted(found.values_list("area_m2", flat=True)) == [0.37, 0.61]


def test_what_was_typed_outlives_a_broken_connection(car):
    before = EngineTemperature.objects.count()
    car.get_by_role("link", name="Enter temperatures").click()
    hold_for_all(car, "thermocouple, type K")
    car.locator(INPUTS).first.fill("81.5")
    car.context.set_offline(True)
    car.get_by_role("button", name="Write them all").click()
    expect(car.get_by_text("Not sent: the connection is down.")).to_be_visible()
    expect(car.locator(INPUTS).first).to_have_value("81.5")
    car.context.set_offline(False)
    car.get_by_role("button", name="Write them all").click()
    expect(car.get_by_text("1 value of temperatures on the engine’s side written.")).to_be_visible()
    assert EngineTemperature.objects.count() == before + 1
    assert EngineTemperature.objects.latest("pk").temperature_c == 81.5


def test_a_charge_is_recorded_from_the_fitments_sheet(car, site):
    car.goto(f"{site.url}/fitments/S4-DASH/S4/CP12L/")
    car.get_by_role("link", name="Record a charge").click()
    car.get_by_label("Charge [g]", exact=True).fill("642")
    car.get_by_label("Kind").select_option("weighed")
    car.get_by_label("Source").fill("bench car, scale")
    car.get_by_role("button", name="Record the charge").click()
    expect(car.get_by_text("Charge recorded: 642 g.")).to_be_visible(timeout=SIZING_MS)
    assert ChargeRecord.objects.latest("pk").charge_g == 642


def test_the_survey_is_finished_with_a_reason(car):
    car.get_by_text("The survey is finished").first.click()
    car.get_by_label("Reason").fill("all but the floor measured; that is of a sister car")
    car.get_by_role("button", name="The survey is finished").click()
    expect(car.get_by_text("The survey is finished; it stands in the history")).to_be_visible()
    expect(car.locator("#survey")).not_to_contain_text("to be surveyed")
    assert not Variant.objects.get(code="TR6L").to_be_surveyed


def test_what_is_not_usual_is_asked_about_beside_its_input_and_written_when_it_is_meant(car):
    car.get_by_role("link", name="Enter areas").click()
    hold_for_all(car, "tape, class II")
    car.locator(INPUTS).nth(0).fill("14")
    car.get_by_role("button", name="Write them all").click()
    expect(car.get_by_role("alert")).to_contain_text("is 14 m²; usual are 0.005 to 12 m².")
    expect(car.locator(INPUTS).nth(0)).to_have_value("14")
    assert not Surface.objects.filter(area_m2=14).exists()
    box = car.get_by_role("checkbox", name="It is as I meant it")
    assert box.bounding_box()["width"] < 40, "a box to tick, not an input of numbers"
    box.check()
    car.get_by_role("button", name="Write them all").click()
    expect(car.get_by_text("1 value of surfaces written.")).to_be_visible()
    assert Surface.objects.filter(area_m2=14).exists()
