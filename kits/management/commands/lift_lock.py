"""manage.py lift_lock: let somebody sign in again at once."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from kits.people.signing.actions import lift_locks
from vehicles.records.access import CONSOLE


class Command(BaseCommand):
    """Lift the locks of a name, or all of them."""

    help = (
        "Lift the locks that too many wrong passwords of a name made; --all lifts those of addresses as well."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """The name, or all."""
        parser.add_argument("name", nargs="?", default="")
        parser.add_argument(
            "--all", action="store_true", help="every lock that holds, those of addresses too"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Lift them and say how many there were."""
        if bool(options["name"]) == options["all"]:
            raise CommandError("Give either a name or --all.")
        count = lift_locks(actor=CONSOLE, name=options["name"])
        self.stdout.write(
            f"{count} lock{'' if count == 1 else 's'} lifted." if count else "No such lock holds now."
        )
