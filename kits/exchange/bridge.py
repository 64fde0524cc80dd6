"""Between models and workbook: what a row must keep by its model's rules, and the stored rows as its rows."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from django.apps import apps
from django.db import models
from django.db.models.expressions import CombinedExpression, F

from kits.exchange.columns import CHOICE, LINE, TERMS, TEXT, Column, Sheet, option_field
from kits.exchange.layout import RULE_SENTENCES, STEP_LISTS, STEPS
from kits.exchange.rules import Field, Minus, Rule, Unique
from kits.exchange.sheets.bridge import BY_NAME, SHEETS, line_path, model_of, path_of
from kits.exchange.values import Key, Row, Rows, Value, blank, clean_text, fold, key_of, list_text, terms_text
from vehicles.physics.ranges import range_of


@dataclass
class State:
    """The stored rows of one line and of everything shared, and their ids by key.

    `elsewhere` holds the keys of shared sheets' rows that belong to another model line.
    """

    line_id: int | None
    rows: Rows = field(default_factory=dict)
    ids: dict[str, dict[Key, int]] = field(default_factory=dict)
    elsewhere: dict[str, set[Key]] = field(default_factory=dict)


@cache
def rules_of(name: str) -> tuple[Rule, ...]:
    """What a row of the sheet must keep: what is possible of its numbers, and the checks of its model.

    A check that refuses nothing within a number's range is left out: one sentence is enough.
    """
    ranged = {rule.fields[0]: rule for rule in _range_rules(BY_NAME[name])}
    checks = [rule for rule in checks_of(name) if not _is_wider(rule, ranged)]
    return (*ranged.values(), *checks)


@cache
def checks_of(name: str) -> tuple[Rule, ...]:
    """The checks of the sheet's model that its columns can answer."""
    sheet = BY_NAME[name]
    columns = _plain_columns(sheet)
    rules = []
    for constraint in model_of(sheet)._meta.constraints:
        if not isinstance(constraint, models.CheckConstraint):
            continue
        condition, used = _condition(constraint.condition)
        if not set(used) <= set(columns) or all(columns[f].kind == CHOICE for f in used):
            continue  # a choice alone is checked in the cell; references by the row they point at
        said, of = _sentence(columns, used[0], condition)
        fields = tuple(dict.fromkeys([of, *used]))
        rules.append(Rule(fields, condition, RULE_SENTENCES.get(constraint.name) or said))
    return tuple(rules)


def _range_rules(sheet: Sheet) -> list[Rule]:
    """What is possible at all of the sheet's numbers."""
    model, found = model_of(sheet).__name__, []
    for name, column in _plain_columns(sheet).items():
        span = range_of(model, name)
        if span is not None:
            condition = ("and", (name, "gte", span.least), (name, "lte", span.most))
            sentence = f"{_capital(column.head)} must be at least {span.least:,g} and at most {span.most:,g}."
            found.append(Rule((name,), condition, sentence, span))
    return found


def _is_wider(check: Rule, ranged: Mapping[str, Rule]) -> bool:
    """Whether a check of one number's limits refuses nothing that lies within its range."""
    if len(check.fields) > 1 or check.fields[0] not in ranged:
        return False
    (name,) = check.fields
    lookups = {lookup for _, lookup, _ in _limits(check.condition)}
    ends = [value for _, _, value in _limits(ranged[name].condition)]
    return lookups <= {*_WORDS, "isnull"} and not any(check.broken_by({name: end}) for end in ends)


def _plain_columns(sheet: Sheet) -> dict[str, Column]:
    """The columns that hold a field of the model itself, or the one code of what it points at."""
    alone = {r.columns[0] for r in sheet.references if r.columns == (r.field,)}
    return {c.field: c for c in sheet.columns if c.field in alone or not sheet.reference_of(c.field)}


