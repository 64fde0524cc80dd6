"""The state of a row as a form carries it, so that a change by somebody else is noticed."""

import json
from typing import Any


def packed(seen: dict[str, Any]) -> str:
    """The values as one text for a hidden field."""
    return json.dumps(seen, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def unpacked(text: str) -> dict[str, Any] | None:
    """The values of the text, or None when it is not such a text."""
    try:
        found = json.loads(text) if text else {}
    except ValueError:
        return None
    return found if isinstance(found, dict) else None
