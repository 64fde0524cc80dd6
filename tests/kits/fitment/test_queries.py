"""What a fitment's page fetches."""

import pytest

from kits.fitment.models import Fitment, RouteLength
from kits.fitment.queries import fitment_sheet
from tests.kits.fitment.conftest import ON

pytestmark = pytest.mark.django_db


def test_the_lengths_of_a_route_stand_with_the_newest_first(demonstration):
    fitment = Fitment.objects.get(variant__code="CP12L")
    first = fitment.route_lengths.first()
    before = {row.pk for row in fitment.route_lengths.filter(route=first.route)}
    for length_mm in (1510.0, 1490.0, 1500.0):
        RouteLength.objects.create(
            fitment=fitment, route=first.route, length_mm=length_mm, cars_count=1, origin_kind="measured",
            origin_source="bench car", origin_on=ON,
        )  # fmt: skip
    sheet = fitment_sheet(fitment.kit.code, fitment.variant.line.code, fitment.variant.code, ON)
    assert sheet is not None
    told = sheet.lengths[first.route.code]
    assert [row.length_mm for row in told[:3]] == [1500.0, 1490.0, 1510.0]
    assert {row.pk for row in told[3:]} == before
