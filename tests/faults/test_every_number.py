"""Every number that a person can enter, made absurd one at a time, is refused in a sentence or sized in one."""

import dataclasses
import math
from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest
from django.db import transaction

from kits.bom.resolved import explode
from kits.editing.actions import edit_rows
from kits.editing.changes import RowEdit
from kits.exchange.bridge import load_state
from kits.exchange.columns import LINE, NUMERIC, WHOLE
from kits.exchange.sheets.bridge import SHEETS, line_path
from kits.exchange.values import Key
from kits.fitment.bridge import load_catalogue, size_catalogue
from kits.sizing.verdict.record import VERDICTS
from tests.sampling import sampler
from vehicles.records.access import CONSOLE

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]
ON = date(2026, 11, 25)
FITMENTS = (
    ("S4-DASH", "S4", "CP12L"), ("V30-BELT", "V30", "S18L"), ("V30-EV", "V30", "SEVL"), ("M220-UNDER", "M220", "SLH"),
)  # fmt: skip
COLUMNS = [(s.name, c.field) for s in SHEETS for c in s.columns if c.kind in NUMERIC and not c.key]
A_RUN = 2
# of which no row of the demonstration says anything; tests of their rooms make rows of their own
NOWHERE = {
    ("Layers", "thickness_mm"), ("Layers", "conductivity_w_mk"), ("Openings", "area_m2"), ("Openings", "height_m"),
    ("Duty points", "day"), ("Duty points", "heading_deg"), ("Duty points", "fresh_share"),
    ("Water valves", "supply_voltage_v"), ("Generators", "rated_voltage_v"), ("Generators", "rated_current_a"),
    ("Generators", "pulley_mm"), ("Generator curve", "current_a"),
}  # fmt: skip
# what no refrigerating kit of a car comes to, whatever its parts
RANGES = {
    "capacity_w": (0, 40_000), "power_w": (0, 20_000), "cop": (0, 25), "condensing_c": (-40, 130),
    "evaporating_c": (-60, 40), "vent_c": (-40, 90), "high_side_bar_g": (-1, 60), "low_side_bar_g": (-1, 30),
    "flow_g_s": (0, 500), "load_w": (-10_000, 40_000), "holds_c": (-60, 100),
}  # fmt: skip


def pytest_generate_tests(metafunc):
    """A run takes some of the columns, another run others."""
    if "column" in metafunc.fixturenames:
        some = sampler(metafunc.config)(COLUMNS, A_RUN)
        metafunc.parametrize("column", some, ids=[f"{sheet} {field}" for sheet, field in some])


def absurd(value: Any, whole: bool) -> Iterator[Any]:
    """The number ten times as large, a tenth, nothing, negative, and none at all."""
    yield from (value * 10, value // 10 if whole else value / 10, type(value)(0), -value, None)


def mine(fitment: tuple[str, str, str]) -> set[str]:
    """The codes by which rows belong to a fitment."""
    (row,) = (catalogue := load_catalogue([fitment], ON)).fitments
    kit, car = catalogue.resolve(row), row.row.variant
    used = {held.part for held in kit.plant.values()} | {item.item.part for item in explode(kit)}
    points = {point.code for point, _ in row.duty_points}
    sites = {point.site.code for point, _ in row.duty_points if point.site}
    duty_set = {row.duty_set.code} if row.duty_set else set()
    codes = {*fitment, car.cabin.code, car.powertrain.code, *used, *points, *sites, *duty_set}
    return {code.casefold() for code in codes}


def found(column: tuple[str, str]) -> tuple[tuple[str, str, str], Key, Any] | None:
    """A fitment with a row of the sheet that holds a number there: one of its own, else any of its line."""
    sheet, field = column
    others = None
    for fitment in FITMENTS:
        codes = mine(fitment)
        for key, row in load_state(fitment[1]).rows[sheet].items():
            if row.get(field) is not None:
                if str(key[0]).casefold() in codes:
                    return fitment, key, row[field]
                others = others or (fitment, key, row[field])
    return others


def numbers(value: Any, path: str = "") -> Iterator[tuple[str, float]]:
    """Every number within a record, by its path."""
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from numbers(inner, f"{path}.{name}")
    elif isinstance(value, (tuple, list)):
        for at, inner in enumerate(value):
            yield from numbers(inner, f"{path}.{at}")
    elif isinstance(value, float):
        yield path, value


def test_an_absurd_number_is_refused_or_answered_in_range(column, lines):
    sheet, field = column
    spoilt = found(column)
    assert (spoilt is None) == (column in NOWHERE), "a number that nothing holds is not made absurd"
    if spoilt is None:
        return
    fitment, key, value = spoilt
    by_name = {one.name: one for one in SHEETS}
    # a shared sheet may hold rows that name something of one line
    line = fitment[1] if by_name[sheet].owner == LINE or line_path(by_name[sheet]) else ""
    for wrong in absurd(value, by_name[sheet].by_field[field].kind == WHOLE):
        with transaction.atomic():
            edit = RowEdit("change", sheet, key, {field: wrong})
            written = edit_rows(actor=CONSOLE, line=line, edits=[edit], reason="an absurd number", meant=None)
            if written.problems:
                assert all(problem.sentence for problem in written.problems)
            else:
                for one in size_catalogue(load_catalogue([fitment], ON)):
                    judge(one.record, f"{sheet} {key} {field}: {value} made {wrong}")
            transaction.set_rollback(True)


def judge(record, told: str) -> None:
    """An answer in range, or a sentence with its place."""
    assert record.verdict in VERDICTS, told
    assert record.verdict != "not sized" or all(gap.sentence and gap.where for gap in record.missing), told
    assert record.verdict != "not sized" or record.missing, told
    endless = [path for path, number in numbers(dataclasses.asdict(record)) if not math.isfinite(number)]
    assert endless == [], told
    for duty in record.duties:
        for name, (low, high) in RANGES.items():
            number = getattr(duty, name)
            assert number is None or low <= number <= high, f"{told}: {duty.code} {name} {number}"
