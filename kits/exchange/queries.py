"""What is fetched for a workbook: the export of a line, and what stands in the way of a removal."""

from collections.abc import Iterable, Iterator
from typing import Any

from django.db import models
from django.db.models.deletion import Collector, ProtectedError, RestrictedError

from kits.exchange.bridge import State, load_state
from kits.exchange.columns import Sheet, with_options
from kits.exchange.merge import Merged
from kits.exchange.models import UnusualValue
from kits.exchange.plan import Plan
from kits.exchange.reader import features_of
from kits.exchange.sheets.bridge import BY_NAME, SHEETS, model_of
from kits.exchange.unusual import canonical, line_of, place_of, ranged, token_of
from kits.exchange.used import used_rows
from kits.exchange.values import Row, key_text
from kits.exchange.writer import write_workbook
from vehicles.catalogue.models import ModelLine


def export_workbook(line: ModelLine) -> bytes:
    """The workbook of a model line: every row it owns, and every shared row it uses."""
    state = load_state(line.code)
    everything = {name: with_options(sheet, features_of(state.rows)) for name, sheet in BY_NAME.items()}
    rows = used_rows(everything, state.rows)
    features = features_of(rows)
    return write_workbook(line.code, [with_options(sheet, features) for sheet in SHEETS], rows)


def blank_workbook() -> bytes:
    """A workbook without rows but the features and options that are known, which head its columns."""
    known = load_state("", only=("Features", "Options")).rows
    features = features_of(known)
    sheets = [with_options(sheet, features) for sheet in SHEETS]
    return write_workbook("", sheets, known, complete=False, blank=True)


def refusals(state: State, merged: Merged) -> Iterator[tuple[str, str]]:
    """The sheet and a sentence for each row that would go though rows outside the workbook need it.

    Rows that have a sheet are compared before they come here.
    """
    known = {(model_of(BY_NAME[name]), row_id) for name, ids in state.ids.items() for row_id in ids.values()}
    for name, keys in merged.removed.items():
        model = model_of(BY_NAME[name])
        rows = model._default_manager.in_bulk([state.ids[name][key] for key in keys])
        for key in keys:
            in_the_way = [
                row for row in _protecting(rows[state.ids[name][key]]) if (type(row), row.pk) not in known
            ]
            if in_the_way:
                kinds = sorted({str(row._meta.verbose_name) for row in in_the_way})
                yield (
                    name,
                    f"{key_text(key)} would be removed, but {len(in_the_way)} stored rows need it "
                    f"({', '.join(kinds)}).",
                )


def without_confirmed(plan: Plan) -> Plan:
    """The plan without the questions about values that were confirmed at their place before."""
    asked = plan["questions"]
    if not asked:
        return plan
    places = {"sheet__in": {one["sheet"] for one in asked}, "field__in": {one["field"] for one in asked}}
    known = set(_tokens(UnusualValue.objects.filter(**places).values(*_TOLD)))
    return {**plan, "questions": [one for one in asked if not known.intersection(_tokens([one]))]}


def confirmations_of(sheet: Sheet, line: str, row: Row) -> dict[str, UnusualValue]:
    """Who said of the row's values that are not usual that they are as meant, by field."""
    values = {
        name: (row[name], span) for name, (_, span) in ranged(sheet).items() if row.get(name) is not None
    }
    unusual = {
        name: canonical(v) for name, (v, span) in values.items() if not span.is_usual(float(canonical(v)))
    }
    if not unusual:
        return {}
    of_place = UnusualValue.objects.filter(line=line_of(sheet, line), sheet=sheet.name, field__in=unusual)
    place = place_of(sheet, row)
    return {
        found.field: found
        for found in of_place.select_related("act__person")
        if found.key == place and found.value == unusual[found.field]
    }


_TOLD = ("line", "sheet", "key", "field", "value")


def _tokens(values: Iterable[Any]) -> Iterator[str]:
    for one in values:
        yield token_of(*(one[name] for name in _TOLD))


def _protecting(row: models.Model) -> list[models.Model]:
    collector = Collector(using=row._state.db or "default", origin=row)
    try:
        collector.collect([row])
    except ProtectedError as error:
        return [found for found in error.protected_objects if isinstance(found, models.Model)]
    except RestrictedError as error:
        return [found for found in error.restricted_objects if isinstance(found, models.Model)]
    return []
