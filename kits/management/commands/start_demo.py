"""manage.py start_demo: everything between an empty database and a site to try out."""

from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from kits.config.backup.label import NotBackedUp
from kits.config.backup.making import backup_before_update
from kits.exchange.actions import import_demonstration
from kits.fitment.fit_text import fit_text
from kits.fitment.market.queries import markets_offered
from kits.fitment.queries import fit_rows, freshness
from kits.people.actions import make_demonstration_users, make_roles
from kits.people.queries import DEMONSTRATION_PASSWORD
from vehicles.records.access import CONSOLE, ROLES

# The command that writes a document, and the file's name.
DOCUMENTS = (
    ("parts_list", "parts-list.xlsx"),
    ("checklist", "checklist.pdf"),
    ("sizing_sheet", "sizing-sheet.pdf"),
)


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
        try:
            backup_before_update(self.stdout)
        except NotBackedUp as problem:
            raise CommandError(f"The database is of an earlier version and is left so. {problem}") from None
        call_command("migrate", verbosity=0)
        make_roles()
        make_demonstration_users(actor=CONSOLE)
        self.load_workbook()
        self.run_main_job()
        self.say_where()

    def load_workbook(self) -> None:
        """Import the demonstration workbook into a database without model lines."""
        try:
            self.stdout.write(import_demonstration(CONSOLE))
        except RuntimeError as problem:
            raise CommandError(str(problem)) from None

    def run_main_job(self) -> None:
        """Size all fitments, print the fit table, write the documents of the first fitment.

        Answers that are still good and documents that are there are left alone.
        """
        stored = freshness(timezone.localdate())
        sizing_due = stored.as_of is None or stored.is_stale
        if sizing_due:
            self.stdout.write("\nSizing every kit in every variant it is offered for (takes a moment)\n")
            call_command("size", stdout=self.stdout)
        else:
            as_of = timezone.localtime(stored.as_of)
            self.stdout.write(f"\nEvery kit in every variant, as sized on {as_of:%d %B %Y, %H:%M %Z}\n")
            self.stdout.write(fit_text(fit_rows()))
        for first in fit_rows()[:1]:
            self.stdout.write(f"\nDocuments of kit {first.kit} in {first.variant_name}:")
            self.write_documents((first.kit, first.line, first.variant), anew=sizing_due)

    def write_documents(self, fitment: tuple[str, str, str], *, anew: bool) -> None:
        """Write those that are missing, or all anew, and say where they are.

        They are for the first market in which the kit is offered.
        """
        folder: Path = settings.VAR_DIR / "demonstration"
        market = next(iter(markets_offered(*fitment) or ()), "")
        for command, name in DOCUMENTS:
            if anew or not (folder / name).exists():
                call_command(command, *fitment, market=market, out=folder / name, stdout=self.stdout)
            else:
                self.stdout.write(str(folder / name))

    def say_where(self) -> None:
        """Print the address and the accounts."""
        self.stdout.write(f"\nOpen {settings.BASE_URL}/ and sign in (Ctrl+C stops the site):")
        for role in ROLES:
            self.stdout.write(f"  name {role:<12} password {DEMONSTRATION_PASSWORD}")
        self.stdout.write("  (as made at first; a password that you changed stays changed)")
