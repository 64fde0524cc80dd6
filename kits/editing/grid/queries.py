"""What the editing view of a position fetches: its entries as rows of their sheet, and what each car gets."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from typing import Any, Final

from kits.bom.catalogue import PositionSpec
from kits.bom.grid import GridPosition, WhatCarsGet, features_of, what_cars_get
from kits.bom.queries import KitSheet, kit_sheet
from kits.editing.changes import needed_sheets
from kits.exchange.bridge import load_state
from kits.exchange.columns import OPTIONS, FeatureOptions, Sheet, option_field, with_options
from kits.exchange.reader import features_of as features_of_rows
from kits.exchange.sheets.bridge import BY_NAME
from kits.exchange.values import Row, to_json

ENTRIES: Final = "Entries"
MOST_SUGGESTED: Final = 600


@dataclass(frozen=True)
class PositionPage:
    """One position with its entries as they are stored, and what the form needs to know."""

    kit: KitSheet
    position: PositionSpec
    sheet: Sheet
    """the sheet of entries without the columns that name the position"""
    features: Mapping[str, FeatureOptions]
    entries: tuple[Row, ...]
    parts: Mapping[str, tuple[str, str]]
    """part number -> name and kind"""

    @property
    def place(self) -> tuple[str, int]:
        """Kit and number: the beginning of each entry's key."""
        return self.kit.kit.code, self.position.number

    @property
    def number_text(self) -> str:
        """The number as the history's labels hold it."""
        return f"{self.position.number}"

    @property
    def seen(self) -> dict[str, dict[str, Any]]:
        """The entries as the person sees them, by the prefix of their row in the form."""
        return {f"e{row['number']}": {n: to_json(v) for n, v in row.items()} for row in self.entries}

    @cached_property
    def as_grid(self) -> GridPosition:
        """The position with its findings, as the kit's page shows it."""
        return next(p for p in self.kit.grid.positions if p.spec.number == self.position.number)

    @cached_property
    def suggested(self) -> list[tuple[str, str]]:
        """Part numbers with names to choose from: first the kinds that fill the position already."""
        kinds = {self.parts[number][1] for e in self.position.entries if (number := e.part) in self.parts}
        by_kind = sorted(self.parts.items(), key=lambda item: (item[1][1] not in kinds, item[0]))
        return [(number, name) for number, (name, _) in by_kind[:MOST_SUGGESTED]]

    def cars(self, on: date) -> WhatCarsGet:
        """What each combination of options of the built cars gets on a date."""
        return what_cars_get(self.position, self.kit.spec.lines, self.kit.parts, on)


def position_page(kit: str, number: int) -> PositionPage | None:
    """The position with its entries; None when there is none."""
    sheet = kit_sheet(kit)
    position = next((p for p in sheet.spec.positions if p.number == number), None) if sheet else None
    if sheet is None or position is None:
        return None
    state = load_state("", needed_sheets([BY_NAME[ENTRIES]]))
    features = features_of_rows(state.rows)
    whole = with_options(BY_NAME[ENTRIES], features)
    wanted = {option_field(code) for code in features_of(sheet.spec)}
    columns = tuple(
        c
        for c in whole.columns
        if c.field not in ("kit", "position") and (c.kind != OPTIONS or c.field in wanted)
    )
    named = {c.field for c in columns}
    place = (sheet.kit.code.casefold(), number)
    entries = sorted(
        ({n: v for n, v in row.items() if n in named} for key, row in state.rows[ENTRIES].items() if key[:2] == place),
        key=lambda row: int(f"{row['number']}"),
    )  # fmt: skip
    parts = {f"{r['number']}": (f"{r['name']}", f"{r['kind']}") for r in state.rows["Parts"].values()}
    return PositionPage(
        sheet,
        position,
        replace(whole, columns=columns),
        {option_field(f.code): f for f in features},
        tuple(entries),
        parts,
    )
