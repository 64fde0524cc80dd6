"""A small made-up line with a row or two in every sheet, as plain rows."""

from datetime import date
from decimal import Decimal
from functools import cache

from kits.exchange.columns import (
    CHOICE,
    DATE,
    DECIMAL,
    NO_OPTIONS,
    NUMBER,
    ONE_EACH,
    SEVERAL,
    WHOLE,
    YES_NO,
    FeatureOptions,
    with_options,
)
from kits.exchange.layout import LINE_SHEET, STEPS
from kits.exchange.sheets.bridge import SHEETS
from kits.exchange.values import key_of
from kits.exchange.writer import write_workbook
from vehicles.physics.ranges import range_of

LINE = "S4"
FEATURES = [
    FeatureOptions("side", "Steering side", {"left": "left", "right": "right"}),
    FeatureOptions("volt", "Voltage", {"6": "6", "12": "12"}),
]
NUMBERS = {
    "absorptance": 0.3,
    "clocking_deg": 90.0,
    "condensing_c": 55.0,
    "humidity_kg_kg": 0.012,
    "diffuse_tau": 2.1,
}
NO_SUN = {"beam_normal_w_m2": 0.0, "diffuse_horizontal_w_m2": 0.0, "sun_altitude_deg": 0.0}
# Sheets whose rows are written below, by the features and their options.
BY_FEATURE = ("Line features", "Line options")


def sheets():
    """The layout with choices and option columns."""
    return [with_options(sheet, FEATURES) for sheet in SHEETS]


def value(sheet, column, n):
    """A valid value of a column in row n: of a number with a range, something usual."""
    refers = sheet.reference_of(column.field)
    if column.kind == CHOICE:
        return column.choices[n % len(column.choices)]
    span = range_of(sheet.model.partition(".")[2], column.field)
    if column.kind == NUMBER:
        share = 0.4 + n / 100
        low, high = (span.least_usual, span.most_usual) if span and not refers else (0.0, 1.0)
        return NUMBERS.get(column.field, round(low + share * (high - low), 4))
    if column.kind == WHOLE:
        least = int(span.least_usual) if span and not span.is_usual(n) else 0
        return (1 if refers else n) + least + (90 if column.field == "last" else 0)
    if column.kind == DECIMAL:
        return Decimal("1.125") + (column.field == "high")
    if column.kind == DATE:
        return date(1961 + 5 * column.field.endswith("until"), 5, n)
    if column.kind == YES_NO:
        return n == 1
    return "x1" if refers else f"x{n}"


def made_rows(count=2):
    """Two rows a sheet, each pointing at the first or second of the sheets before."""
    rows = {}
    for sheet in sheets():
        found = {}
        for n in range(1, count + 1):
            row = {c.field: value(sheet, c, n) for c in sheet.columns}
            if not any(c.key and not sheet.reference_of(c.field) for c in sheet.columns):
                # Nothing but references tells the rows apart: the second points at the second.
                row.update({c.field: f"x{n}" for c in sheet.columns if c.key and c.kind != WHOLE})
            special(sheet, row, n)
            if sheet.name == LINE_SHEET and n > 1:
                continue
            if sheet.name in BY_FEATURE:
                continue
            found[key_of(sheet, row)] = row
        rows[sheet.name] = found
    fixed_rows(rows)
    return rows


def special(sheet, row, n):
    """What the sheets with options and lists need."""
    if sheet.name == LINE_SHEET:
        row["code"] = LINE
    if sheet.options == ONE_EACH:
        row.update({"option:side": "left" if n == 1 else "right", "option:volt": "12"})
    elif sheet.options == SEVERAL:
        row.update({"option:side": "left, right", "option:volt": "6"})
    elif sheet.options != NO_OPTIONS:
        row.update({"option:side": "not right" if n == 1 else "left, right", "option:volt": ""})
    if "bench_point" in row:
        row["bench_point"] = f"x{n}"
    if sheet.name == STEPS:
        row.update(fits_positions="1, 2", joins_joints="x1", wires_circuits="1/1, 1/2")
    if sheet.name == "Joints":
        row.update(position_a=1, position_b=2, port_a=f"A{n}", port_b=f"B{n}")
    if sheet.name == "Readings":
        row["writes"] = "number"
    if sheet.name in ("Positions", "Circuits", "Hose runs", "Entries", "Joints", "Steps"):
        row["kit"] = "x1"
    if sheet.name == "Structure":
        row.update(part_number="x1", part_revision="x1", child="x2")
    if sheet.name == "Kits" and row["refrigerant"] == "none":
        row["oil"] = ""
    if sheet.name == "Offers":
        row.update(kit=f"x{n}", duty_set=f"x{n}")
    if sheet.name == "Revisions":
        row.update(part_number=f"x{n}", un_number=f"UN 315{n}")
    if sheet.name == "Supersessions":
        row.update(old=f"x{n}", new="x2" if n == 1 else "x1")
    if sheet.name == "Duty points":
        row.update(NO_SUN, site=f"x{n}")
    if sheet.name == "Parts":
        row["note"] = "=1+1\nsecond line"


def fixed_rows(rows):
    """Features and their options, by their own codes; each offered kit in each variant."""
    for pair in (("x1", "x2"), ("x2", "x1")):
        rows["Fitments"][pair] = {**rows["Fitments"]["x1", "x1"], "kit": pair[0], "variant": pair[1]}
    rows["Features"] = {
        (f.code,): {"code": f.code, "name": f.name, "sort": n} for n, f in enumerate(FEATURES)
    }
    rows["Options"] = {
        (f.code, code): {"feature": f.code, "code": code, "name": code, "sort": n}
        for f in FEATURES
        for n, code in enumerate(f.options)
    }
    rows["Line features"] = {(f.code,): {"feature": f.code, "sort": n} for n, f in enumerate(FEATURES)}
    rows["Line options"] = {key: {"feature": key[0], "option": key[1]} for key in rows["Options"]}


@cache
def _made_workbook():
    return write_workbook(LINE, sheets(), made_rows())


def made_workbook(rows=None, complete=True):
    """The rows as a workbook; the made-up ones when none are given."""
    if rows is None and complete:
        return _made_workbook()
    return write_workbook(LINE, sheets(), made_rows() if rows is None else rows, complete=complete)


def some_sheets(names, rows=None):
    """A workbook with some sheets of the made-up line, which adds and changes only."""
    found = [sheet for sheet in sheets() if sheet.name in names]
    return write_workbook(LINE, found, made_rows() if rows is None else rows, complete=False)
