"""What a reader finds on a page."""

import html
import re


def text(response) -> str:
    """The words of a page, one blank between them."""
    body = response.content.decode()
    body = re.sub(r"<(script|style)\b.*?</\1>", " ", body, flags=re.DOTALL)
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", body)))
