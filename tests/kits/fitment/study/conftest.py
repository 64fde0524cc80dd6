"""The first line of the demonstration, and nothing kept from the test before."""

import pytest

from kits.fitment.models import Fitment
from kits.fitment.study import queries

HTMX = {"HTTP_HX_REQUEST": "true"}


@pytest.fixture(autouse=True)
def nothing_kept():
    """Tests put other rows under the same stamp, which a site never does."""
    queries.forget()
    yield
    queries.forget()


@pytest.fixture
def fitment(demonstration) -> Fitment:
    """A coupé whose every route is measured."""
    return Fitment.objects.get(variant__code="CP12L")


@pytest.fixture
def place(fitment) -> str:
    """The address of its sheet; a study stands under it."""
    return f"/fitments/{fitment.kit.code}/{fitment.variant.line.code}/{fitment.variant.code}/"
