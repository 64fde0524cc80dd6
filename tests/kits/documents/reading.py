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


def lowest_pt(content: bytes) -> float:
    """How far the lowest line of text of any page stands above the sheet's lower edge, in points."""
    found: list[float] = []

    def note(words: str, transform: list[float], matrix: list[float], font: object, size: float) -> None:
        if words.strip():
            found.append(matrix[4] * transform[1] + matrix[5] * transform[3] + transform[5])

    for page in PdfReader(io.BytesIO(content)).pages:
        page.extract_text(visitor_text=note)
    return min(found)
