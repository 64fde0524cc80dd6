"""A cell as a form shows it, and what somebody typed back as its value."""

from decimal import Decimal

from kits.exchange.columns import NUMBER, NUMERIC, ONE_EACH, OPTIONS, YES_NO, Column, FeatureOptions, Sheet
from kits.exchange.values import CellProblem, Row, Value, parse_cell, parse_options

MINUS = "\u2212"


def shown(column: Column, value: Value) -> str:
    """The value as its field of a form holds it; `read` gives the value back to the last digit."""
    if value is None or value == "":
        return ""
    if column.kind == YES_NO:
        return "yes" if value else "no"
    if isinstance(value, Decimal):
        return f"{value.normalize():f}"
    if isinstance(value, float):
        return repr(value).removesuffix(".0")
    return f"{value}"


def read(column: Column, typed: str, features: dict[str, FeatureOptions], use: str) -> Value:
    """The value of what was typed. Raises CellProblem with a sentence."""
    text = typed.strip()
    if text and column.kind in NUMERIC:
        return parse_cell(column, _number(column, text))
    value = parse_cell(column, text)
    if column.kind == OPTIONS:
        return parse_options(value, features[column.field], use)
    return value


def _number(column: Column, text: str) -> int | float:
    plain = text.replace(MINUS, "-").replace("\u00a0", "").replace(" ", "")
    name = column.head[:1].upper() + column.head[1:]
    if "," in plain:
        raise CellProblem(f"{name}: write “{text}” with a point for decimals and nothing between thousands.")
    if not plain.isascii() or "_" in plain:  # which Python would read as well
        raise CellProblem(f"{name}: write the number with the digits 0 to 9, not “{text}”.")
    try:
        return float(plain) if column.kind == NUMBER else int(plain)
    except ValueError:
        pass
    try:
        return float(plain)
    except ValueError:
        raise CellProblem(f"{name} must be a number, not “{text}”.") from None


def read_row(
    sheet: Sheet, typed: dict[str, str], features: dict[str, FeatureOptions]
) -> tuple[Row, dict[str, str]]:
    """The values of the typed fields, and a sentence for each that can't be read."""
    row: Row = {}
    wrong: dict[str, str] = {}
    columns = sheet.by_field
    for name, text in typed.items():
        try:
            row[name] = read(columns[name], text, features, sheet.options or ONE_EACH)
        except CellProblem as problem:
            wrong[name] = str(problem)
    return row, wrong
