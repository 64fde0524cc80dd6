"""The stored rows with the workbook laid over them: what the database would hold afterwards."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from kits.exchange.columns import LINE, Sheet, option_field
from kits.exchange.layout import FITMENTS, LINE_SHEET
from kits.exchange.reader import Reading
from kits.exchange.values import Key, Row, Rows, blank, fold, terms_of

OPTION_FIELD = option_field("")


@dataclass
class Merged:
    """All rows as they would be; which of them the workbook names; which stored ones would go.

    `offered` holds the keys of fitments that no sheet names and that are made because the kit is offered.
    """

    rows: Rows = field(default_factory=dict)
    removed: dict[str, list[Key]] = field(default_factory=dict)
    offered: list[Key] = field(default_factory=list)


def removable(sheet: Sheet) -> bool:
    """Whether a complete workbook removes stored rows of this sheet that it lacks."""
    return sheet.owner == LINE and not sheet.append_only and sheet.name != LINE_SHEET


def merge(sheets: Mapping[str, Sheet], stored: Rows, reading: Reading) -> Merged:
    """Lay the workbook over the stored rows.

    A row the workbook names takes its values from there and keeps the rest; a new row's rest is blank or the
    model's default. Rows are removed only from the line's own sheets, and only when the workbook is complete.
    """
    merged = Merged()
    for name, sheet in sheets.items():
        rows = dict(stored.get(name, {}))
        named = reading.rows.get(name)
        if named is not None:
            if reading.complete and removable(sheet):
                merged.removed[name] = [key for key in rows if key not in named]
            empty = {column.field: blank(column) for column in sheet.columns}
            for key, row in named.items():
                rows[key] = {**empty, **rows.get(key, {}), **row}
        merged.rows[name] = rows
    for name, keys in merged.removed.items():
        if name != FITMENTS:
            for key in keys:
                del merged.rows[name][key]
    _offer(merged, sheets[FITMENTS])
    return merged


def _meant(offer: Row, variant: Row) -> bool:
    """Whether the terms of an offer name the variant."""
    for name, cell in offer.items():
        if name.startswith(OPTION_FIELD) and cell:
            excluded, options = terms_of(cell)
            held = f"{variant.get(name) or ''}".casefold()
            if (held in {option.casefold() for option in options}) is excluded:
                return False
    return True


def _offer(merged: Merged, sheet: Sheet) -> None:
    """Keep and make a fitment for every variant of the line and every kit offered for it."""
    fitments = merged.rows[FITMENTS]
    pairs = {
        (fold(offer["kit"]), key[0]): (offer["kit"], variant.get("code"))
        for key, variant in merged.rows["Variants"].items()
        for offer in merged.rows["Offers"].values()
        if "kit" in offer and _meant(offer, variant)
    }
    going = [key for key in merged.removed.get(FITMENTS, ()) if key not in pairs]
    for key in going:
        del fitments[key]
    if FITMENTS in merged.removed:
        merged.removed[FITMENTS] = going
    for key, (kit, variant) in pairs.items():
        if key not in fitments:
            empty: Row = {column.field: blank(column) for column in sheet.columns}
            fitments[key] = {**empty, "kit": kit, "variant": variant}
            merged.offered.append(key)
