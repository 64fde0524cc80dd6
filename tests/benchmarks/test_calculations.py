"""The page of calculations with every topic of a fitment stays under 200 ms. Run by `make benchmark`."""

import pytest

from kits.fitment.models import Fitment
from tests.benchmarks.test_pages import time_it
from tests.kits.conftest import demonstration, first_line, world  # noqa: F401 - fixtures
from tests.kits.fitment.answers import store

KEY = ("S4-DASH", "S4", "TR12L")
pytestmark = [pytest.mark.benchmark, pytest.mark.django_db]


def test_a_full_record(benchmark, demonstration, world, owner_client):  # noqa: F811 - fixtures
    store(Fitment.objects.get(kit__code=KEY[0], variant__code=KEY[2]), world.records[KEY])
    time_it(benchmark, owner_client, f"/fitments/{'/'.join(KEY)}/calculations/")
