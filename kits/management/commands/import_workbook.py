"""manage.py import_workbook: check a workbook, and apply it when asked to."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from kits.exchange.actions import Unconfirmed, apply_plan, check_workbook
from kits.exchange.models import ImportPlan
from kits.exchange.plan import removals_of, unusual_of
from vehicles.records.access import CONSOLE


class Command(BaseCommand):
    """Say what a workbook would change, or every problem it has; with --apply change it."""

    help = "Check a workbook and say what it would change; --apply changes it, all or nothing."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """The file, and whether to apply it."""
        parser.add_argument("file", type=Path)
        parser.add_argument("--apply", action="store_true", help="apply the plan when there is no problem")
        parser.add_argument("--remove", type=int, metavar="N", help="confirm that N rows go")
        parser.add_argument(
            "--unusual", type=int, metavar="N", help="confirm that N unusual values are as meant"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Check, print, apply."""
        path: Path = options["file"]
        try:
            content = path.read_bytes()
        except OSError as error:
            raise CommandError(f"{path} can't be read: {error.strerror}.") from None
        plan = check_workbook(actor=CONSOLE, file_name=path.name, content=content)
        self.say(plan)
        if plan.state == "refused":
            raise CommandError("Nothing was changed.")
        if options["apply"]:
            try:
                plan = apply_plan(
                    actor=CONSOLE, plan_id=plan.pk, removals=options["remove"], unusual=options["unusual"]
                )
            except Unconfirmed as unconfirmed:
                going, asked = removals_of(plan.plan), unusual_of(plan.plan)
                said = {
                    "removals": f"{going} rows would go; say --remove {going}.",
                    "unusual": f"{asked} values are not usual; say --unusual {asked} if they are as meant.",
                }
                sentences = " ".join(said[name] for name in unconfirmed.missing)
                raise CommandError(f"Nothing was changed: {sentences}") from None
            if plan.state != "applied":
                raise CommandError(plan.plan["problems"][0]["sentence"])
            self.stdout.write("Applied.")

    def say(self, plan: ImportPlan) -> None:
        """The plan's counts by sheet, or its problems by place."""
        for problem in plan.plan["problems"]:
            place = f"{problem['column']}{problem['row'] or ''}"
            where = ", ".join(part for part in (problem["sheet"], place) if part)
            self.stderr.write(f"{where}: {problem['sentence']}" if where else problem["sentence"])
        for name, part in plan.plan["sheets"].items():
            counts = [f"{kind} {len(part[kind])}" for kind in ("add", "change", "remove") if part[kind]]
            self.stdout.write(f"{name}: {', '.join(counts)}")
        for question in plan.plan["questions"]:
            where = f"{question['sheet']}, {question['column']}{question['row'] or ''}".rstrip(", ")
            self.stdout.write(f"{where}: {question['sentence']}")
        if plan.state == "ready" and not plan.plan["sheets"]:
            self.stdout.write("Everything in the workbook is stored already.")
