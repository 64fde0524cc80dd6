"""Which stored rows belong in one line's workbook: its own, and the shared ones it uses."""

from collections.abc import Mapping

from kits.exchange.columns import LINE, OPTIONS, Sheet
from kits.exchange.values import Key, Row, Rows, fold

_Place = tuple[str, Key]


def used_rows(sheets: Mapping[str, Sheet], rows: Rows) -> Rows:
    """The line's own rows, everything they point at, and all that belongs to that, to the end.

    A row belongs to what the first reference in its key points at: a position to its kit.
    """
    children = belonging(sheets, rows)
    found: set[_Place] = set()
    waiting = [
        (name, key) for name, sheet in sheets.items() if sheet.owner == LINE for key in rows.get(name, {})
    ]
    while waiting:
        place = waiting.pop()
        if place not in found:
            found.add(place)
            sheet = sheets[place[0]]
            waiting += _pointed_at(sheet, rows[place[0]][place[1]])
            waiting += children.get(place, [])
    return {name: {key: row for key, row in rows[name].items() if (name, key) in found} for name in sheets}


def _pointed_at(sheet: Sheet, row: Row) -> list[_Place]:
    places = [
        (r.sheet, tuple(fold(row[name]) for name in r.columns))
        for r in sheet.references
        if all(row[name] not in (None, "") for name in r.columns)
    ]
    for column in sheet.columns:
        if column.kind == OPTIONS and row.get(column.field):
            places.append(("Features", (column.field.partition(":")[2],)))
    return places


def belonging(sheets: Mapping[str, Sheet], rows: Rows) -> dict[_Place, list[_Place]]:
    """What belongs to each row: rows whose key begins with it, by the first reference in their key."""
    children: dict[_Place, list[_Place]] = {}
    for name, sheet in sheets.items():
        parent = sheet.parent
        if parent is not None:
            for key, row in rows.get(name, {}).items():
                target = tuple(fold(row[column]) for column in parent.columns)
                children.setdefault((parent.sheet, target), []).append((name, key))
    return children
