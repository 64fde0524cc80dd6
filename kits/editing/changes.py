"""Edits of single rows as the plan that the one writer of rows understands, with everything that is wrong."""

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final, Literal

from kits.exchange.check import check_merged
from kits.exchange.columns import Sheet
from kits.exchange.layout import FITMENTS, STEP_LISTS, STEPS
from kits.exchange.merge import Merged, merge
from kits.exchange.plan import Plan, compare_rows, same
from kits.exchange.reader import Reading
from kits.exchange.rules import Rule, Unique
from kits.exchange.unusual import questions_of
from kits.exchange.used import belonging
from kits.exchange.values import Key, Problem, Row, Rows, blank, key_of, label_of, to_json

ALWAYS_LOADED: Final = frozenset(
    {"Features", "Options", "Line features", "Line options", "Offers", "Variants", "Kits", FITMENTS}
)


@dataclass(frozen=True)
class RowEdit:
    """One row to add, change or remove.

    `values` holds all fields of a new row (what is left out is blank) or the fields to change; `seen` what
    each changed field held when the person looked, as JSON.
    """

    kind: Literal["add", "change", "remove"]
    sheet: str
    key: Key = ()
    values: Row = field(default_factory=dict)
    seen: Mapping[str, Any] = field(default_factory=dict)


class Moved(Exception):
    """A row is no longer what the person saw."""


def needed_sheets(sheets: Iterable[Sheet]) -> frozenset[str]:
    """The sheets whose stored rows an edit of these sheets is checked and written with."""
    wanted = set(ALWAYS_LOADED)
    for sheet in sheets:
        wanted.add(sheet.name)
        wanted.update(reference.sheet for reference in sheet.references)
        if sheet.name == STEPS:
            wanted.update(target for _, _, target in STEP_LISTS)
    return frozenset(wanted)


def with_belonging(sheets: Mapping[str, Sheet], rows: Rows, sheet: str, key: Key) -> list[tuple[str, Key]]:
    """The row and all that belongs to it, to the end: a position with its entries and their circuits."""
    children = belonging(sheets, rows)
    found: dict[tuple[str, Key], None] = {}
    waiting = [(sheet, key)]
    while waiting:
        place = waiting.pop()
        if place not in found:
            found[place] = None
            waiting += children.get(place, [])
    return list(found)


def plan_edits(
    *,
    line: str,
    sheets: Mapping[str, Sheet],
    stored: Rows,
    elsewhere: Mapping[str, Collection[Key]],
    edits: Iterable[RowEdit],
    rules_of: Callable[[str], tuple[Rule, ...]],
    uniques_of: Callable[[str], tuple[Unique, ...]],
) -> tuple[Plan, list[Problem]]:
    """The plan of these edits and what is wrong with them.

    The row of a problem, and of a question of the plan, is the edit's number, its column the field.

    Raises Moved when a row is not what the person saw.
    """
    reading = Reading(line=line, sheets=dict(sheets))
    merged_removed: dict[str, list[Key]] = {}
    renamed: list[tuple[Sheet, Key, Key, Row]] = []
    for place, edit in enumerate(edits, 1):  # a problem says by its row which edit it is about
        sheet = sheets[edit.sheet]
        if edit.kind == "remove":
            merged_removed.setdefault(edit.sheet, []).append(_still_there(sheet, stored, edit))
        else:
            _lay(reading, sheet, stored, edit, renamed, place)
    merged = merge(sheets, stored, reading)
    _take_out(merged, merged_removed, renamed)
    touched = set(reading.rows) | set(merged_removed) | ({FITMENTS} if merged.offered else set())
    checked = dict(sheets) if merged_removed else {n: s for n, s in sheets.items() if n in touched}
    check_merged(checked, reading, merged, elsewhere, rules_of, uniques_of)
    plan, _ = compare_rows({n: s for n, s in sheets.items() if n in touched}, stored, reading, merged)
    for sheet, old, new, row in renamed:
        _as_change(plan, sheet, stored[sheet.name][old], old, new, row)
    if not reading.problems:
        plan["questions"] = [q.as_json() for q in questions_of(plan, sheets, reading, merged.rows)]
    return plan, reading.problems


