"""The migrations make the tables that the models describe; every other test takes them from the models."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


def tables(made_by):
    ran = subprocess.run(
        [sys.executable, "-m", "tests.migrations.schema", made_by],
        cwd=ROOT, capture_output=True, text=True, timeout=300, check=False,
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr[-2000:]
    return json.loads(ran.stdout)


@pytest.mark.django_db
def test_the_migrations_make_the_tables_of_the_models():
    migrated, described = tables("migrations"), tables("models")
    assert sorted(migrated) == sorted(described)
    assert len(migrated) > 90
    differing = {name for name in migrated if migrated[name] != described[name]}
    assert {name: (migrated[name], described[name]) for name in differing} == {}
