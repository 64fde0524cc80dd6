"""Reads what a PDF says."""

import io
import re

from pypdf import PdfReader


def pages(content: bytes) -> list[str]:
    """The text of each page, its white space made single spaces."""
    return [re.sub(r"\s+", " ", page.extract_text()) for page in PdfReader(io.BytesIO(content)).pages]


def text(content: bytes) -> str:
    """The text of all pages."""
    return " ".join(pages(content))
