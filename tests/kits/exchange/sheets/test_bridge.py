"""The sheets say what the models say of their fields, and leave nothing out without a reason."""

from typing import Any

import pytest
from django.db import models
from django.test.utils import isolate_apps

from kits.exchange.columns import LINE, LIST, OF_ONE, head_of
from kits.exchange.layout import LEFT_OUT, REFERENCE_COLUMNS, Table
from kits.exchange.sheets.bridge import BY_NAME, SHEETS, line_path, model_of, path_of, sheet_of
from kits.parts.models import Part, PartRevision
from vehicles.physics.ranges import range_of
from vehicles.records.models import WithOrigin

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


@isolate_apps("kits")
def test_a_field_of_a_model_is_a_column_by_that_alone():
    class Lamp(WithOrigin):
        revision = models.OneToOneField(PartRevision, models.CASCADE, related_name="+")
        bulb_w = models.FloatField(null=True, blank=True)
        colour = models.CharField(max_length=8, choices=[("amber", "amber"), ("red", "red")])
        dimmed_share = models.FloatField(default=0.5)
        recorded_at = models.DateTimeField(auto_now_add=True)

        class Meta:
            app_label = "kits"

    sheet = sheet_of(Table("Lamps", "kits.Lamp", "What shines."), Lamp, BY_NAME)
    own = [c for c in sheet.columns if not c.field.startswith("origin_")]
    assert own == list(sheet.columns[:5])
    assert [(c.head, c.kind, c.required, c.key, c.default) for c in own] == [
        ("part number", "text", True, True, None),
        ("part revision", "text", True, True, None),
        ("bulb [W]", "number", False, False, None),
        ("colour", "choice", True, False, None),
        ("dimmed share [0 to 1]", "number", False, False, 0.5),
    ]
    assert sheet.by_field["colour"].choices == ("amber", "red")
    assert [(r.field, r.sheet) for r in sheet.references] == [("revision", "Revisions")]


@isolate_apps("kits")
def test_rows_that_nothing_tells_apart_are_only_added_and_known_by_all_their_columns():
    class Glow(models.Model):
        part = models.ForeignKey(Part, models.CASCADE, related_name="+")
        glow_w = models.FloatField()
        note = models.CharField(max_length=20, blank=True)

        class Meta:
            app_label = "kits"

    sheet = sheet_of(Table("Glows", "kits.Glow", "What was measured."), Glow, BY_NAME)
    assert sheet.append_only and sheet.key == ("part_number", "glow_w", "note")
    assert [c.required for c in sheet.columns] == [True, True, False]


def test_what_is_written_down_beside_the_models_is_needed():
    fields = {field.name for sheet in SHEETS for field in model_of(sheet)._meta.concrete_fields}
    assert set(LEFT_OUT) <= fields
    assert set(REFERENCE_COLUMNS) <= {r.field for sheet in SHEETS for r in sheet.references}


def test_heads_of_shares_say_so_and_only_they():
    said = {c.field for sheet in SHEETS for c in sheet.columns if c.head.endswith(OF_ONE)}
    for sheet in SHEETS:
        for column in sheet.columns:
            span = range_of(model_of(sheet).__name__, column.field)
            if column.field in said:
                assert span is None or (span.least >= 0 and span.most <= 1), column.field
    assert {"relative_humidity", "flap_leak_share", "shade_factor", "isentropic_effectiveness"} <= said
    assert said.isdisjoint({"loss_factor", "pressure_ratio", "beam_tau", "drop_exponent", "step"})


@pytest.mark.parametrize("sheet", SHEETS, ids=lambda sheet: sheet.name)
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
    assert {field.name for field in model._meta.concrete_fields} - filled <= set(LEFT_OUT)


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
