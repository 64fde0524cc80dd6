"""Which kits and other model lines use a shared row, so that nobody changes it without knowing."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from kits.exchange.columns import OPTIONS, SHARED, Sheet
from kits.exchange.values import Key, Row, Rows, fold, terms_of

Place = tuple[str, Key]
KITS: Final = "Kits"


@dataclass
class Reach:
    """The kits and lines that a row reaches."""

    kits: set[str] = field(default_factory=set)
    lines: set[str] = field(default_factory=set)


class Users:
    """Who uses what among the shared rows.

    A change of a row reaches what it belongs to (a port its part), and whatever names it (a part the entries
    with it), on and on up to kits. `elsewhere` says which other lines name a shared row directly.
    """

    def __init__(self, sheets: Mapping[str, Sheet], rows: Rows, elsewhere: Mapping[Place, set[str]]) -> None:
        self._sheets = sheets
        self._rows = rows
        self._elsewhere = elsewhere
        self._named_by: dict[Place, list[Place]] = {}
        self._reached: dict[Place, Reach] = {}
        for name, sheet in sheets.items():
            if sheet.owner == SHARED:
                for key, row in rows.get(name, {}).items():
                    for target in _names(sheet, row):
                        self._named_by.setdefault(target, []).append((name, key))

    def of(self, name: str, key: Key) -> Reach:
        """Who else uses a row: all its kits when they are several or another line is among its users, or none."""
        place = (name, key)
        found = Reach(lines=set(self._elsewhere.get(place, ())))
        if name == KITS:
            found.kits.add(str(self._rows[name][key]["code"]))
        else:
            for step in self._above(place):
                reached = self._reach(step)
                found.kits |= reached.kits
                found.lines |= reached.lines
        return found if found.lines or len(found.kits) > 1 else Reach()

    def _above(self, place: Place) -> list[Place]:
        name, key = place
        row = self._rows.get(name, {}).get(key)
        parent = self._sheets[name].parent
        above = list(self._named_by.get(place, ()))
        if row is not None and parent is not None and name != "Options":
            above.append((parent.sheet, _target(row, parent.columns)))
        return above

    def _reach(self, start: Place) -> Reach:
        """Everything above a row; kept, since many rows belong to one."""
        if start not in self._reached:
            found, seen, waiting = Reach(), {start}, [start]
            while waiting:
                place = waiting.pop()
                found.lines |= self._elsewhere.get(place, set())
                if place[0] == KITS:
                    row = self._rows[KITS].get(place[1])
                    found.kits |= {str(row["code"])} if row else set()
                    continue
                for step in self._above(place):
                    if step not in seen:
                        seen.add(step)
                        waiting.append(step)
            self._reached[start] = found
        return self._reached[start]


def _target(row: Row, columns: tuple[str, ...]) -> Key:
    return tuple(fold(row.get(name)) for name in columns)


def _names(sheet: Sheet, row: Row) -> list[Place]:
    """What a row names beside what it belongs to."""
    parent = sheet.parent
    places = [(r.sheet, _target(row, r.columns)) for r in sheet.references if r is not parent]
    for column in sheet.columns:
        if column.kind == OPTIONS and row.get(column.field):
            feature = column.field.partition(":")[2]
            places.append(("Features", (feature,)))
            places += [("Options", (feature, fold(option))) for option in terms_of(row[column.field])[1]]
    return places


def add_touched(
    plan: dict[str, Any], sheets: Mapping[str, Sheet], users: Users, keys: Mapping[str, list[Key]]
) -> None:
    """Write into a plan's shared rows, and into the plan as a whole, who else uses them.

    Parameters: keys (of the rows that are added and changed, by sheet, in the plan's order).
    """
    kits: set[str] = set()
    lines: set[str] = set()
    for name, part in plan["sheets"].items():
        if sheets[name].owner != SHARED:
            continue
        for item, key in zip([*part["add"], *part["change"]], keys[name], strict=True):
            reach = users.of(name, key)
            if reach.kits or reach.lines:
                item["touches"] = {"kits": sorted(reach.kits), "lines": sorted(reach.lines)}
                kits |= reach.kits
                lines |= reach.lines
    plan["touched"] = {"kits": sorted(kits), "lines": sorted(lines)}
