"""manage.py parts_list: the parts list of one kit in one car, as a workbook or on paper."""

from argparse import ArgumentParser
from typing import Any

from kits.documents.parts_list import parts_list
from kits.documents.render import document_pdf, live_address
from kits.documents.source import DocumentSource
from kits.documents.workbook import parts_list_workbook
from kits.management.document_command import BY, DocumentCommand


class Command(DocumentCommand):
    """Write the parts list."""

    help = "Write the parts list of a kit in a variant."
    file_name = "parts-list"

    def add_arguments(self, parser: ArgumentParser) -> None:
        """The format beside what every document asks."""
        super().add_arguments(parser)
        parser.add_argument(
            "--format", choices=("xlsx", "pdf"), help="default: by the file's ending, else xlsx"
        )

    def ending(self, options: dict[str, Any]) -> str:
        """xlsx or pdf: as asked, else by the file's ending, else xlsx."""
        by_name = options["out"].suffix.lower().removeprefix(".") if options["out"] else ""
        return options["format"] or ("pdf" if by_name == "pdf" else "xlsx")

    def content(self, source: DocumentSource, options: dict[str, Any]) -> bytes:
        """The list in the format asked for."""
        document = parts_list(source, BY)
        if self.ending(options) == "xlsx":
            return parts_list_workbook(document)
        return document_pdf(document, paper=options["paper"], address=live_address(source.kit))
