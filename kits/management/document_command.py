"""What the commands that write a document share: which fitment, and where to."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from kits.documents.queries import document_source
from kits.documents.source import DocumentSource
from vehicles.records.access import CONSOLE

BY = str(CONSOLE)


class DocumentCommand(BaseCommand):
    """Writes one document of one fitment; a command says which in `content`."""

    file_name = ""
    topics: tuple[str, ...] = ()
    """codes of the calculations that the document tells"""

    def add_arguments(self, parser: ArgumentParser) -> None:
        """The fitment by its codes, and the file."""
        parser.add_argument("kit", help="code of the kit")
        parser.add_argument("line", help="code of the model line")
        parser.add_argument("variant", help="code of the variant")
        parser.add_argument(
            "--out", type=Path, help="the file to write; default: here, named after the fitment"
        )
        parser.add_argument(
            "--market", default="", help="code of the market; needed where the kit is offered in several"
        )
        parser.add_argument("--paper", choices=("A4", "Letter"), default="A4", help="of a PDF")

    def content(self, source: DocumentSource, options: dict[str, Any]) -> bytes:
        """The document's bytes."""
        raise NotImplementedError

    def ending(self, options: dict[str, Any]) -> str:
        """The ending of the file's name when none was given."""
        return "pdf"

    def handle(self, *args: Any, **options: Any) -> None:
        """Fetch, make, write, say where."""
        codes = options["kit"], options["line"], options["variant"]
        try:
            source = document_source(*codes, timezone.localdate(), options["market"], self.topics)
        except (LookupError, ValueError) as problem:
            raise CommandError(str(problem.args[0])) from None
        name = "-".join((options["kit"], options["variant"], self.file_name)).replace("/", "-")
        out: Path = options["out"] or Path(f"{name}.{self.ending(options)}")
        try:
            out.parent.mkdir(parents=True, exist_ok=True)
            out.write_bytes(self.content(source, options))
        except OSError as problem:
            raise CommandError(f"Could not write {out}: {problem.strerror}.") from None
        self.stdout.write(f"{out}")
