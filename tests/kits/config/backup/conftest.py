"""A site with rows and files, whose database several processes can share, and a shelf for its backups."""

import pytest
from django.db import connection
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from django.utils import timezone

from kits.files.actions import keep
from tests import snapshot


@pytest.fixture
def folders(settings, tmp_path):
    """The site's own folders, empty."""
    settings.FILES_DIR, settings.BACKUP_DIR = tmp_path / "files", tmp_path / "backups"
    settings.FILES_DIR.mkdir()


@pytest.fixture
def migrated(file_database, settings):
    """Every migration of this code is noted as applied, as `migrate` leaves it; tests make tables without them."""
    settings.MIGRATION_MODULES = {}
    recorder = MigrationRecorder(connection)
    recorder.ensure_schema()
    names = MigrationLoader(None, ignore_no_migrations=True).disk_migrations
    recorder.migration_qs.bulk_create([recorder.Migration(app=app, name=name) for app, name in names])
    yield
    with connection.cursor() as cursor:
        cursor.execute("DROP TABLE IF EXISTS django_migrations")


@pytest.fixture
def site(migrated, folders, first_line):
    """The first line of the demonstration, and three files with their rows."""
    snapshot.put_back(first_line)
    return [keep(f"paper {number}".encode() * 1000, timezone.now()) for number in range(3)]
