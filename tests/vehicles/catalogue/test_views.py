"""The list of vehicles and a vehicle's page."""

import pytest

from tests.kits.fitment.pages import text
from vehicles.catalogue.models import Variant
from vehicles.templatetags.quantities import terms


def test_without_vehicles_the_page_says_what_to_do_first(manager_client, owner_client):
    assert "Import a workbook" in text(manager_client.get("/vehicles/"))
    assert "A manager imports" in text(owner_client.get("/vehicles/"))


@pytest.mark.usefixtures("demonstration")
def test_vehicles_are_found_by_option_and_line(owner_client):
    page = text(owner_client.get("/vehicles/?text=left-hand+coup%C3%A9&line=S4"))
    assert "CP12L" in page
    assert "CP12R" not in page


@pytest.mark.usefixtures("demonstration")
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


@pytest.mark.usefixtures("demonstration")
def test_a_manager_is_told_how_to_change_it(manager_client, installer_client):
    assert "export the workbook of S4" in text(manager_client.get("/vehicles/S4/CP12L/"))
    assert "export the workbook" not in text(installer_client.get("/vehicles/S4/CP12L/"))


def test_an_unknown_vehicle_is_not_found(owner_client):
    assert owner_client.get("/vehicles/S4/NONE/").status_code == 404
