"""A site with rows and files, whose database several processes can share, and a shelf for its backups."""

import pytest
from django.utils import timezone

from kits.files.actions import keep
from tests import snapshot


@pytest.fixture
def folders(settings, tmp_path):
    """The site's own folders, empty."""
    settings.FILES_DIR, settings.BACKUP_DIR = tmp_path / "files", tmp_path / "backups"
    settings.FILES_DIR.mkdir()


@pytest.fixture
def site(file_database, folders, first_line):
    """The first line of the demonstration, and three files with their rows."""
    snapshot.put_back(first_line)
    return [keep(f"paper {number}".encode() * 1000, timezone.now()) for number in range(3)]
