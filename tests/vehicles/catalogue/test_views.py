"""The list of vehicles and a vehicle's page."""

import pytest

from tests.kits.fitment.pages import main_text, text
from tests.vehicles.catalogue.cars import HOSTILE, make_cars
from vehicles.catalogue.models import Variant
from vehicles.templatetags.quantities import terms


def test_without_vehicles_the_page_says_what_to_do_first(manager_client, owner_client):
    assert "Import a workbook" in text(manager_client.get("/vehicles/"))
    assert "A manager imports" in text(owner_client.get("/vehicles/"))


@pytest.mark.usefixtures("demonstration_here")
def test_vehicles_are_found_by_option_and_line(owner_client):
    page = text(owner_client.get("/vehicles/?text=left-hand+coup%C3%A9&line=S4"))
    assert "CP12L" in page
    assert "CP12R" not in page


@pytest.mark.usefixtures("demonstration_here")
def test_a_vehicle_shows_cabin_surfaces_and_powertrain_with_units_and_origin(owner_client):
    page = text(owner_client.get("/vehicles/S4/CP12L/"))
    cabin = Variant.objects.get(code="CP12L").cabin
    glass = cabin.surfaces.filter(kind="glass").first()
    numbers = f"{glass.area_m2:.2f} {glass.tilt_deg:.0f} {glass.facing_deg:.0f} {glass.u_w_m2k:.2f}"
    for words in (
        f"Volume {cabin.volume_m3:.2f} m³",
        f"{glass.name} glass outside air and sun {terms(glass.terms.all())} {numbers}",
        f"{glass.origin_kind} Source {glass.origin_source}",
        "Hot idle 760 rpm",
        "steering left",
    ):
        assert words in page


@pytest.mark.usefixtures("demonstration_here")
def test_a_manager_is_told_how_to_change_it(manager_client, installer_client):
    assert "export the workbook of S4" in text(manager_client.get("/vehicles/S4/CP12L/"))
    assert "export the workbook" not in text(installer_client.get("/vehicles/S4/CP12L/"))


def test_an_unknown_vehicle_is_not_found(owner_client):
    assert owner_client.get("/vehicles/S4/NONE/").status_code == 404


@pytest.fixture
def cars(db) -> None:
    make_cars()


@pytest.mark.usefixtures("cars")
def test_the_list_is_for_every_role_and_for_nobody_else(clients):
    answers = {name: client.get("/vehicles/") for name, client in clients.items()}
    told = {name for name, answer in answers.items() if "Coupé left" in answer.content.decode()}
    assert told == {"manager", "production", "installer", "owner"}
    assert answers["stranger"].status_code == 403
    assert "Your account has no role yet" in text(answers["stranger"])
    assert (answers["anonymous"].status_code, answers["anonymous"]["Location"].split("?")[0]) == (
        302,
        "/sign-in/",
    )


@pytest.mark.usefixtures("cars")
def test_only_who_may_export_is_offered_the_workbook_and_only_a_manager_a_copy(clients):
    pages = {name: text(clients[name].get("/vehicles/")) for name in ("manager", "owner", "installer")}
    assert {name for name, page in pages.items() if "Export Solenne S4" in page} == {"manager", "owner"}
    assert {name for name, page in pages.items() if "New line from this one" in page} == {"manager"}


@pytest.mark.usefixtures("cars")
def test_the_list_only_reads(owner_client):
    assert owner_client.post("/vehicles/").status_code == 405
    assert owner_client.head("/vehicles/").content == b""


@pytest.mark.usefixtures("cars")
def test_one_car_many_and_none_are_shown(owner_client):
    pages = {q: owner_client.get(f"/vehicles/?text={q}") for q in ("tourer", "left", "zzzz")}
    assert {q: page.context["table"].paginator.count for q, page in pages.items()} == {
        "tourer": 1, "left": 3, "zzzz": 0,
    }  # fmt: skip
    assert "left-hand drive, open tourer" in main_text(pages["tourer"])
    assert "to be surveyed" in main_text(pages["tourer"]).split("Variant", 1)[1]
    assert "No vehicle matches these filters." in text(pages["zzzz"])


@pytest.mark.usefixtures("cars")
def test_hostile_text_is_shown_as_it_was_typed_and_does_nothing(owner_client):
    answer = owner_client.get("/vehicles/", {"text": HOSTILE, "sort": HOSTILE, "page": HOSTILE})
    assert HOSTILE not in answer.content.decode()
    assert "&lt;script&gt;" in answer.content.decode()
    assert answer.context["table"].paginator.count == 1
    assert len(answer.context["table"].notices) == 2
