"""manage.py restore: put a backup back in the place of what is there."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from kits.config.backup.label import NotRestored, printable
from kits.config.backup.restoring import checked, restore


class Command(BaseCommand):
    """The command restore."""

    help = (
        "Check a backup, back up what is there now, and put the backup in its place. The site has to be stopped. "
        "Files that are missing are put back, none is removed."
    )
    # a database that is damaged or empty can't be asked
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        """Which one, and what may be left out."""
        parser.add_argument("place", type=Path, help="the dated folder of the backup")
        parser.add_argument("--check", action="store_true", help="only check it and say what it holds")
        parser.add_argument(
            "--without-backup", action="store_true",
            help="don't back up what is there now: it is damaged, or not worth keeping",
        )  # fmt: skip

    def handle(self, *args: Any, **options: Any) -> None:
        """Check, tell, restore."""
        try:
            backup = checked(options["place"].resolve())
            self._say(backup.sentence)
            if not options["check"]:
                restore(backup, self._say, backs_up=not options["without_backup"])
                self.stdout.write("Start the site again.")
        except NotRestored as problem:
            raise CommandError(printable(str(problem))) from None

    def _say(self, sentence: str) -> None:
        self.stdout.write(printable(sentence))
