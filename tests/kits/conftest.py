"""What tests of several subjects start from."""

from collections.abc import Iterator

import pytest
from django.db import connection

from kits.exchange.actions import DEMONSTRATIONS, import_demonstration
from kits.fitment.calculations.queries import forget
from tests import snapshot
from tests.kept import kept
from tests.kits.concurrency.databases import another, used
from tests.kits.exchange.demonstration.made_apart import made_apart
from tests.kits.exchange.demonstration.world import World


def imported(in_passing, name, books):
    """The rows that the importer makes of workbooks."""

    def load():
        import_demonstration(books=books)
        return snapshot.take()

    return kept(f"{name}_{connection.vendor}", lambda: in_passing(load))


@pytest.fixture(scope="session")
def first_line(in_passing):
    """The rows of the first line of the demonstration."""
    return imported(in_passing, "first_line", DEMONSTRATIONS[:1])


@pytest.fixture(scope="session")
def every_line(in_passing):
    """The rows of the whole demonstration."""
    return imported(in_passing, "every_line", DEMONSTRATIONS)


@pytest.fixture(scope="module")
def first_line_in_module(first_line, module_rows) -> None:
    """The first line of the demonstration under all tests of a file; what each of them changes is taken back."""
    snapshot.put(first_line)


@pytest.fixture
def demonstration(manager, first_line_in_module) -> None:
    """The first line of the demonstration, as imported; nothing is sized.

    Who asks for it in one test of a file has it under all of them: where others start from an empty workshop, take
    `demonstration_here`.
    """


@pytest.fixture
def demonstration_here(manager, first_line) -> None:
    """The same under this test alone."""
    snapshot.put(first_line)


@pytest.fixture(scope="session")
def world() -> World:
    """The whole demonstration as plain values, imported and sized; who reads it needs no database."""
    return kept("world", made_apart)


@pytest.fixture(autouse=True)
def calculations_afresh() -> Iterator[None]:
    """Nothing that was worked out for another test: its rows may bear the same numbers and times."""
    yield
    forget()


@pytest.fixture(scope="session")
def empty_file(django_db_setup, django_db_blocker, tmp_path_factory):
    """The name of a database that several processes can share."""
    with django_db_blocker.unblock(), another(tmp_path_factory.mktemp("files"), "file") as name:
        yield name


@pytest.fixture
def file_database(empty_file, db) -> None:
    """Such a database under this test, empty at first."""
    with used(empty_file):
        snapshot.put_back({})
        yield
