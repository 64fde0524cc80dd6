"""Links from a page to the forms of its rows."""

from typing import Any
from urllib.parse import urlencode

from django import template
from django.urls import reverse

from kits.editing.slugs import NO_LINE, key_param
from kits.exchange.values import fold

register = template.Library()


def _next(context: Any) -> str:
    request = context.get("request")
    return request.get_full_path() if request else ""


@register.simple_tag(takes_context=True)
def change_url(context: Any, sheet: str, line: str, *key: Any, at: str = "") -> str:
    """The form of the row of a sheet ("hose-runs") with this key; the way back is this page, at an anchor."""
    query = urlencode({"key": key_param(tuple(fold(part) for part in key)), "next": _next(context) + at})
    return f"{reverse('edit-row', args=[line or NO_LINE, sheet])}?{query}"


@register.simple_tag(takes_context=True)
def add_url(context: Any, sheet: str, line: str, at: str = "", **given: Any) -> str:
    """The form of a new row of a sheet, with some fields given; the way back is this page, at an anchor."""
    query = urlencode({**given, "next": _next(context) + at})
    return f"{reverse('edit-row', args=[line or NO_LINE, sheet])}?{query}"
