"""How a sheet and a row's key stand in an address."""

import json
from typing import Final

from kits.editing.seen import value_of
from kits.exchange.columns import Sheet
from kits.exchange.layout import TABLES
from kits.exchange.values import Key, fold, to_json
from vehicles.records.asked import Unreadable, json_value

NO_LINE: Final = "-"
_BY_SLUG: Final = {table.name.casefold().replace(" ", "-"): table.name for table in TABLES}


def slug_of(sheet: str) -> str:
    """The sheet's name in an address."""
    return sheet.casefold().replace(" ", "-")


def sheet_of_slug(slug: str) -> str | None:
    """The sheet an address names, or None."""
    return _BY_SLUG.get(slug)


def key_param(key: Key) -> str:
    """A row's key as one parameter of an address."""
    return json.dumps([to_json(part) for part in key], ensure_ascii=False, separators=(",", ":"))


def key_of_param(sheet: Sheet, text: str) -> Key | None:
    """The key in a parameter, or None when it is no key of this sheet."""
    columns = sheet.by_field
    try:
        parts = json_value(text)
        if not isinstance(parts, list) or len(parts) != len(sheet.key):
            return None
        named = zip(sheet.key, parts, strict=True)
        return tuple(fold(value_of(columns[name], part)) for name, part in named)
    except Unreadable:
        return None
