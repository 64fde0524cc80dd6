"""manage.py checklist: the installation checklist of one kit in one car."""

from typing import Any

from kits.documents.checklist import OIL_AND_GAS, checklist
from kits.documents.render import document_pdf, live_address
from kits.documents.source import DocumentSource
from kits.management.document_command import BY, DocumentCommand


class Command(DocumentCommand):
    """Write the installation checklist."""

    help = "Write the installation checklist of a kit in a variant as PDF."
    file_name = "checklist"
    topics = (OIL_AND_GAS,)

    def content(self, source: DocumentSource, options: dict[str, Any]) -> bytes:
        """The checklist as PDF."""
        document = checklist(source, BY)
        return document_pdf(document, paper=options["paper"], address=live_address(source.kit))
