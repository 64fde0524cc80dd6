"""manage.py check_files: compare the folder of files with the rows that name them."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError

from kits.files.models import File
from kits.files.queries import differences


class Command(BaseCommand):
    """Say what is missing, what has other bytes, and what belongs to no row."""

    help = "Compare the files in KITWRIGHT_FILES_DIR with the rows that name them; nothing is changed."

    def handle(self, *args: Any, **options: Any) -> None:
        """Read every file."""
        found = differences()
        for sentence in found:
            self.stderr.write(sentence)
        if found:
            raise CommandError(f"{len(found)} difference{'' if len(found) == 1 else 's'} found.")
        count = File.objects.count()
        self.stdout.write(f"{count} file{'' if count == 1 else 's'}, each as it was put there.")
