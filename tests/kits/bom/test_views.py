"""The list of kits and a kit's page."""

import pytest

from kits.bom.models import Entry, Position
from kits.fitment.models import Fitment
from tests.kits.fitment.pages import text


def test_without_kits_the_page_says_what_to_do_first(manager_client, installer_client):
    assert "Import a workbook" in text(manager_client.get("/kits/"))
    assert "A manager imports" in text(installer_client.get("/kits/"))


@pytest.mark.usefixtures("demonstration")
def test_the_list_counts_positions_and_vehicles(owner_client):
    positions = Position.objects.filter(kit__code="S4-DASH").count()
    cars = Fitment.objects.filter(kit__code="S4-DASH").count()
    assert positions > 50
    assert cars > 3
    assert f"S4-DASH S4 Dash kit R-134a PAG 46 {positions} {cars}" in text(owner_client.get("/kits/"))


@pytest.mark.usefixtures("demonstration")
def test_a_kit_shows_positions_entries_terms_joints_steps_and_findings(owner_client):
    page = text(owner_client.get("/kits/S4-DASH/"))
    entry = Entry.objects.select_related("part").get(position__number=101, number=1)
    assert f"{entry.part.number} {entry.part.name} 1 set steering left" in page
    assert "Position 501 Supply harness has no entry for a car with electrics 6v, such as Coupé, 6 V" in page
    for words in ("exactly one; zone engine bay", "J1 100 Compressor D 400 Discharge hose A", "hold point"):
        assert words in page


@pytest.mark.usefixtures("demonstration")
def test_a_finding_of_a_kit_leads_to_the_position(owner_client):
    page = owner_client.get("/kits/S4-DASH/").content.decode()
    assert 'href="#position-501"' in page
    assert 'id="position-501"' in page


@pytest.mark.usefixtures("demonstration")
def test_a_kit_page_takes_a_fixed_number_of_queries(owner_client, django_assert_max_num_queries):
    with django_assert_max_num_queries(80):
        assert owner_client.get("/kits/S4-DASH/").status_code == 200


def test_an_unknown_kit_is_not_found(owner_client):
    assert owner_client.get("/kits/NONE/").status_code == 404
