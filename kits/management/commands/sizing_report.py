"""manage.py sizing_report: the engineer's report of the sizing of one kit in one car."""

from typing import Any

from kits.documents.papers import EVERY_TOPIC
from kits.documents.render import document_pdf, live_address
from kits.documents.sizing_report import sizing_report
from kits.documents.source import DocumentSource
from kits.management.document_command import BY, DocumentCommand


class Command(DocumentCommand):
    """Write the sizing report."""

    help = "Write the engineer's report of a kit in a variant as PDF: the stored answer, each figure with its origin."
    file_name = "sizing-report"
    topics = EVERY_TOPIC

    def content(self, source: DocumentSource, options: dict[str, Any]) -> bytes:
        """The report as PDF."""
        document = sizing_report(source, BY)
        return document_pdf(document, paper=options["paper"], address=live_address(source.kit))
