"""The layout says of the columns what the models say of the fields."""

from typing import Any

import pytest
from django.db import models

from kits.exchange.bridge import (
    checks_of,
    completed_sheets,
    line_path,
    model_of,
    path_of,
    rules_of,
    uniques_of,
)
from kits.exchange.columns import LINE, LIST, OF_ONE, head_of
from kits.exchange.layout import BY_NAME, SHEETS
from kits.exchange.rules import Unique
from vehicles.physics.ranges import range_of

KINDS = {
    "CharField": "text",
    "TextField": "text",
    "FloatField": "number",
    "PositiveSmallIntegerField": "whole number",
    "PositiveIntegerField": "whole number",
    "DecimalField": "decimal",
    "DateField": "date",
    "BooleanField": "yes/no",
}
# Filled by the program itself.
NOT_IN_A_WORKBOOK = {"id", "version", "line", "recorded_at"}


def test_heads_of_shares_say_so_and_only_they():
    said = {c.field for sheet in SHEETS for c in sheet.columns if c.head.endswith(OF_ONE)}
    for sheet in SHEETS:
        for column in sheet.columns:
            span = range_of(model_of(sheet).__name__, column.field)
            if column.field in said:
                assert span is None or (span.least >= 0 and span.most <= 1), column.field
    assert {"relative_humidity", "flap_leak_share", "shade_factor", "isentropic_effectiveness"} <= said
    assert said.isdisjoint({"loss_factor", "pressure_ratio", "beam_tau", "drop_exponent", "step"})


@pytest.mark.parametrize("sheet", completed_sheets(), ids=lambda sheet: sheet.name)
def test_columns_are_the_models_fields(sheet):
    model = model_of(sheet)
    for column in sheet.columns:
        if sheet.reference_of(column.field) or column.kind == LIST:
            continue
        field: Any = model._meta.get_field(column.field)
        assert column.kind == ("choice" if field.choices else KINDS[type(field).__name__])
        must = not field.null and not field.blank and not field.has_default()
        key = column.key and not sheet.append_only
        assert column.required == (must or key), column.field
    filled = {column.field for column in sheet.columns} | {r.field for r in sheet.references}
    assert {field.name for field in model._meta.concrete_fields} - filled <= NOT_IN_A_WORKBOOK


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet.name)
def test_a_sheet_points_only_at_sheets_before_it_by_their_whole_key(sheet):
    for reference in sheet.references:
        target = BY_NAME[reference.sheet]
        assert SHEETS.index(target) < SHEETS.index(sheet)
        assert len(reference.columns) == len(target.key)
        field: Any = model_of(sheet)._meta.get_field(reference.field)
        assert field.remote_field.model is model_of(target)


@pytest.mark.parametrize("sheet", [s for s in SHEETS if not s.append_only], ids=lambda sheet: sheet.name)
def test_the_key_is_what_the_database_holds_unique(sheet):
    """Each key is covered by one unique rule of the model, the line added where the line gives it."""
    references = {r.field: r.columns for r in sheet.references}
    model = model_of(sheet)
    found = [{f.name} for f in model._meta.concrete_fields if f.unique and not f.primary_key]
    for rule in model._meta.constraints:
        if isinstance(rule, models.UniqueConstraint):
            names = list(rule.fields)
            for expression in rule.expressions:
                inner: Any = getattr(expression, "get_source_expressions", list)()
                names += [getattr(part, "name", "") for part in (inner or [expression])]
            found.append(set(names))
    keys = [{c for name in names if name != "line" for c in references.get(name, (name,))} for names in found]
    assert set(sheet.key) in keys


def test_heads_of_a_sheet_differ():
    for sheet in SHEETS:
        heads = [column.head.casefold() for column in sheet.columns]
        assert len(heads) == len(set(heads)), sheet.name


def test_heads_carry_the_unit():
    assert head_of("leakage_m3_h", "number") == "leakage [m³/h]"
    assert head_of("u_w_m2k", "number") == "U [W/m²K]"
    assert head_of("built_from", "date") == "built from"


def test_each_sheet_of_the_line_leads_to_its_line():
    assert {sheet.name for sheet in SHEETS if line_path(sheet)} == {
        *(sheet.name for sheet in SHEETS if sheet.owner == LINE),
        "Hose runs",
        "Harness branches",
    }
    assert line_path(BY_NAME["Layers"]) == "surface__cabin__line"
    assert path_of(BY_NAME["Readings"], "kit") == "step__kit__code"


def fields_of(node: Any) -> set[str]:
    """The fields that a condition names."""
    if isinstance(node, models.Q):
        return set().union(*(fields_of(child) for child in node.children))
    return {str(node[0]).split("__")[0]}


def test_every_check_of_the_database_is_known_before_it_is_asked():
    """Each CHECK is a rule here, or a choice that the cell is held to."""
    for sheet in completed_sheets():
        choices = {column.field for column in sheet.columns if column.choices}
        checks: list[Any] = [
            c for c in model_of(sheet)._meta.constraints if isinstance(c, models.CheckConstraint)
        ]
        of_choices = [c for c in checks if fields_of(c.condition) <= choices]
        assert len(checks_of(sheet.name)) + len(of_choices) == len(checks), sheet.name


def test_a_check_is_left_out_only_where_the_range_of_its_number_says_more():
    for sheet in completed_sheets():
        rules = rules_of(sheet.name)
        for check in (one for one in checks_of(sheet.name) if one not in rules):
            (name,) = check.fields
            for value in (-1e9, -1.0, -1e-9, 0.0, 0.5, 1.0, 90.0, 400.0, 1e9):
                row = {name: value}
                if check.broken_by(row):
                    assert any(rule.broken_by(row) for rule in rules), (sheet.name, name, value)


def test_no_range_lets_in_what_the_database_refuses():
    told = []
    for sheet in completed_sheets():
        for check in (check for check in checks_of(sheet.name) if len(check.fields) == 1):
            (name,) = check.fields
            span = range_of(model_of(sheet).__name__, name)
            ends = (span.least, span.most) if span else ()
            told += [(sheet.name, check.sentence, end) for end in ends if check.broken_by({name: end})]
    assert told == []


def test_unique_rules_beside_the_key_are_known():
    assert uniques_of("Joints") == (
        Unique(("kit", "position_a", "port_a")),
        Unique(("kit", "position_b", "port_b")),
    )
    assert uniques_of("Supplier parts") == (Unique(("part_number",), ("and", ("preferred", "exact", True))),)
    assert {s.name for s in SHEETS if uniques_of(s.name)} == {"Joints", "Supplier parts"}
