"""A variant or a line made from another: which rows come along, and how they say that nobody measured them."""

from collections.abc import Collection, Iterable, Mapping
from typing import Any, Final

from kits.editing.changes import RowEdit
from kits.exchange.columns import LINE, Sheet
from kits.exchange.layout import FITMENTS, LINE_SHEET
from kits.exchange.values import Row, Rows, fold
from vehicles.physics.origin import Kind

VARIANT_PARTS: Final = {
    "mounting": "how the kit sits and what was found of it",
    "lengths": "lengths of the routes, as estimates",
    "charges": "refrigerant charges, as estimates",
}
LINE_PARTS: Final = {
    "variants": "variants with their options",
    "routes": "routes",
    "offers": "kits offered for it",
    "lengths": "lengths of the routes, as estimates",
    "charges": "refrigerant charges, as estimates",
    "chassis": "chassis numbers",
}
# What a sheet needs to come along; sheets that are not named always do.
_NEEDS: Final = {
    "Variants": {"variants"},
    "Chassis": {"variants", "chassis"},
    "Routes": {"routes"},
    "Offers": {"offers"},
    FITMENTS: {"variants", "offers"},
    "Lengths": {"variants", "offers", "routes", "lengths"},
    "Charges": {"variants", "offers", "charges"},
}


def to_survey(row: Row, source: str) -> Row:
    """The row with its physical values turned into an estimate that says where it comes from."""
    if "origin_kind" not in row:
        return dict(row)
    held = f"{row.get('origin_source') or ''}".strip()
    return {
        **row,
        "origin_kind": Kind.ESTIMATE.value,
        "origin_source": f"to be surveyed: taken over from {source}"[:200],
        "origin_note": (f"there {row['origin_kind']}" + (f", {held}" if held else ""))[:200],
        "origin_by": "",
        "origin_on": None,
        "origin_instrument": "",
        "origin_uncertainty": "",
    }


def copied_variant(
    rows: Rows, source: str, code: str, name: str, options: Mapping[str, str], parts: Collection[str]
) -> list[RowEdit]:
    """The rows of a variant made from another of its line; cabin and powertrain are shared with it."""
    known = fold(source)
    variant = rows["Variants"].get((known,))
    if variant is None:
        return []
    new: Row = {**variant, **options, "code": code, "name": name, "to_be_surveyed": True}
    new.update(built_from=None, built_until=None)
    edits = [RowEdit("add", "Variants", values=new)]
    fitments = [row for row in rows[FITMENTS].values() if fold(row["variant"]) == known]
    for row in fitments:
        values = {**to_survey(row, source), "variant": code, "calibrated": False}
        if "mounting" not in parts:
            values = {"kit": row["kit"], "variant": code}
        edits.append(RowEdit("add", FITMENTS, values=values))
    for sheet, part in (("Lengths", "lengths"), ("Charges", "charges")):
        if part in parts:
            found = _newest(rows[sheet], known, "route" if part == "lengths" else "kit")
            edits += [
                RowEdit("add", sheet, values={**to_survey(row, source), "variant": code}) for row in found
            ]
    return edits


def _newest(rows: Mapping[Any, Row], variant: Any, by: str) -> list[Row]:
    """The row recorded last for each kit and route: rows stand in the order they were recorded."""
    found: dict[Any, Row] = {}
    for row in rows.values():
        if fold(row["variant"]) == variant:
            found[fold(row["kit"]), fold(row[by])] = row
    return list(found.values())


def copied_line(
    *,
    sheets: Iterable[Sheet],
    rows: Rows,
    source: str,
    code: str,
    name: str,
    maker: str,
    parts: Collection[str],
) -> list[RowEdit]:
    """The rows of a model line made from another; shared rows (parts, kits, features) are used by both."""
    edits = []
    for sheet in sheets:
        if sheet.owner != LINE or not _NEEDS.get(sheet.name, set()) <= set(parts):
            continue
        for row in rows[sheet.name].values():
            values = to_survey(row, f"line {source}")
            if sheet.name == LINE_SHEET:
                values.update(code=code, name=name, maker=maker)
            if sheet.name == "Variants":
                values["to_be_surveyed"] = True
            if sheet.name == FITMENTS:
                values["calibrated"] = False
            edits.append(RowEdit("add", sheet.name, values=values))
    return edits
