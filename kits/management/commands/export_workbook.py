"""manage.py export_workbook: write the workbook of a model line, or an empty one to fill."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from kits.exchange.queries import blank_workbook, export_workbook
from vehicles.catalogue.models import ModelLine


class Command(BaseCommand):
    """Write everything a model line owns and uses into a workbook, or a workbook without rows."""

    help = "Write the workbook of a model line; --blank writes an empty one to fill by hand."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """The code of the line, and the file to write."""
        parser.add_argument("line", nargs="?", help="left out with --blank")
        parser.add_argument("file", type=Path)
        parser.add_argument("--blank", action="store_true", help="heads and drop-downs only, for a new line")

    def handle(self, *args: Any, **options: Any) -> None:
        """Fetch and write."""
        if options["blank"]:
            self.write(options["file"], blank_workbook())
            return
        if not options["line"]:
            raise CommandError("Name the model line, or say --blank.")
        line = ModelLine.objects.filter(code__iexact=options["line"]).first()
        if line is None:
            known = ", ".join(ModelLine.objects.values_list("code", flat=True)) or "none"
            raise CommandError(f"There is no model line {options['line']}; there are: {known}.")
        self.write(options["file"], export_workbook(line))

    def write(self, path: Path, content: bytes) -> None:
        """Write the file and say so."""
        try:
            path.write_bytes(content)
        except OSError as error:
            raise CommandError(f"{path} can't be written: {error.strerror}.") from None
        self.stdout.write(f"Wrote {path}.")
