"""A cabin's row becomes the heat load's values: every number of the row that the load has a place for."""

import pytest

from vehicles.cabin.bridge import cabin_data
from vehicles.cabin.models import Cabin
from vehicles.catalogue.models import ModelLine

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("fresh_air_m3_h", [240.0, 0.0, None])
def test_the_cabins_own_numbers_are_passed_on(fresh_air_m3_h):
    cabin = Cabin.objects.create(
        line=ModelLine.objects.create(code="L", name="Line"), code="c1", name="Cabin", volume_m3=2.3,
        intake_rise_k=4.0, flap_leak_share=0.06, fresh_air_m3_h=fresh_air_m3_h,
    )  # fmt: skip
    data = cabin_data(cabin, {})
    told = (data.volume_m3, data.intake_rise_k, data.flap_leak_share, data.fresh_air_m3_h)
    assert told == (2.3, 4.0, 0.06, fresh_air_m3_h)
