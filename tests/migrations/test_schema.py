"""The migrations make the tables that the models describe; every other test takes them from the models."""

import json

import pytest

from tests.migrations.processes import printed


@pytest.mark.django_db
def test_the_migrations_make_the_tables_of_the_models():
    migrated, described = (json.loads(printed("schema", made_by)) for made_by in ("migrations", "models"))
    assert sorted(migrated) == sorted(described)
    assert len(migrated) > 90
    differing = {name for name in migrated if migrated[name] != described[name]}
    assert {name: (migrated[name], described[name]) for name in differing} == {}
