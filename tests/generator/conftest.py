"""The real-size catalogue, made once for a module and rolled back after it."""

import pytest
from django.db import connection
from django.db.models.sql import compiler

from tests import snapshot
from tests.generator.catalogue import SMALL, make_catalogue
from tests.kept import kept


@pytest.fixture(scope="session")
def real_rows(in_passing):
    """The rows of 2,000 variants, 10 kits, 5,000 parts."""

    def make():
        make_catalogue()
        return snapshot.take()

    return kept(f"real_size_{connection.vendor}", lambda: in_passing(make))


@pytest.fixture(scope="module")
def real_size(real_rows, module_rows):
    """2,000 variants, 10 kits, 5,000 parts."""
    snapshot.put(real_rows)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")


@pytest.fixture
def small_size(db):
    """The same by a thirtieth."""
    make_catalogue(SMALL)


@pytest.fixture
def fetched(monkeypatch):
    """A list to which every batch of rows that the ORM fetches adds its length."""
    lengths: list[int] = []
    original = compiler.cursor_iter

    def counted(*arguments):
        for rows in original(*arguments):
            lengths.append(len(rows))
            yield rows

    monkeypatch.setattr(compiler, "cursor_iter", counted)
    return lengths
