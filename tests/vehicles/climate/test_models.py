"""A duty point has one sun: fixed, or of a site with month and hour. The database holds it."""

import pytest
from django.db import IntegrityError, transaction

from vehicles.models import DesignState, DutyPoint, Site

pytestmark = pytest.mark.django_db

POINT = {
    "code": "p", "name": "Point", "kind": "cruise", "outside_c": 30.0, "relative_humidity": 0.4,
    "engine_state": "cruise", "air_mode": "recirculated", "target_c": 25.0,
}  # fmt: skip
STATE = {
    "month": 7, "dry_bulb_max_c": 27.0, "daily_range_k": 8.0, "humidity_kg_kg": 0.011, "beam_tau": 0.41,
    "diffuse_tau": 2.3,
}  # fmt: skip


@pytest.fixture
def site() -> Site:
    return Site.objects.create(
        code="coast", name="Coast", latitude_deg=52.0, longitude_deg=-4.0, utc_offset_h=0.0
    )


def refused(model: type, **values: object) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        model.objects.create(**values)


def test_a_duty_point_takes_its_sun_from_a_site_or_as_it_stands(site: Site) -> None:
    DutyPoint.objects.create(**POINT, site=site, month=7, hour_h=14.0)
    DutyPoint.objects.create(**POINT | {"code": "q"}, site=site, month=2, day=28, hour_h=0.0)
    DutyPoint.objects.create(**POINT | {"code": "r"}, beam_normal_w_m2=800.0, sun_altitude_deg=50.0)
    DutyPoint.objects.create(**POINT | {"code": "s"})
    assert DutyPoint.objects.count() == 4


@pytest.mark.parametrize(
    "values",
    [
        {"beam_normal_w_m2": 800.0},
        {"diffuse_horizontal_w_m2": 80.0},
        {"sun_altitude_deg": 50.0},
        {"month": None},
        {"hour_h": None},
        {"month": 13},
        {"month": 0},
        {"hour_h": 24.5},
        {"day": 0},
        {"day": 32},
        {"month": 6, "day": 31},
        {"month": 2, "day": 29},
    ],
    ids=str,
)
def test_a_duty_point_at_a_site_is_refused(site: Site, values: dict[str, object]) -> None:
    refused(DutyPoint, **(POINT | {"site": site, "month": 7, "hour_h": 14.0} | values))


@pytest.mark.parametrize("values", [{"month": 7}, {"hour_h": 14.0}, {"day": 21}], ids=str)
def test_without_a_site_there_is_no_date_and_hour(values: dict[str, object]) -> None:
    refused(DutyPoint, **(POINT | values))


@pytest.mark.parametrize(
    "values",
    [
        {"latitude_deg": 90.1},
        {"latitude_deg": -91.0},
        {"longitude_deg": 181.0},
        {"utc_offset_h": 15.0},
        {"altitude_m": 9000.0},
        {"ground_reflectance": 1.1},
        {"code": "COAST"},
    ],
    ids=str,
)
def test_a_site_is_on_earth_and_has_its_code_once(site: Site, values: dict[str, object]) -> None:
    good = {"code": "x", "name": "X", "latitude_deg": 1.0, "longitude_deg": 1.0, "utc_offset_h": 1.0}
    refused(Site, **(good | values))


@pytest.mark.parametrize(
    "values",
    [
        {"month": 13},
        {"month": 4, "day": 31},
        {"dry_bulb_max_c": 75.0},
        {"daily_range_k": -1.0},
        {"humidity_kg_kg": 0.1},
        {"beam_tau": 0.0},
        {"diffuse_tau": 0.0},
    ],
    ids=str,
)
def test_a_design_state_is_believable(site: Site, values: dict[str, object]) -> None:
    refused(DesignState, site=site, **(STATE | values))


def test_a_site_has_one_design_state_a_month(site: Site) -> None:
    state = DesignState.objects.create(site=site, **STATE)
    assert state.day == 21
    DesignState.objects.create(site=site, **STATE | {"month": 8})
    refused(DesignState, site=site, **STATE)
