"""What tests of several subjects start from."""

import pytest
from django.db import transaction

from kits.exchange.actions import DEMONSTRATIONS, import_demonstration
from tests import snapshot
from tests.kits.exchange.demonstration.world import load_world


@pytest.fixture(scope="session")
def first_line(django_db_setup, django_db_blocker):
    """The rows of the first line of the demonstration, loaded through the importer once a run."""
    with django_db_blocker.unblock(), transaction.atomic():
        import_demonstration(books=DEMONSTRATIONS[:1])
        rows = snapshot.take()
        transaction.set_rollback(True)
    return rows


@pytest.fixture
def demonstration(manager, first_line) -> None:
    """The first line of the demonstration, as imported; nothing is sized."""
    snapshot.put(first_line)


@pytest.fixture(scope="session")
def world(django_db_setup, django_db_blocker):
    """The whole demonstration, loaded through the importer and sized once a run, and rolled back."""
    with django_db_blocker.unblock(), transaction.atomic():
        loaded = load_world()
        transaction.set_rollback(True)
    return loaded
