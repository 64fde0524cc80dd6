"""Links from a row that a page shows to its form, whatever its table."""

from functools import cache
from typing import Any
from urllib.parse import urlencode

from django import template
from django.db.models import Model
from django.urls import reverse

from kits.editing.slugs import slug_of
from kits.exchange.columns import Sheet
from kits.exchange.sheets.bridge import SHEETS, line_path, path_of
from kits.parts.data_models import POINTS, TECHNICAL_DATA
from kits.templatetags.editing import add_url, change_url

register = template.Library()


@cache
def _sheets() -> dict[str, Sheet]:
    return {sheet.model: sheet for sheet in SHEETS}


def _walk(row: Any, path: str) -> Any:
    for name in path.split("__"):
        row = getattr(row, name)
    return row


@register.simple_tag(takes_context=True)
def row_url(context: Any, row: Model, at: str = "", line: str = "") -> str:
    """The form of a stored row; the way back is this page, at an anchor.

    line: the model line whose rows it may point at, for a row that belongs to none itself (a circuit on a branch).
    """
    sheet = _sheets()[row._meta.label]
    path = line_path(sheet)
    if path is not None:
        line = _walk(row, path).code
    key = (_walk(row, path_of(sheet, name)) for name in sheet.key)
    return change_url(context, slug_of(sheet.name), line, *key, at=at)


@register.simple_tag(takes_context=True)
def data_url(context: Any, revision: Any, kind: str, at: str = "") -> str:
    """The form of a revision's technical data, or of new data; nothing for a kind of part that has none."""
    related = TECHNICAL_DATA.get(kind)
    if related is None:
        return ""
    held = getattr(revision, related, None)
    if held is not None:
        return row_url(context, held, at)
    model = type(revision)._meta.get_field(related).related_model
    return _add(context, model, revision, at)


@register.simple_tag(takes_context=True)
def point_url(context: Any, revision: Any, kind: str, at: str = "") -> str:
    """The form of a new rated point of a revision, whose technical data are there."""
    data = type(revision)._meta.get_field(TECHNICAL_DATA[kind]).related_model
    return _add(context, data._meta.get_field(POINTS[kind]).related_model, revision, at)


def _add(context: Any, model: type[Model], revision: Any, at: str) -> str:
    slug = slug_of(_sheets()[model._meta.label].name)
    return add_url(context, slug, "", at, part_number=revision.part.number, part_revision=revision.revision)


@register.simple_tag
def changes_url(text: str) -> str:
    """Who changed what of the rows whose name holds the text."""
    return f"{reverse('edit-history')}?{urlencode({'text': text})}"
