"""Size every fitment, store the answers and print the fit table."""

import json
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand, CommandParser
from django.utils import timezone

from kits.fitment.actions import size_all
from kits.fitment.calculations.queries import topics_told
from kits.fitment.fit_text import fit_text
from kits.fitment.queries import fit_rows, stored_records
from vehicles.records.access import CONSOLE


class Command(BaseCommand):
    """The command size."""

    help = "Size every fitment, store the answers and print the fit table (--json: whole records)."

    def add_arguments(self, parser: CommandParser) -> None:
        """The output's form."""
        parser.add_argument("--json", action="store_true", help="print the records as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        """Size and print."""
        now = timezone.localtime()
        size_all(actor=CONSOLE, on=now.date(), now=now)
        if options["json"]:
            told = [{**record, "topics": _topics(record, now.date())} for record in stored_records()]
            self.stdout.write(json.dumps(told, indent=1, ensure_ascii=False, allow_nan=False))
        else:
            self.stdout.write(fit_text(fit_rows()))


def _topics(record: dict[str, Any], on: date) -> list[dict[str, Any]]:
    """The calculations of a stored record as JSON values."""
    return [topic.as_json() for topic in topics_told(record["kit"], record["line"], record["variant"], on)]
