"""Rows of duty points, sites and design states as plain values."""

import pytest

from tests.vehicles.climate.test_models import POINT, STATE
from vehicles.climate.bridge import climate_state, site_hour
from vehicles.heatload.missing import _in_climate
from vehicles.models import DesignState, DutyPoint, Site
from vehicles.physics.design_day import sun_of_day
from vehicles.physics.origin import Kind

pytestmark = pytest.mark.django_db


@pytest.fixture
def site() -> Site:
    made = Site.objects.create(
        code="flats", name="Flats", latitude_deg=24.6, longitude_deg=46.5, utc_offset_h=3.0, altitude_m=600.0,
        ground_reflectance=0.3, origin_kind="data sheet", origin_source="a map",
    )  # fmt: skip
    DesignState.objects.create(site=made, **STATE | {"month": 6, "day": 20})
    DesignState.objects.create(site=made, **STATE)
    return made


def at(site: Site, **values: object) -> DutyPoint:
    return DutyPoint.objects.create(**{**POINT, "site": site, "month": 7, "hour_h": 14.0, **values})


def test_a_fixed_sun_stays_as_it_stands() -> None:
    state = climate_state(DutyPoint(**POINT, beam_normal_w_m2=800.0, sun_altitude_deg=50.0))
    assert (state.beam_normal_w_m2, state.sun_altitude_deg) == (800.0, 50.0)
    assert state.at_site is None
    assert state.ground_reflectance == 0.2


def test_the_sun_of_a_site_is_that_of_its_day_and_hour(site: Site) -> None:
    state = climate_state(at(site))
    day = state.at_site.design_day
    assert (day.month, day.day, day.beam_tau, day.site.altitude_m) == (7, 21, 0.41, 600.0)
    sun = sun_of_day(day, 14.0)
    assert state.beam_normal_w_m2 == sun.beam_normal_w_m2 > 500
    assert state.diffuse_horizontal_w_m2 == sun.diffuse_horizontal_w_m2 > 50
    assert state.sun_altitude_deg == sun.altitude_deg > 50
    assert state.ground_reflectance == 0.3
    # the air outside stays the duty point's own
    assert (state.outside_c, state.rh, state.altitude_m) == (30.0, 0.4, 0.0)


def test_the_day_is_the_points_own_or_that_of_the_design_state(site: Site) -> None:
    assert site_hour(at(site, month=6)).design_day.day == 20
    assert site_hour(at(site, code="q", month=6, day=2)).design_day.day == 2


def test_origins_come_along(site: Site) -> None:
    day = site_hour(at(site)).design_day
    assert (day.site.origin.kind, day.site.origin.source) == (Kind.DATA_SHEET, "a map")
    assert day.origin.kind is Kind.ESTIMATE


def test_a_month_without_a_design_state_is_missing_and_said_once(site: Site) -> None:
    state = climate_state(at(site, month=1))
    assert state.beam_normal_w_m2 is None
    found = [m.sentence for m in _in_climate(state)]
    assert found == ["Flats has no design state of month 1: the sun there is not known."]


def test_at_night_the_point_has_no_sun_and_lacks_nothing(site: Site) -> None:
    state = climate_state(at(site, hour_h=2.0))
    assert (state.beam_normal_w_m2, state.diffuse_horizontal_w_m2) == (0.0, 0.0)
    assert state.sun_altitude_deg < 0
    assert list(_in_climate(state)) == []


def test_a_point_without_a_site_has_no_hour_there() -> None:
    with pytest.raises(ValueError, match="no site"):
        site_hour(DutyPoint(**POINT))
