"""What a reader finds on a page."""

import html
import re


def text(response) -> str:
    """The words of a page, one blank between them."""
    return _words(response.content.decode())


def main_text(response) -> str:
    """The words of a page's own part: neither its head nor its menu."""
    return _words(response.content.decode().partition("<main")[2])


def _words(body: str) -> str:
    body = re.sub(r"<(script|style)\b.*?</\1>", " ", body, flags=re.DOTALL)
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", body)))
