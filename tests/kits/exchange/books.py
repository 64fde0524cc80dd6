"""What the tests of this folder do with workbooks."""

import io

from django.apps import apps
from openpyxl import load_workbook

from kits.exchange.actions import apply_plan, check_workbook
from kits.exchange.bridge import load_state
from kits.exchange.sheets.bridge import SHEETS, model_of
from tests.kits.exchange.rows import some_sheets
from vehicles.records.access import CONSOLE


def check(content):
    """The plan of a workbook."""
    return check_workbook(actor=CONSOLE, file_name="s4.xlsx", content=content)


def load(content):
    """Check and apply a workbook that has no mistakes."""
    plan = check(content)
    assert plan.plan["problems"] == [], plan.plan["problems"][:3]
    said = {"removals": plan.plan["counts"]["remove"], "unusual": len(plan.plan["questions"])}
    plan = apply_plan(actor=CONSOLE, plan_id=plan.pk, **said)
    assert plan.state == "applied", plan.plan["problems"]
    return plan


def opened(content):
    """The workbook as a person's program opens it."""
    return load_workbook(io.BytesIO(content))


def saved(book):
    """The bytes of a workbook."""
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def edited(cells, content=None):
    """A workbook of the sheets named (or content), with cells changed: {(sheet, row, head): value}."""
    book = opened(content or some_sheets({sheet for sheet, _, _ in cells}))
    for (sheet, row, head), value in cells.items():
        heads = [cell.value for cell in book[sheet][1]]
        book[sheet].cell(row, heads.index(head) + 1).value = value
    return saved(book)


def side_tables():
    """The models without a sheet of their own: options and what steps fit."""
    return ["kits.StepFits", *(sheet.option_model for sheet in SHEETS if sheet.option_model)]


def rows_from(line):
    """All rows of a line by natural key, and how many rows stand in each table."""
    tables = [*side_tables(), *(sheet.model for sheet in SHEETS)]
    counts = {name: apps.get_model(name)._default_manager.count() for name in tables}
    return load_state(line).rows, counts


def empty_tables():
    """Delete everything that came in a workbook."""
    for name in side_tables():
        apps.get_model(name)._default_manager.all().delete()
    for sheet in reversed(SHEETS):
        model_of(sheet)._default_manager.all().delete()
