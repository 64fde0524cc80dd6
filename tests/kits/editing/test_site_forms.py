"""Sites, design states and the sun of a duty point as people type them on screen."""

import pytest
from django.urls import reverse

from kits.exchange.models import RowChange
from tests.kits.editing.test_views import address, form_of
from vehicles.models import DesignState, DutyPoint, Site

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demonstration")]


def test_a_site_and_its_design_state_are_added_and_stand_in_the_history(manager_client):
    new_site = reverse("edit-row", args=["-", "sites"])
    fields = form_of(manager_client.get(new_site))
    assert fields["row-ground_reflectance"] == "0.2"
    fields |= {"row-code": "salt-lake", "row-name": "Salt lake", "row-latitude_deg": "-21.5",
               "row-longitude_deg": "121", "row-utc_offset_h": "8"}  # fmt: skip
    assert manager_client.post(new_site, fields).status_code == 302
    new_state = f"{reverse('edit-row', args=['-', 'design-states'])}?site=salt-lake&month=1"
    fields = form_of(manager_client.get(new_state))
    assert (fields["row-site"], fields["row-month"], fields["row-day"]) == ("salt-lake", "1", "21")
    fields |= {"row-dry_bulb_max_c": "41", "row-daily_range_k": "13", "row-humidity_kg_kg": "0.01",
               "row-beam_tau": "0.4", "row-diffuse_tau": "2.2"}  # fmt: skip
    assert manager_client.post(new_state, fields).status_code == 302
    made = DesignState.objects.get(site__code="salt-lake")
    assert (made.month, made.day, made.site.latitude_deg) == (1, 21, -21.5)
    assert {"Sites", "Design states"} <= set(RowChange.objects.values_list("sheet", flat=True))


def test_a_fixed_sun_and_a_site_together_are_refused_beside_the_field(manager_client):
    where = address("duty-points", ("cruise-35",), line="-")
    fields = form_of(manager_client.get(where)) | {
        "row-site": "slate-coast", "row-month": "7", "row-hour_h": "14",
    }  # fmt: skip
    answer = manager_client.post(where, fields)
    assert answer.status_code == 422
    assert "The sun comes from the site" in answer.content.decode()
    fields |= {
        f"row-{name}": "0" for name in ("beam_normal_w_m2", "diffuse_horizontal_w_m2", "sun_altitude_deg")
    }
    without_hour = manager_client.post(where, fields | {"row-hour_h": ""})
    assert "A site needs month and hour" in without_hour.content.decode()
    assert manager_client.post(where, fields).status_code == 302
    assert DutyPoint.objects.get(code="cruise-35").site.code == "slate-coast"


def test_a_place_off_the_earth_is_refused(manager_client):
    where = address("sites", ("slate-coast",), line="-")
    fields = form_of(manager_client.get(where)) | {"row-latitude_deg": "91"}
    answer = manager_client.post(where, fields)
    assert answer.status_code == 422
    assert "at least -90 and at most 90" in answer.content.decode()
    assert Site.objects.get(code="slate-coast").latitude_deg == 52.4


@pytest.mark.parametrize(
    ("longitude", "offset", "said"),
    [("121", "-8", "−8 h does not go with longitude +121°"), ("-71", "8", "sun is at −4.7 h"), ("15", "5", "+5 h")],
)  # fmt: skip
def test_a_clock_that_is_far_from_the_sites_sun_is_refused_beside_its_field(
    manager_client, longitude, offset, said
):
    where = address("sites", ("slate-coast",), line="-")
    fields = form_of(manager_client.get(where))
    answer = manager_client.post(where, fields | {"row-longitude_deg": longitude, "row-utc_offset_h": offset})
    form = answer.context["form"]
    assert answer.status_code == 422 and said in f"{form.errors['utc_offset_h']}"
    assert Site.objects.get(code="slate-coast").utc_offset_h == float(fields["row-utc_offset_h"])


@pytest.mark.parametrize(("longitude", "offset"), [("-157", "14"), ("179", "-12"), ("76", "8"), ("-9", "1")])
def test_real_zones_off_their_meridian_and_beyond_the_date_line_are_taken(manager_client, longitude, offset):
    where = address("sites", ("slate-coast",), line="-")
    fields = form_of(manager_client.get(where))
    fields |= {"row-longitude_deg": longitude, "row-utc_offset_h": offset}
    assert manager_client.post(where, fields).status_code == 302
