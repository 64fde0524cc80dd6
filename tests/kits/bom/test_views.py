"""The list of kits and a kit's page."""

import re
from html import unescape

import pytest

from kits.bom.models import Circuit, Entry, HoseRun, Kit, Position
from kits.bom.step_models import ReadingSpec
from kits.fitment.models import Fitment
from tests.kits.fitment.pages import text

pytestmark = pytest.mark.one_database


def test_without_kits_the_page_says_what_to_do_first(manager_client, installer_client):
    assert "Import a workbook" in text(manager_client.get("/kits/"))
    assert "A manager imports" in text(installer_client.get("/kits/"))


@pytest.mark.usefixtures("demonstration_here")
def test_the_list_counts_positions_and_vehicles(owner_client):
    positions = Position.objects.filter(kit__code="S4-DASH").count()
    cars = Fitment.objects.filter(kit__code="S4-DASH").count()
    assert positions > 50
    assert cars > 3
    assert f"S4-DASH S4 Dash kit R-134a PAG 46 {positions} {cars}" in text(owner_client.get("/kits/"))


@pytest.mark.usefixtures("demonstration_here")
def test_a_kit_shows_which_options_take_which_entry(owner_client):
    page = text(owner_client.get("/kits/S4-DASH/"))
    entry = Entry.objects.select_related("part").get(position__number=101, number=1)
    assert f"{entry.part.number} {entry.part.name} 1 set left any" in page
    assert "Entry Part Name Quantity steering body electrics" in page
    assert "101 Compressor bracket set exactly one; zone engine bay" in page


@pytest.mark.usefixtures("demonstration_here")
def test_a_kit_shows_joints_hoses_circuits_routes_and_steps_with_anchors_for_findings(owner_client):
    answer = owner_client.get("/kits/S4-DASH/")
    page, body = text(answer), answer.content.decode()
    for words in ("J1 100 Compressor D 400 Discharge hose A", "400/1 DISCHARGE LHD DIS-L", "hold point"):
        assert words in page
    run, circuit = (
        HoseRun.objects.select_related("position").first(),
        Circuit.objects.select_related("position").first(),
    )
    reading = ReadingSpec.objects.select_related("step").first()
    for anchor in (
        "entry-101-1", "joint-J1", f"hose-{run.position.number}-{run.number}", "route-DIS-L",
        f"circuit-{circuit.position.number}-{circuit.number}", f"step-{reading.step.key}",
        f"reading-{reading.step.key}-{reading.number}",
    ):  # fmt: skip
        assert body.count(f'id="{anchor}"') == 1, anchor


@pytest.mark.usefixtures("demonstration_here")
def test_only_a_manager_finds_links_to_change_and_each_of_them_opens(manager_client, installer_client):
    body = manager_client.get("/kits/S4-DASH/").content.decode()
    links = {re.search("/edit/[^/]+/([^/]+)/", link).group(1): unescape(link) for link in
             re.findall(r'href="(/edit/[^"]+)"', body)}  # fmt: skip
    assert {
        "kits",
        "offers",
        "positions",
        "joints",
        "hose-runs",
        "circuits",
        "harness-branches",
        "routes",
    } <= set(links)
    assert {kind: manager_client.get(link).status_code for kind, link in links.items()} == dict.fromkeys(
        links, 200
    )
    assert "/edit/" not in installer_client.get("/kits/S4-DASH/").content.decode()


@pytest.mark.usefixtures("demonstration_here")
def test_a_circuit_keeps_its_branch_in_its_form(manager_client):
    body = manager_client.get("/kits/S4-DASH/").content.decode()
    circuit = Circuit.objects.filter(branch__isnull=False).select_related("position", "branch").first()
    row = body[body.index(f'id="circuit-{circuit.position.number}-{circuit.number}"') :]
    form = manager_client.get(unescape(re.search(r'href="(/edit/[^"]+)"', row).group(1))).content.decode()
    chosen = re.search(r'<select name="row-branch".*?</select>', form, re.S).group(0)
    assert f'<option value="{circuit.branch.number}" selected' in chosen


@pytest.mark.usefixtures("demonstration_here")
def test_a_gap_is_marked_at_its_position_with_its_sentence(owner_client):
    Entry.objects.get(position__number=101, number=2).delete()
    body = owner_client.get("/kits/S4-DASH/").content.decode()
    head = body[body.index('id="position-101"') :]
    head = head[: head.index("</tr>")]
    assert "tag--blocks" in head and "gap" in head
    assert "Position 101 Compressor bracket set has no entry for a car with steering right" in head


def test_an_empty_kit_says_what_is_missing(manager_client, installer_client):
    Kit.objects.create(code="EMPTY", name="Nothing yet " * 9, refrigerant="R-134a", oil="PAG 46")
    page = text(manager_client.get("/kits/EMPTY/"))
    for words in ("No model line yet", "no positions yet", "No joints yet", "No steps yet", "Add a position"):
        assert words in page
    assert "Add a position" not in text(installer_client.get("/kits/EMPTY/"))


@pytest.mark.usefixtures("demonstration_here")
def test_a_finding_of_a_kit_leads_to_the_position(owner_client):
    page = owner_client.get("/kits/S4-DASH/").content.decode()
    assert 'href="#position-501"' in page
    assert 'id="position-501"' in page


@pytest.mark.usefixtures("demonstration_here")
def test_a_kit_page_takes_a_fixed_number_of_queries(owner_client, django_assert_max_num_queries):
    with django_assert_max_num_queries(80):
        assert owner_client.get("/kits/S4-DASH/").status_code == 200


def test_an_unknown_kit_is_not_found(owner_client):
    assert owner_client.get("/kits/NONE/").status_code == 404
