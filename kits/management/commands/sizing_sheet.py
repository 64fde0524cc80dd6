"""manage.py sizing_sheet: the sizing sheet of one kit in one car."""

from typing import Any

from kits.documents.render import document_pdf, live_address
from kits.documents.sizing_sheet import sizing_sheet
from kits.documents.source import DocumentSource
from kits.management.document_command import BY, DocumentCommand


class Command(DocumentCommand):
    """Write the sizing sheet."""

    help = "Write the sizing sheet of a kit in a variant as PDF, from the stored answer."
    file_name = "sizing-sheet"

    def content(self, source: DocumentSource, options: dict[str, Any]) -> bytes:
        """The sheet as PDF."""
        document = sizing_sheet(source, BY)
        return document_pdf(document, paper=options["paper"], address=live_address(source.kit))
