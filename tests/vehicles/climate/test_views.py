"""The page of duty points: what is there, where it is changed, and what an empty one says."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from vehicles.climate.models import DutyPoint, DutySet, DutySetPoint, Site

pytestmark = pytest.mark.django_db
ADDRESS = "/duty-points/"


def point(code, **values):
    return DutyPoint.objects.create(
        code=code, name=f"Point {code}", kind="cruise", outside_c=35, relative_humidity=0.4, engine_state="cruise",
        air_mode="recirculated", target_c=25, **values,
    )  # fmt: skip


@pytest.fixture
def stored():
    coast = Site.objects.create(
        code="coast", name="Slate <coast>", latitude_deg=52.5, longitude_deg=-4, utc_offset_h=0
    )
    coast.design_states.create(
        month=7, dry_bulb_max_c=27.5, daily_range_k=9, humidity_kg_kg=0.0105, beam_tau=0.42, diffuse_tau=2.2
    )
    summer = DutySet.objects.create(code="summer", name="Summer")
    fixed = point("fixed", beam_normal_w_m2=850, diffuse_horizontal_w_m2=110, sun_altitude_deg=60)
    DutySetPoint.objects.create(duty_set=summer, duty_point=fixed)
    at_site = point("at-site", site=coast, month=7, hour_h=15)
    DutySetPoint.objects.create(duty_set=summer, duty_point=at_site, required=False)


def text_of(client):
    answer = client.get(ADDRESS)
    assert answer.status_code == 200
    return answer.content.decode()


def test_points_sets_and_sites_are_told_with_their_units(clients, stored):
    text = text_of(clients["owner"])
    assert "beam 850 W/m², sky 110 W/m², 60° high" in text
    assert ">Slate &lt;coast&gt;</a>, month 7, 15 h" in text
    assert "20 % while estimated, 10 % once a trial" in text
    assert "27.5" in text
    assert "change" not in text.split("<main")[1].split("A change here")[1]


def test_a_manager_comes_to_the_form_of_each_row_and_back(clients, stored):
    text = text_of(clients["manager"])
    for sheet in ("duty-points", "duty-sets", "duty-set-points", "sites", "design-states"):
        links = [part.split('"')[0] for part in text.split('href="') if f"/{sheet}/?" in part.split('"')[0]]
        assert len(links) >= 2, sheet  # one to change, one to add
        for link in links:
            assert clients["manager"].get(link.replace("&amp;", "&")).status_code == 200, link


def test_empty_it_says_what_to_do_first(clients):
    text = text_of(clients["manager"])
    assert "Import the workbook of a model line, or add the first one here" in text
    assert "No site yet" in text


def test_its_queries_do_not_grow_with_the_rows(clients, stored):

    clients["owner"].get(ADDRESS)
    with CaptureQueriesContext(connection) as few:
        clients["owner"].get(ADDRESS)
    for number in range(5):
        site = Site.objects.create(
            code=f"s{number}", name="S", latitude_deg=0, longitude_deg=0, utc_offset_h=0
        )
        new = point(f"p{number}", site=site, month=1, hour_h=12)
        DutySetPoint.objects.create(duty_set=DutySet.objects.get(), duty_point=new)
    with CaptureQueriesContext(connection) as many:
        clients["owner"].get(ADDRESS)
    assert len(many) == len(few)