def _condition(node: Any) -> tuple[tuple[Any, ...], list[str]]:
    """A Q as a condition, and the fields it names."""
    if isinstance(node, models.Q):
        parts = [_condition(child) for child in node.children]
        whole: tuple[Any, ...] = (node.connector.casefold(), *(part for part, _ in parts))
        return (("not", whole) if node.negated else whole), [name for _, names in parts for name in names]
    path, raw = node
    name, _, lookup = path.partition("__")
    value, used = _term(raw)
    return (name, lookup or "exact", value), [name, *used]


def _term(raw: Any) -> tuple[Any, list[str]]:
    if isinstance(raw, F):
        name = str(raw.deconstruct()[1][0])
        return Field(name), [name]
    if isinstance(raw, CombinedExpression):
        if raw.connector != "-":
            raise NotImplementedError(f"A rule with {raw.connector} is not read.")
        (left, used_left), (right, used_right) = _term(raw.lhs), _term(raw.rhs)
        return Minus(left, right), used_left + used_right
    return (raw.value, []) if isinstance(raw, models.Value) else (raw, [])


_WORDS = {"gt": "above", "gte": "at least", "lt": "below", "lte": "at most"}


def _sentence(columns: dict[str, Column], first: str, condition: tuple[Any, ...]) -> tuple[str, str]:
    """What a rule asks for, in words, and the field it speaks of."""
    limits = [limit for limit in _limits(condition) if limit[1] in _WORDS]
    if limits:
        of = limits[0][0]
        said = " and ".join(f"{_WORDS[lookup]} {_named(columns, value)}" for _, lookup, value in limits)
        return f"{_capital(columns[of].head)} must be {said}.", of
    others = [value for _, _, value in _limits(condition) if isinstance(value, Field)]
    words = f"must differ from {_named(columns, others[0])}" if others else "is not possible so"
    return f"{_capital(columns[first].head)} {words}.", first


def _named(columns: dict[str, Column], value: Any) -> str:
    return columns[value.name].head if isinstance(value, Field) else f"{value}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _limits(condition: tuple[Any, ...]) -> list[tuple[str, str, Any]]:
    if condition[0] in ("and", "or", "not"):
        return [limit for part in condition[1:] for limit in _limits(part)]
    return [(condition[0], condition[1], condition[2])]


@cache
def uniques_of(name: str) -> tuple[Unique, ...]:
    """Columns that must be unique together, beside the key; some only among rows of a kind."""
    sheet = BY_NAME[name]
    references = {r.field: r.columns for r in sheet.references}
    found = []
    for constraint in model_of(sheet)._meta.constraints:
        if isinstance(constraint, models.UniqueConstraint) and constraint.fields:
            fields = tuple(c for f in constraint.fields for c in references.get(f, (f,)) if f != "line")
            if set(fields) != set(sheet.key):
                among = _condition(constraint.condition)[0] if constraint.condition is not None else None
                found.append(Unique(fields, among))
    return tuple(found)


def used_elsewhere(line_id: int | None) -> dict[tuple[str, Key], set[str]]:
    """The codes of the other lines that name a shared row directly: a constant number of queries."""
    found: dict[tuple[str, Key], set[str]] = defaultdict(set)
    for sheet in SHEETS:
        path = line_path(sheet)
        for reference in sheet.references:
            target = BY_NAME[reference.sheet]
            if path is None or target.owner == LINE:
                continue
            keys = [f"{reference.field}__{path_of(target, name)}" for name in target.key]
            rows: Any = model_of(sheet)._default_manager.order_by().exclude(**{path: line_id})
            for line, *key in rows.values_list(f"{path}__code", *keys).distinct():
                found[target.name, tuple(fold(part) for part in key)].add(line)
    return found


def load_state(line_code: str, only: Collection[str] = BY_NAME) -> State:
    """The stored rows of the line and of the shared sheets (or only some): a constant number of queries."""
    line_model = apps.get_model("vehicles.ModelLine")
    line_id = line_model._default_manager.filter(code__iexact=line_code).values_list("pk", flat=True).first()
    state = State(line_id)
    features = list(apps.get_model("vehicles.Feature")._default_manager.values_list("code", flat=True))
    for sheet in (sheet for sheet in SHEETS if sheet.name in only):
        by_id = _load_sheet(state, sheet)
        if sheet.options:
            for row in by_id.values():
                row.update((option_field(code), "") for code in features)
            _load_options(sheet, by_id)
        if sheet.name == STEPS:
            _load_fits(by_id)
        _hide_elsewhere(state, sheet)
    return state


