"""manage.py backup: the database and the files of the site in a dated folder."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from kits.config.backup.label import BY_HAND, NotBackedUp, printable
from kits.config.backup.making import make_backup


class Command(BaseCommand):
    """The command backup."""

    help = (
        "Back up database and files into a new dated folder, while the site runs; says where and how large."
    )

    def add_arguments(self, parser: CommandParser) -> None:
        """Where to."""
        parser.add_argument(
            "--to", type=Path, metavar="FOLDER",
            help="make the dated folder in this one; default KITWRIGHT_BACKUP_DIR",
        )  # fmt: skip

    def handle(self, *args: Any, **options: Any) -> None:
        """Make it."""
        shelf: Path | None = options["to"]
        try:
            made = make_backup(made_by=BY_HAND, shelf=shelf.resolve() if shelf else None)
        except NotBackedUp as problem:
            raise CommandError(printable(str(problem))) from None
        self.stdout.write(printable(made.sentence))
