"""Documents as PDF: a template filled with one document, laid out on paper."""

import atexit
import gc
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import fields
from functools import cache
from threading import Lock
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string
from django.urls import NoReverseMatch, reverse

from kits.bom.resolved import ResolvedKit
from kits.documents.chart_style import svg_image
from kits.documents.checklist import Checklist
from kits.documents.parts_list import PartsList
from kits.documents.sizing_report import SizingReport
from kits.documents.sizing_sheet import SizingSheet

PAPERS = ("A4", "Letter")
Document = PartsList | Checklist | SizingSheet | SizingReport

_TEMPLATES: dict[type[Document], str] = {
    PartsList: "documents/parts_list.html",
    Checklist: "documents/checklist.html",
    SizingSheet: "documents/sizing_sheet.html",
    SizingReport: "documents/sizing_report.html",
}
# Pango and its fonts are not meant to be used from several threads at once, and a layout takes much memory.
_ONE_AT_A_TIME = Lock()


def document_pdf(document: Document, *, paper: str = "A4", address: str = "") -> bytes:
    """The document as PDF.

    Parameters: paper ("A4" or "Letter"), address (of the live page, printed as a QR code; empty: none).
    Raises ValueError for another paper.
    """
    if paper not in PAPERS:
        raise ValueError(f"Paper is {' or '.join(PAPERS)}, not {paper}.")
    html = document_html(document, paper=paper, address=address)
    with _ONE_AT_A_TIME, _seldom_collected():
        return _pdf(html)


def document_html(document: Document, *, paper: str = "A4", address: str = "") -> str:
    """The page that becomes the PDF."""
    chart = document.chart_svg if isinstance(document, SizingSheet | SizingReport) else ""
    context: dict[str, Any] = {
        **{field.name: getattr(document.title, field.name) for field in fields(document.title)},
        "document": document,
        "paper": paper,
        "qr": qr_image(address) if address else "",
        "chart": svg_image(chart) if chart else "",
    }
    return render_to_string(_TEMPLATES[type(document)], context)


def live_address(kit: ResolvedKit) -> str:
    """The address of the fitment's live page under the configured base address; empty when there is none."""
    try:
        route = reverse("fitment-sheet", args=[kit.kit, kit.line, kit.variant])
    except NoReverseMatch:
        return ""
    return f"{settings.BASE_URL.rstrip('/')}{route}"


def qr_image(address: str) -> str:
    """A QR code of an address, as an address that holds the picture."""
    import segno

    uri: str = segno.make(address, error="m", micro=False).svg_data_uri(border=2, scale=4)
    return uri


@contextmanager
def _seldom_collected() -> Iterator[None]:
    """A layout makes hundreds of thousands of boxes and drops few: looking for dropped ones takes a fifth of it."""
    usual = gc.get_threshold()
    gc.set_threshold(50_000, 20, 20)
    try:
        yield
    finally:
        gc.set_threshold(*usual)


def _pdf(html: str) -> bytes:
    # imported here: commands and pages that make no PDF don't need Pango
    from weasyprint import HTML
    from weasyprint.urls import URLFetcher

    sheet, fonts = _style()
    # nothing but what the page itself holds: a name or a note can't make it fetch a file or an address
    page = HTML(string=html, url_fetcher=URLFetcher(allowed_protocols={"data"}))
    made: bytes = page.write_pdf(stylesheets=[sheet], font_config=fonts)
    return made


@cache
def _style() -> tuple[Any, Any]:
    """The style sheet of paper with its fonts, once a process: unpacking them takes longer than a layout."""
    from weasyprint import CSS
    from weasyprint.text.fonts import FontConfiguration

    # its fonts are freed while Python is still whole: at the very end their clean-up would fail aloud
    atexit.register(_style.cache_clear)
    fonts = FontConfiguration()
    return CSS(filename=settings.BASE_DIR / "templates" / "print" / "paper.css", font_config=fonts), fonts