def _still_there(sheet: Sheet, stored: Rows, edit: RowEdit) -> Key:
    row = stored.get(sheet.name, {}).get(edit.key)
    if row is None:
        raise Moved(f"{label_of(sheet, edit.key)} is not in {sheet.name} any more.")
    _as_seen(sheet, row, edit.seen, edit.key)
    return edit.key


def _as_seen(sheet: Sheet, row: Row, seen: Mapping[str, Any], key: Key) -> None:
    columns = sheet.by_field
    for name, value in seen.items():
        now = to_json(row.get(name))
        # an empty cell and one that holds nothing are the same; nought and no are values
        if name in columns and now != value and not (now in (None, "") and value in (None, "")):
            held = "nothing" if now in (None, "") else f"“{now}”"
            raise Moved(
                f"{columns[name].head.capitalize()} of {label_of(sheet, key)} was changed in the meantime: it is "
                f"now {held}. Nothing was written; look at the new state and enter your change again."
            )


def _lay(
    reading: Reading,
    sheet: Sheet,
    stored: Rows,
    edit: RowEdit,
    renamed: list[tuple[Sheet, Key, Key, Row]],
    place: int,
) -> None:
    """Put the edited row where a workbook's row would stand."""
    rows = stored.get(sheet.name, {})
    if edit.kind == "add":
        row = {**{c.field: blank(c) for c in sheet.columns}, **edit.values}
        key = key_of(sheet, row)
        if key in rows and not sheet.append_only:
            reading.add(sheet.name, f"{label_of(sheet, key)} exists already.", place, _last_key(sheet))
            return
    else:
        if edit.key not in rows:
            raise Moved(f"{label_of(sheet, edit.key)} is not in {sheet.name} any more.")
        columns, before = sheet.by_field, rows[edit.key]
        changed = {n: v for n, v in edit.values.items() if not same(sheet, columns[n], before.get(n), v)}
        _as_seen(sheet, before, {n: v for n, v in edit.seen.items() if n in changed}, edit.key)
        row = {**before, **changed}
        key = key_of(sheet, row)
        if key != edit.key:
            if key in rows:
                reading.add(sheet.name, f"{label_of(sheet, key)} exists already.", place, _last_key(sheet))
                return
            renamed.append((sheet, edit.key, key, row))
    reading.rows.setdefault(sheet.name, {})[key] = row
    reading.places[sheet.name, key] = place
    reading.letters.update({(sheet.name, column.field): column.field for column in sheet.columns})


def _last_key(sheet: Sheet) -> str:
    return sheet.key[-1] if sheet.key else ""


def _take_out(
    merged: Merged, removed: Mapping[str, list[Key]], renamed: Iterable[tuple[Sheet, Key, Key, Row]]
) -> None:
    for name, keys in removed.items():
        merged.removed[name] = list(keys)
        for key in keys:
            merged.rows[name].pop(key, None)
    for sheet, old, _, _ in renamed:
        merged.rows[sheet.name].pop(old, None)


def _as_change(plan: Plan, sheet: Sheet, before: Row, old: Key, new: Key, row: Row) -> None:
    """A renamed row is a change of its own key, not a row more."""
    part = plan["sheets"][sheet.name]
    new_json = [to_json(part_) for part_ in new]
    part["add"] = [item for item in part["add"] if item["key"] != new_json]
    fields = {
        c.field: [to_json(before.get(c.field)), to_json(row[c.field])]
        for c in sheet.columns
        if not same(sheet, c, before.get(c.field), row[c.field])
    }
    label = label_of(sheet, old)
    part["change"].append({"key": [to_json(k) for k in old], "label": label, "fields": fields})


def undone(
    sheet: Sheet, kind: str, key: Key, fields: Mapping[str, Any], read: Callable[[str, Any], Any]
) -> RowEdit:
    """The edit that takes back one recorded change; `read` turns a field's JSON into its value."""
    if kind == "remove":
        return RowEdit("add", sheet.name, values={name: read(name, old) for name, (old, _) in fields.items()})
    seen = {name: new for name, (_, new) in fields.items()}
    if kind == "add":
        return RowEdit("remove", sheet.name, key, seen=seen)
    now = dict(zip(sheet.key, key, strict=True))
    row: Row = {name: read(name, new) for name, (_, new) in fields.items() if name in now}
    key_now = key_of(sheet, {**now, **row})
    old_values = {name: read(name, old) for name, (old, _) in fields.items()}
    return RowEdit("change", sheet.name, key_now, old_values, seen)
