"""Writes the rows of a plan."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final

from django.apps import apps
from django.db import connection, models

from kits.exchange.bridge import State
from kits.exchange.check import step_target
from kits.exchange.columns import ONE_EACH, OPTIONS, TERMS, Sheet, with_options
from kits.exchange.layout import LINE_SHEET, STEP_LISTS, STEPS
from kits.exchange.models import RowChange, UnusualValue
from kits.exchange.plan import Plan, key_from_json
from kits.exchange.reader import features_of
from kits.exchange.sheets.bridge import SHEETS, model_of
from kits.exchange.values import Key, Row, fold, from_json, label_of, list_items, terms_of, to_json
from vehicles.records.models import Act

_BATCH: Final = 500


class Overtaken(Exception):
    """The stored rows are no longer those the plan was made from."""


class RowWriter:
    """One run of a plan inside the caller's transaction.

    `state` holds the stored rows of every sheet the plan names and of those they point at. What can be put together
    without writing is put together when it is made, which may be before the transaction: whoever runs it makes sure
    within the transaction that the rows are still those of the state.
    """

    def __init__(self, plan: Plan, state: State) -> None:
        self.plan = plan
        self.state = state
        self.sheets = [s for s in SHEETS if s.name in plan["sheets"]]
        self.history = self._told_rows()

    def run(self, act: Act) -> int:
        """Write the rows as part of an act; returns how many they are.

        It adds and changes from the first sheet to the last, then removes from the last to the first. Removing comes
        last, since what needed a row may have been changed to need another. Whoever runs it has made sure that the
        plan's questions were answered.
        """
        self.act = act
        for change in self.history:
            change.act = act
        RowChange.objects.bulk_create(self.history, batch_size=_BATCH)
        self._keep_confirmed()
        for base in self.sheets:
            sheet = with_options(base, features_of(self._feature_rows()))
            added = self._add(sheet, self._part(sheet, "add"))
            changed = self._change(sheet, self._part(sheet, "change"))
            if sheet.options:
                self._write_options(sheet, added, changed)
            if sheet.name == STEPS:
                self._write_fits(added, changed)
        for sheet in reversed(self.sheets):
            self._remove(sheet, self._part(sheet, "remove"))
        return len(self.history)

    def _told_rows(self) -> list[RowChange]:
        """The history of every row the plan names, with what it held before."""
        return [
            RowChange(
                line=self.plan["line"],
                sheet=sheet.name,
                label=self._label(sheet, kind, item)[:300],
                key=item["key"],
                kind=kind,
                fields=self._told(sheet, kind, item),
            )
            for sheet in self.sheets
            for kind in ("add", "change", "remove")
            for item in self._part(sheet, kind)
        ]

    def _keep_confirmed(self) -> None:
        """Keep who said of the plan's unusual values that they are as meant."""
        UnusualValue.objects.bulk_create(
            [
                UnusualValue(
                    act=self.act,
                    **{name: asked[name] for name in ("line", "sheet", "key", "field", "value")},
                )
                for asked in self.plan.get("questions", ())
            ],
            batch_size=_BATCH,
        )

    def _label(self, sheet: Sheet, kind: str, item: dict[str, Any]) -> str:
        """The row's key in its own capitals."""
        stored = self.state.rows[sheet.name].get(key_from_json(sheet, item["key"]), {})
        row = item["values"] if kind == "add" else stored
        return label_of(sheet, tuple(row.get(name) for name in sheet.key)) if row else str(item["label"])

    def _told(self, sheet: Sheet, kind: str, item: dict[str, Any]) -> dict[str, Any]:
        """Old and new value by field; of an added or removed row only what is filled."""
        if kind == "change":
            return dict(item["fields"])
        if kind == "add":
            return {name: [None, value] for name, value in item["values"].items() if value not in (None, "")}
        stored = self.state.rows[sheet.name].get(key_from_json(sheet, item["key"]), {})
        return {name: [to_json(value), None] for name, value in stored.items() if value not in (None, "")}

    def _part(self, sheet: Sheet, kind: str) -> list[dict[str, Any]]:
        found: list[dict[str, Any]] = self.plan["sheets"].get(sheet.name, {}).get(kind, [])
        return found

    def _feature_rows(self) -> dict[str, dict[Key, Row]]:
        return {name: self.state.rows[name] for name in ("Features", "Options")}

    def _id(self, sheet_name: str, key: Key) -> int:
        found = self.state.ids[sheet_name].get(key)
        if found is None:
            raise Overtaken
        return found

    def _remove(self, sheet: Sheet, items: list[dict[str, Any]]) -> None:
        if not items:
            return
        ids = [self._id(sheet.name, key_from_json(sheet, item["key"])) for item in items]
        model = model_of(sheet)
        for row in model._default_manager.filter(pk__in=ids):
            row.delete()

    def _add(self, sheet: Sheet, items: list[dict[str, Any]]) -> dict[int, Row]:
        """Create the rows; the values by new id."""
        model = model_of(sheet)
        rows = [self._values(sheet, item["values"]) for item in items]
        keys = [key_from_json(sheet, item["key"]) for item in items]
        if any(key in self.state.ids[sheet.name] for key in keys):
            raise Overtaken
        objects = [model(**self._fields(sheet, row, sheet.by_field)) for row in rows]
        made = model._default_manager.bulk_create(objects, batch_size=_BATCH)
        for key, made_row, row in zip(keys, made, rows, strict=True):
            self.state.ids[sheet.name][key] = made_row.pk
            self.state.rows[sheet.name][key] = row
            if sheet.name == LINE_SHEET:
                self.state.line_id = made_row.pk
        return {made_row.pk: row for made_row, row in zip(made, rows, strict=True)}

    def _change(self, sheet: Sheet, items: list[dict[str, Any]]) -> dict[int, Row]:
        """Update the rows; the new values of option and list columns among them by id."""
        model = model_of(sheet)
        changes: dict[int, Row] = {}
        for item in items:
            key = key_from_json(sheet, item["key"])
            row_id, stored = self._id(sheet.name, key), self.state.rows[sheet.name][key]
            for name, (old, _) in item["fields"].items():
                if to_json(stored.get(name, sheet.by_field[name].default)) != old:
                    raise Overtaken
            changes[row_id] = self._values(sheet, {name: new for name, (_, new) in item["fields"].items()})
            stored.update(changes[row_id])
            self._update_references(sheet, stored, changes[row_id])
        objects = list(model._default_manager.filter(pk__in=changes))
        written: set[str] = set()
        for row in objects:
            values = self._fields(sheet, changes[row.pk], changes[row.pk], line=False)
            if hasattr(row, "version"):
                values["version"] = row.version + 1
            for name, value in values.items():
                setattr(row, name, value)
            written |= set(values)
        self._update(model, objects, written)
        return changes

    def _update_references(self, sheet: Sheet, stored: Row, change: Row) -> None:
        """A reference of several columns needs all of them, though one changed."""
        for reference in sheet.references:
            if any(name in change for name in reference.columns):
                change.update({name: stored[name] for name in reference.columns})

    def _update(self, model: type[models.Model], objects: list[models.Model], fields: Iterable[str]) -> None:
        names = sorted(name.removesuffix("_id") if name not in _plain(model) else name for name in fields)
        if not objects or not names:
            return
        _update_rows(model, objects, names)

    def _values(self, sheet: Sheet, values: Mapping[str, Any]) -> Row:
        columns = sheet.by_field
        return {name: from_json(columns[name], value) for name, value in values.items()}

    def _fields(self, sheet: Sheet, row: Row, names: Iterable[str], *, line: bool = True) -> dict[str, Any]:
        """The model's own fields among these columns, and its foreign keys."""
        lists = {entry[0] for entry in STEP_LISTS} if sheet.name == STEPS else set()
        names = [n for n in names if n not in lists and sheet.by_field[n].kind != OPTIONS]
        fields: dict[str, Any] = {n: row[n] for n in names if sheet.reference_of(n) is None}
        for reference in sheet.references:
            if reference.columns[-1] in names:
                target = tuple(fold(row[name]) for name in reference.columns)
                is_blank = target[-1] in (None, "")
                fields[f"{reference.field}_id"] = None if is_blank else self._id(reference.sheet, target)
        if sheet.of_line and line:
            fields["line_id"] = self.state.line_id
        return fields

    def _write_options(self, sheet: Sheet, added: Mapping[int, Row], changed: Mapping[int, Row]) -> None:
        """Replace the options of each feature that the rows name."""
        model = apps.get_model(sheet.option_model)
        owner = f"{sheet.option_owner}_id"
        features = {column.field for column in sheet.columns if column.kind == OPTIONS}
        ids = {(f"option:{key[0]}", key[1]): pk for key, pk in self.state.ids["Options"].items()}
        stale: dict[str, list[int]] = defaultdict(list)
        objects = []
        for row_id, row in [*added.items(), *changed.items()]:
            for name in features & set(row):
                if row_id in changed:
                    stale[name].append(row_id)
                excluded, options = terms_of(row[name])
                for option in options:
                    fields = {owner: row_id, "option_id": ids[name, option.casefold()]}
                    if sheet.options == TERMS:
                        fields["excluded"] = excluded
                    if sheet.options == ONE_EACH:
                        fields["feature_id"] = self._id("Features", (name.partition(":")[2],))
                    objects.append(model(**fields))
        for name, owners in stale.items():
            code = name.partition(":")[2]
            feature_id = self._id("Features", (code,))
            model._default_manager.filter(option__feature_id=feature_id, **{f"{owner}__in": owners}).delete()
        model._default_manager.bulk_create(objects, batch_size=_BATCH)

    def _write_fits(self, added: Mapping[int, Row], changed: Mapping[int, Row]) -> None:
        """Replace what each step fits, joins and wires, for the lists the rows name."""
        model = apps.get_model("kits.StepFits")
        kits = {pk: key[0] for key, pk in self.state.ids[STEPS].items()}
        objects = []
        for name, field, target_sheet in STEP_LISTS:
            stale = [row_id for row_id, row in changed.items() if name in row]
            model._default_manager.filter(step_id__in=stale, **{f"{field}__isnull": False}).delete()
            for row_id, row in [*added.items(), *changed.items()]:
                for item in list_items(row.get(name)):
                    target = step_target(kits[row_id], name, item)
                    if target is None:
                        raise Overtaken
                    objects.append(model(step_id=row_id, **{f"{field}_id": self._id(target_sheet, target)}))
        model._default_manager.bulk_create(objects, batch_size=_BATCH)


def _update_rows(model: type[models.Model], objects: Sequence[models.Model], names: Iterable[str]) -> None:
    """Write these fields of the rows: one statement prepared once for all of them.

    One statement with a case for each row and field, as the ORM makes it, takes several times as long to put together.
    """
    by_name = {field.name: field for field in model._meta.concrete_fields}
    fields, key, quote = [by_name[name] for name in names], model._meta.pk, connection.ops.quote_name
    rows = [
        [field.get_db_prep_save(getattr(row, f"{field.attname}"), connection) for field in (*fields, key)]
        for row in objects
    ]
    columns = ", ".join(f"{quote(f'{field.column}')} = %s" for field in fields)
    table, one = quote(model._meta.db_table), quote(f"{key.column}")
    with connection.cursor() as cursor:
        cursor.executemany(f"UPDATE {table} SET {columns} WHERE {one} = %s", rows)  # noqa: S608 - names of ours


def _plain(model: type[models.Model]) -> set[str]:
    return {field.name for field in model._meta.concrete_fields}
