"""The sheets, each read from its model: a field is a column.

Columns stand in the order of the fields, those of the origin last. A field tells what a cell holds, its choices,
lengths and bounds, and whether it may be blank; its name gives the head. The key is what the model holds
unique; rows of a model that holds nothing unique are only added, each known by all its columns. In the place of a
foreign key, a number nobody can read, stand the key columns of the row that it points at.
"""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from django.apps import apps
from django.core.validators import RegexValidator
from django.db import models

from kits.exchange.columns import (
    CHOICE,
    DATE,
    DECIMAL,
    LINE,
    LIST,
    NUMBER,
    SHARED,
    TEXT,
    WHOLE,
    YES_NO,
    Column,
    Reference,
    Sheet,
    head_of,
)
from kits.exchange.layout import LEFT_OUT, LINE_SHEET, REFERENCE_COLUMNS, STEP_LISTS, STEPS, TABLES, Table
from vehicles.records.models import CODE, WithOrigin

_KINDS: Final[dict[type, str]] = {
    models.CharField: TEXT,
    models.TextField: TEXT,
    models.FloatField: NUMBER,
    models.PositiveSmallIntegerField: WHOLE,
    models.PositiveIntegerField: WHOLE,
    models.DecimalField: DECIMAL,
    models.DateField: DATE,
    models.BooleanField: YES_NO,
}
_WHOLE_HIGH: Final = {models.PositiveSmallIntegerField: 32_767, models.PositiveIntegerField: 2_147_483_647}
_OF_ORIGIN: Final = {field.name for field in WithOrigin._meta.fields}


def sheet_of(table: Table, model: type[models.Model], before: Mapping[str, Sheet]) -> Sheet:
    """The sheet of a table, with all that its model says; `before` holds the sheets that it may point at."""
    unique = _unique(model)
    by_model = {sheet.model: sheet for sheet in before.values()}
    columns: dict[str, Column] = {}
    references = []
    for field in _fields(model):
        if field.remote_field:
            target = by_model[field.related_model._meta.label]
            found = _columns_that_name(field, target)
            references.append(Reference(field.name, target.name, tuple(column.field for column in found)))
        else:
            found = [_column(field)]
        in_key = field.name in unique
        must = in_key or not (field.null or field.blank or field.has_default())
        for column in found:
            columns.setdefault(column.field, replace(column, key=in_key or not unique, required=must))
    if table.name == STEPS:
        columns |= {name: Column(name, head_of(name, LIST), LIST, default="") for name, _, _ in STEP_LISTS}
    # A row is the line's when it names the line, or when what it is known by belongs to the line.
    of_line = _has(model, "line")
    key = {column.field for column in columns.values() if column.key}
    owners = {before[reference.sheet].owner for reference in references if key.issuperset(reference.columns)}
    terms = _terms(model) if table.options else None
    return Sheet(
        name=table.name,
        model=table.model,
        owner=LINE if of_line or table.name == LINE_SHEET or LINE in owners else SHARED,
        purpose=table.purpose,
        columns=tuple(columns.values()),
        references=tuple(references),
        of_line=of_line,
        append_only=not unique,
        options=table.options,
        option_model=terms.model._meta.label if terms else "",
        option_owner=terms.name if terms else "",
    )


def _fields(model: type[models.Model]) -> list[Any]:
    """The fields that have a column, those of the origin last."""
    fields = [field for field in model._meta.concrete_fields if field.name not in LEFT_OUT]
    return sorted(fields, key=lambda field: field.name in _OF_ORIGIN)


def _unique(model: type[models.Model]) -> set[str]:
    """The fields that tell one row from another: those of the first rule of uniqueness that holds for all rows."""
    for field in model._meta.concrete_fields:
        if field.unique and not field.primary_key:
            return {field.name}
    for rule in model._meta.constraints:
        if isinstance(rule, models.UniqueConstraint) and rule.condition is None:
            named: list[Any] = [*rule.expressions]  # F("line"), or Lower("code") around such an F
            named = [one if isinstance(one, models.F) else one.get_source_expressions()[0] for one in named]
            return {*rule.fields, *(one.name for one in named)}
    return set()


def _column(field: Any) -> Column:
    """The column of a field that is no reference."""
    kind = CHOICE if field.choices else _KINDS[type(field)]
    pattern, says = _pattern(field)
    default = field.get_default() if field.has_default() else None
    return Column(
        field.name,
        head_of(field.name, kind),
        kind,
        choices=tuple(str(key) for key, _ in field.choices or ()),
        max_length=getattr(field, "max_length", None),
        decimals=getattr(field, "decimal_places", None),
        low=0 if type(field) in _WHOLE_HIGH else None,
        high=_high(field),
        pattern=pattern,
        pattern_says=says,
        default=float(default) if kind == NUMBER and default is not None else default,
    )


def _high(field: Any) -> int | None:
    if isinstance(field, models.DecimalField):
        return int(10 ** (field.max_digits - field.decimal_places)) - 1
    return _WHOLE_HIGH.get(type(field))


def _pattern(field: Any) -> tuple[str, str]:
    """The pattern of a field, and the sentence for it unless it is the pattern of all codes."""
    for validator in field.validators:
        if type(validator) is RegexValidator:
            pattern = str(getattr(validator.regex, "pattern", ""))
            return pattern, "" if pattern == CODE else str(validator.message)
    return "", ""


def _columns_that_name(field: Any, target: Sheet) -> list[Column]:
    """The key of the row that a field points at: the row's own part of it is called as the field is."""
    found = []
    for column in (column for column in target.columns if column.key):
        of_others = target.reference_of(column.field)
        name = column.field if of_others else REFERENCE_COLUMNS.get(field.name, field.name)
        head = head_of(name, column.kind)
        found.append(replace(column, field=name, head=head, pattern="", pattern_says="", default=None))
    return found


def _has(model: type[models.Model], name: str) -> bool:
    return any(field.name == name for field in model._meta.concrete_fields)


def _terms(model: type[models.Model]) -> Any:
    """The field by which the rows that hold an option each point at the model."""
    return next(r.field for r in model._meta.related_objects if _has(r.related_model, "option"))


def _sheets() -> dict[str, Sheet]:
    found: dict[str, Sheet] = {}
    for table in TABLES:
        found[table.name] = sheet_of(table, apps.get_model(table.model), found)
    return found


BY_NAME: Final = _sheets()
SHEETS: Final = tuple(BY_NAME.values())


def model_of(sheet: Sheet) -> type[models.Model]:
    """The model of a sheet."""
    return apps.get_model(sheet.model)


def path_of(sheet: Sheet, name: str) -> str:
    """The path from the sheet's model to what a column shows: "position__kit__code"."""
    reference = sheet.reference_of(name)
    if reference is None:
        return name
    target = BY_NAME[reference.sheet]
    return f"{reference.field}__{path_of(target, target.key[reference.columns.index(name)])}"


def line_path(sheet: Sheet) -> str | None:
    """The path from the sheet's model to its model line, or None when its rows belong to no line."""
    if sheet.name == LINE_SHEET:
        return "pk"
    if sheet.of_line:
        return "line"
    for reference in sheet.references:
        target = BY_NAME[reference.sheet]
        if target.owner == LINE and (path := line_path(target)):
            return f"{reference.field}__{path}"
    return None
