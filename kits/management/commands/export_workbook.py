"""manage.py export_workbook: write the workbook of a model line."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from kits.exchange.queries import export_workbook
from vehicles.catalogue.models import ModelLine


class Command(BaseCommand):
    """Write everything a model line owns and uses into a workbook."""

    help = "Write the workbook of a model line."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """The code of the line, and the file to write."""
        parser.add_argument("line")
        parser.add_argument("file", type=Path)

    def handle(self, *args: Any, **options: Any) -> None:
        """Fetch and write."""
        line = ModelLine.objects.filter(code__iexact=options["line"]).first()
        if line is None:
            known = ", ".join(ModelLine.objects.values_list("code", flat=True)) or "none"
            raise CommandError(f"There is no model line {options['line']}; there are: {known}.")
        path: Path = options["file"]
        try:
            path.write_bytes(export_workbook(line))
        except OSError as error:
            raise CommandError(f"{path} can't be written: {error.strerror}.") from None
        self.stdout.write(f"Wrote {path}.")
