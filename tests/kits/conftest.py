"""What tests of several subjects start from."""

import pytest
from django.db import connection, transaction

from kits.exchange.actions import DEMONSTRATIONS, import_demonstration
from tests import snapshot
from tests.kept import kept
from tests.kits.exchange.demonstration.made_apart import made_apart
from tests.kits.exchange.demonstration.world import World


@pytest.fixture(scope="session")
def in_passing(request):
    """Call a function that fills the database; what it wrote is gone when it has answered."""

    def run(make):
        request.getfixturevalue("django_db_setup")
        with request.getfixturevalue("django_db_blocker").unblock(), transaction.atomic():
            made = make()
            transaction.set_rollback(True)
        return made

    return run


@pytest.fixture(scope="session")
def first_line(in_passing):
    """The rows of the first line of the demonstration, as the importer writes them."""

    def load():
        import_demonstration(books=DEMONSTRATIONS[:1])
        return snapshot.take()

    return kept(f"first_line_{connection.vendor}", lambda: in_passing(load))


@pytest.fixture
def demonstration(manager, first_line) -> None:
    """The first line of the demonstration, as imported; nothing is sized."""
    snapshot.put(first_line)


@pytest.fixture(scope="session")
def world() -> World:
    """The whole demonstration as plain values, imported and sized; who reads it needs no database."""
    return kept("world", made_apart)