def _hide_elsewhere(state: State, sheet: Sheet) -> None:
    """Leave blank what a shared row may name and names in another line, such as a wire's branch on a route there.

    The line's workbook can't name it, and an unchanged blank changes nothing.
    """
    for reference in sheet.references:
        last = reference.columns[-1]
        elsewhere = state.elsewhere.get(reference.sheet)
        if elsewhere and not sheet.by_field[last].required:
            for row in state.rows[sheet.name].values():
                if tuple(fold(row[name]) for name in reference.columns) in elsewhere:
                    row[last] = blank(sheet.by_field[last])


def _load_sheet(state: State, sheet: Sheet) -> dict[int, Row]:
    lists = {entry[0] for entry in STEP_LISTS} if sheet.name == STEPS else set()
    columns = [column for column in sheet.columns if column.field not in lists]
    path = line_path(sheet)
    queryset: Any = model_of(sheet)._default_manager.order_by("pk")
    paths = ["pk", *([path] if path else []), *(path_of(sheet, column.field) for column in columns)]
    if sheet.owner == LINE:
        queryset = queryset.filter(**{str(path): state.line_id}) if state.line_id else queryset.none()
    rows: dict[Key, Row] = {}
    ids: dict[Key, int] = {}
    elsewhere: set[Key] = set()
    by_id: dict[int, Row] = {}
    for record in queryset.values_list(*paths):
        values = record[2:] if path else record[1:]
        row = {c.field: _clean(c, v) for c, v in zip(columns, values, strict=True)}
        key = key_of(sheet, row)
        if path and record[1] != state.line_id:
            elsewhere.add(key)
            continue
        rows[key], ids[key], by_id[record[0]] = row, record[0], row
    state.rows[sheet.name], state.ids[sheet.name] = rows, ids
    if elsewhere:
        state.elsewhere[sheet.name] = elsewhere
    return by_id


def _clean(column: Column, value: Any) -> Value:
    if value is None:
        return blank(column) if column.kind in (TEXT, CHOICE) else None
    stored: Value = clean_text(value) if isinstance(value, str) else value
    return stored


def _load_options(sheet: Sheet, by_id: dict[int, Row]) -> None:
    model = apps.get_model(sheet.option_model)
    found: dict[tuple[int, str], list[str]] = defaultdict(list)
    excluded: set[tuple[int, str]] = set()
    owner = f"{sheet.option_owner}_id"
    fields = [owner, "option__feature__code", "option__code"]
    if sheet.options == TERMS:
        fields.append("excluded")
    for owner_id, feature, option, *rest in model._default_manager.values_list(*fields):
        place = (owner_id, option_field(feature))
        found[place].append(option)
        if any(rest):
            excluded.add(place)
    for (owner_id, name), options in found.items():
        if owner_id in by_id:
            by_id[owner_id][name] = terms_text(options, excluded=(owner_id, name) in excluded)


def _load_fits(by_id: dict[int, Row]) -> None:
    model = apps.get_model("kits.StepFits")
    found: dict[tuple[int, str], list[str]] = defaultdict(list)
    fields = ("step_id", "position__number", "joint__code", "circuit__position__number", "circuit__number")
    for step_id, position, joint, harness, circuit in model._default_manager.values_list(*fields):
        if position is not None:
            found[step_id, "fits_positions"].append(str(position))
        elif joint is not None:
            found[step_id, "joins_joints"].append(joint)
        else:
            found[step_id, "wires_circuits"].append(f"{harness}/{circuit}")
    for step_id, row in by_id.items():
        for name, _, _ in STEP_LISTS:
            row[name] = list_text(found.get((step_id, name), ()))
