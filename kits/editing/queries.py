"""What the pages of editing fetch: one row with what it may point at, the history, what goes with a removal."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any
from uuid import UUID

from django.db.models import Count, Max, Min, QuerySet
from django.utils import timezone

from kits.editing.cells import shown
from kits.editing.changes import needed_sheets, with_belonging
from kits.editing.forms import RowShape
from kits.exchange.bridge import load_state
from kits.exchange.columns import OPTIONS, Sheet, option_field, with_options
from kits.exchange.models import RowChange, UnusualValue
from kits.exchange.queries import confirmations_of
from kits.exchange.reader import features_of
from kits.exchange.sheets.bridge import BY_NAME, SHEETS
from kits.exchange.values import Key, Row, Rows, blank, fold, from_json, key_text, label_of, to_json
from vehicles.catalogue.models import LineFeature, ModelLine
from vehicles.records.access import name_of


@dataclass(frozen=True)
class RowPage:
    """One row, or the beginning of a new one, as its form shows it."""

    line: str
    sheet: Sheet
    key: Key | None
    shape: RowShape
    initial: dict[str, str] = field(default_factory=dict)
    seen: dict[str, Any] = field(default_factory=dict)

    @property
    def label(self) -> str:
        """What people call the row."""
        return key_text(self.initial.get(name) for name in self.sheet.key) if self.key else "a new one"


def is_line(code: str) -> bool:
    """Whether there is a model line of this code, however it is written."""
    return ModelLine.objects.filter(code__iexact=code).exists()


def row_page(line: str, sheet_name: str, key: Key | None, given: Mapping[str, str]) -> RowPage | None:
    """The row with this key, or a new one with some fields given; None when there is no such row."""
    base = BY_NAME[sheet_name]
    state = load_state(line, needed_sheets([base]))
    features = features_of(state.rows)
    sheet = with_options(base, features)
    by_field = {option_field(feature.code): feature for feature in features}
    of_line = {option_field(f"{row['feature']}") for row in state.rows["Line options"].values()}
    if not line and "kit" in sheet.by_field:
        of_line = _features_of_kit(f"{key[0]}" if key else given.get("kit", ""))
    fixed: set[str] = set()
    confirmed: dict[str, str] = {}
    if key is not None:
        row = state.rows[sheet_name].get(key)
        if row is None:
            return None
        initial = {column.field: shown(column, row.get(column.field)) for column in sheet.columns}
        seen = {name: to_json(value) for name, value in row.items()}
        fixed = {name for name in sheet.key if sheet.reference_of(name)}
        confirmed = {name: _told_by(found) for name, found in confirmations_of(sheet, line, row).items()}
    else:
        initial = {c.field: given.get(c.field, shown(c, blank(c))) for c in sheet.columns}
        initial.update(_next_number(sheet, state.rows, initial))
        seen = {}
        parent = sheet.parent
        fixed = {name for name in (parent.columns if parent else ()) if given.get(name)}
    shown_sheet = replace(
        sheet,
        columns=tuple(
            c
            for c in sheet.columns
            if c.kind != OPTIONS or not of_line or c.field in of_line or initial[c.field]
        ),
    )
    candidates = _candidates(sheet, state.rows, initial)
    shape = RowShape(shown_sheet, by_field, candidates, frozenset(fixed), confirmed)
    return RowPage(line, sheet, key, shape, initial, seen)


def as_recorded(person: Any, kind: str, today: date) -> dict[str, str]:
    """Where a value comes from that somebody found himself today, as a form holds it."""
    return {"origin_kind": kind, "origin_by": name_of(person)[:80], "origin_on": f"{today}"}


def _told_by(found: UnusualValue) -> str:
    by = name_of(found.act.person) or "the console"
    return f"Not usual; confirmed by {by} on {timezone.localtime(found.act.arrived):%Y-%m-%d}."


def _features_of_kit(code: str) -> set[str]:
    """The option columns of the lines a kit is offered for."""
    found = LineFeature.objects.filter(line__offers__kit__code__iexact=code)
    return {option_field(feature) for feature in found.values_list("feature__code", flat=True)}


def _next_number(sheet: Sheet, rows: Rows, initial: Mapping[str, str]) -> dict[str, str]:
    """The next free number of a row that is counted within its parent, in tens for positions and steps."""
    name = sheet.key[-1] if sheet.key else ""
    if name not in ("number", "step_order") or initial.get(name) or sheet.append_only:
        return {}
    before = [initial.get(part, "").casefold() for part in sheet.key[:-1]]
    taken = [
        row[name]
        for row in rows[sheet.name].values()
        if [f"{row[part]}".casefold() for part in sheet.key[:-1]] == before and isinstance(row[name], int)
    ]
    step = 10 if sheet.name == "Positions" else 1
    return {name: f"{(max(taken, default=0) // step + 1) * step}"}  # type: ignore[type-var, operator]


def _candidates(sheet: Sheet, rows: Rows, initial: Mapping[str, str]) -> dict[str, list[str]]:
    """What each reference may name, given what stands before it in the row."""
    found: dict[str, list[str]] = {}
    for reference in sheet.references:
        target = BY_NAME[reference.sheet]
        *context, last = reference.columns
        wanted = [initial.get(name, "").casefold() for name in context]
        names = [
            f"{row[target.key[-1]]}"
            for row in rows.get(reference.sheet, {}).values()
            if [f"{row[part]}".casefold() for part in target.key[:-1]] == wanted
        ]
        found.setdefault(last, sorted(dict.fromkeys(names), key=str.casefold))
    return found


def removal(line: str, sheet_name: str, key: Key) -> list[tuple[str, str]]:
    """What goes when the row is removed: sheet and label of the row itself and of all that belongs to it."""
    state = load_state(line)
    features = features_of(state.rows)
    sheets = {sheet.name: with_options(sheet, features) for sheet in SHEETS}
    if key not in state.rows[sheet_name]:
        return []
    return [
        (name, label_of(sheets[name], k)) for name, k in with_belonging(sheets, state.rows, sheet_name, key)
    ]


def history_of(sheet: Sheet, key: Key) -> QuerySet[RowChange]:
    """What was done to a row, the newest first."""
    label = label_of(sheet, key)[:300]
    return (
        RowChange.objects.filter(sheet=sheet.name, label__iexact=label)
        .select_related("act__person")
        .order_by("-act__arrived", "-pk")
    )


def acts(sheet: str = "", line: str = "", who: str = "", text: str = "") -> QuerySet[Any, Any]:
    """Acts, the newest first: who, when, why, how many rows of which sheets."""
    rows = RowChange.objects.all()
    if sheet:
        rows = rows.filter(sheet=sheet)
    if line:
        rows = rows.filter(line__iexact=line)
    if who:
        rows = rows.filter(act__person__username=who)
    if text:
        rows = rows.filter(label__icontains=text)
    return (
        rows.values("act__key", "act__reason", "act__arrived", "act__person__username", "line")
        .annotate(
            rows_count=Count("pk"), newest=Max("pk"), first_sheet=Min("sheet"),
            first_label=Min("label"),
        )
        .order_by("-act__arrived", "-newest")
    )  # fmt: skip


def changes_of(act: UUID) -> QuerySet[RowChange]:
    """The rows one act wrote."""
    return RowChange.objects.filter(act__key=act).select_related("act__person").order_by("pk")


@dataclass(frozen=True)
class Told:
    """One field of a change, as people read it."""

    head: str
    old: str
    new: str


def told(change: RowChange) -> list[Told]:
    """The fields a change touched; of a sheet that is gone, the fields' own names."""
    base = BY_NAME.get(change.sheet)
    columns = base.by_field if base else {}
    found = []
    for name, (old, new) in change.fields.items():
        column = columns.get(name)
        if column is None or column.kind == OPTIONS:
            head = name.partition(":")[2] or name.replace("_", " ")
            found.append(Told(head, f"{old or ''}", f"{new or ''}"))
        else:
            found.append(
                Told(
                    column.head, shown(column, from_json(column, old)), shown(column, from_json(column, new))
                )
            )
    return found


def line_options(line: str) -> dict[str, list[str]]:
    """The features of a line with the options that exist in it."""
    rows = load_state(line, ("Line options", "Features", "Options")).rows["Line options"]
    found: dict[str, list[str]] = {}
    for row in rows.values():
        found.setdefault(f"{row['feature']}", []).append(f"{row['option']}")
    return found


def variant_row(line: str, variant: str) -> Row | None:
    """The stored row of a variant, with its options."""
    return load_state(line, ("Variants", "Features", "Options")).rows["Variants"].get((fold(variant),))
