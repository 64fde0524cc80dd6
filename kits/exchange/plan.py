"""The plan: what an import adds, changes and removes, as JSON that can be kept, shown and applied later."""

from collections.abc import Collection, Mapping, Sequence
from typing import Any

from kits.exchange.columns import LIST, OPTIONS, Column, Sheet
from kits.exchange.layout import FITMENTS
from kits.exchange.merge import Merged
from kits.exchange.reader import MAX_PROBLEMS, Reading
from kits.exchange.touched import Place, Users, add_touched
from kits.exchange.unusual import questions_of
from kits.exchange.values import (
    Key,
    Problem,
    Row,
    Rows,
    Value,
    fold,
    from_json,
    label_of,
    list_items,
    to_json,
)

Plan = dict[str, Any]


def refused(line: str, problems: Sequence[Problem]) -> Plan:
    """The plan of a workbook with problems: nothing to do but mend them."""
    ordered = sorted(problems, key=lambda p: (p.sheet != "", p.sheet, p.row or 0, len(p.column), p.column))
    more = len(ordered) - MAX_PROBLEMS
    if more > 0:
        ordered = [Problem("", None, "", f"{more} more problems are not listed."), *ordered[:MAX_PROBLEMS]]
    return {
        "line": line,
        "complete": False,
        "sheets": {},
        "counts": {},
        "touched": {"kits": [], "lines": []},
        "problems": [p.as_json() for p in ordered],
        "questions": [],
    }


def make_plan(
    sheets: Mapping[str, Sheet],
    stored: Rows,
    reading: Reading,
    merged: Merged,
    elsewhere: Mapping[Place, set[str]],
) -> Plan:
    """Compare the stored rows with what they would become.

    Parameters: elsewhere (which other lines name a shared row).

    Returns per sheet the rows to add (all values), to change (old and new of each changed field) and to
    remove; sheets without any are left out. `counts` sums them up. `questions` asks about each new value that is
    not usual.
    """
    plan, keys = compare_rows(sheets, stored, reading, merged)
    plan["questions"] = [q.as_json() for q in questions_of(plan, sheets, reading, merged.rows)]
    add_touched(plan, sheets, Users(sheets, merged.rows, elsewhere), keys)
    return plan


def compare_rows(
    sheets: Mapping[str, Sheet], stored: Rows, reading: Reading, merged: Merged
) -> tuple[Plan, dict[str, list[Key]]]:
    """The plan without what it touches elsewhere, and by sheet the keys of what it adds and changes."""
    parts: dict[str, Any] = {}
    keys: dict[str, list[Key]] = {}
    for name, sheet in sheets.items():
        named: Collection[Key] = reading.rows.get(name, {})
        if name == FITMENTS:
            named = [*named, *merged.offered]
        part, keys[name] = _compare(sheet, stored.get(name, {}), merged.rows[name], named)
        part["remove"] = [_label(sheet, key) for key in merged.removed.get(name, ())]
        if any(part.values()):
            parts[name] = part
    plan = {
        "line": reading.line,
        "complete": reading.complete,
        "sheets": parts,
        "counts": {kind: sum(len(p[kind]) for p in parts.values()) for kind in ("add", "change", "remove")},
        "problems": [],
        "questions": [],
    }
    return plan, keys


def _label(sheet: Sheet, key: Key) -> dict[str, Any]:
    return {"key": [to_json(part) for part in key], "label": label_of(sheet, key)}


def _compare(
    sheet: Sheet, stored: Mapping[Key, Row], merged: Mapping[Key, Row], named: Collection[Key]
) -> tuple[dict[str, list[Any]], list[Key]]:
    """What is added, changed and removed, and the keys of what is added and changed."""
    add: list[Any] = []
    change: list[Any] = []
    added: list[Key] = []
    changed: list[Key] = []
    for key in named:
        row, before = merged[key], stored.get(key)
        if before is None:
            added.append(key)
            add.append(
                {**_label(sheet, key), "values": {name: to_json(value) for name, value in row.items()}}
            )
            continue
        if sheet.append_only:
            continue
        fields = {
            column.field: [to_json(before.get(column.field)), to_json(row[column.field])]
            for column in sheet.columns
            if not same(sheet, column, before.get(column.field, column.default), row[column.field])
        }
        if fields:
            changed.append(key)
            change.append({**_label(sheet, key), "fields": fields})
    return {"add": add, "change": change, "remove": []}, [*added, *changed]


def same(sheet: Sheet, column: Column, before: Value, after: Value) -> bool:
    """Whether two values mean the same; in references and lists capitals don't count."""
    if column.kind == LIST:
        return {i.casefold() for i in list_items(before)} == {i.casefold() for i in list_items(after)}
    if column.kind == OPTIONS:
        return (before or "") == (after or "")
    if sheet.reference_of(column.field):
        return fold(before) == fold(after)
    return before == after


def key_from_json(sheet: Sheet, parts: Sequence[Any]) -> Key:
    """The key of a row in the plan."""
    columns = sheet.by_field
    return tuple(from_json(columns[name], part) for name, part in zip(sheet.key, parts, strict=True))


def removals_of(plan: Plan) -> int:
    """How many rows a plan removes."""
    return int(plan["counts"].get("remove", 0))


def confirmation_of(plan: Plan) -> str:
    """What is asked of whoever confirms a plan that removes rows."""
    count = removals_of(plan)
    return f"This removes {count} row{'' if count == 1 else 's'}. Type {count} to confirm that they go."


def unusual_of(plan: Plan) -> int:
    """How many values of a plan are asked about; a plan made before that was asked has none."""
    return len(plan.get("questions", ()))


def unconfirmed(plan: Plan, *, removals: int | None, unusual: int | None) -> dict[str, str]:
    """What whoever confirms has not said yet, by the field that says it."""
    count, missing = unusual_of(plan), {}
    if removals_of(plan) not in (0, removals):
        missing["removals"] = confirmation_of(plan)
    if count not in (0, unusual):
        values, lie = ("value", "lies") if count == 1 else ("values", "lie")
        missing["unusual"] = (
            f"{count} {values} {lie} outside what is usual. Mend the workbook, or say here that they are as meant."
        )
    return missing
