"""A small line in a database of its own, and two managers."""

import pytest
from django.contrib.auth.models import Group, User

from tests import snapshot
from tests.kits.concurrency.databases import another, used
from tests.kits.concurrency.people import TWO_WAYS
from tests.kits.exchange.books import load
from tests.kits.exchange.rows import made_workbook
from vehicles.records.access import MANAGER


@pytest.fixture(scope="session")
def small_line(django_db_setup, django_db_blocker, tmp_path_factory):
    """A database with the made-up line and two managers: its name and its rows."""
    with django_db_blocker.unblock(), another(tmp_path_factory.mktemp("databases")) as name:
        with used(name):
            load(made_workbook())
            managers = Group.objects.get_or_create(name=MANAGER)[0]
            for person in ("one", "other"):
                User.objects.create_user(username=person).groups.add(managers)
            rows = snapshot.take()
        yield name, rows


@pytest.fixture(autouse=True)
def shared(small_line, db):
    """The database that all people of the test share, as it was at first; the usual one stands by."""
    name, rows = small_line
    with used(name):
        snapshot.put_back(rows)
        yield


@pytest.fixture
def one(shared):
    """A manager."""
    return User.objects.get(username="one")


@pytest.fixture
def other(shared):
    """Another manager."""
    return User.objects.get(username="other")


@pytest.fixture(params=TWO_WAYS, ids=lambda way: way.__name__)
def together(request):
    """How two acts overlap: both before their lock, or one while the other holds its transaction open."""
    return request.param
