"""All entries of a position as one form; each row is a form of its own, and knows what the person saw."""

import re
from collections.abc import Iterator, Mapping
from typing import Any

from django import forms
from django.http import QueryDict

from kits.editing.cells import read_row, shown
from kits.editing.changes import RowEdit
from kits.editing.forms import OptionsWidget, RowForm, RowShape
from kits.editing.grid.queries import ENTRIES, PositionPage
from kits.editing.seen import packed, unpacked_rows
from kits.exchange.columns import DATE, NUMERIC, OPTIONS
from kits.exchange.plan import same
from kits.exchange.values import Row, blank, from_json
from vehicles.records.asked import LOST_STATE, whole_number

PREFIX = re.compile(r"[en]\d{1,6}")
MOST_ROWS = 200
HIGHEST = 32_767


class TermsWidget(OptionsWidget):
    """The options of one feature in a cell of the grid: boxes to tick, and one for "not these"."""

    template_name = "editing/grid/_terms.html"

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        """What the template draws; attributes with a hyphen have no name there."""
        context = super().get_context(name, value, attrs)
        held = context["widget"]["attrs"]
        context["widget"] |= {
            "spoken": held.get("aria-label", ""),
            "told_by": held.get("aria-describedby", ""),
        }
        return context


class EntryForm(RowForm):
    """One entry of the position, kept or new."""

    def __init__(self, page: PositionPage, prefix: str, data: Any, seen: Mapping[str, Any] | None) -> None:
        self.is_kept = seen is not None
        columns = page.sheet.by_field
        initial = {n: shown(c, blank(c)) for n, c in columns.items()}
        initial |= {
            n: shown(columns[n], from_json(columns[n], v)) for n, v in (seen or {}).items() if n in columns
        }
        super().__init__(RowShape(page.sheet, page.features), data, initial=initial)
        self.page, self.prefix, self.seen = page, prefix, dict(seen or {})
        self.is_to_go = bool(data is not None and data.get(f"{prefix}-remove"))
        self.spoken = f"entry {initial['number']}" if self.is_kept else "the new entry"
        for name, field in self.fields.items():
            _shape(field, columns[name].kind, page.features.get(name), name, f"{field.label}, {self.spoken}")
        self.values: Row = {}

    @property
    def cells(self) -> list[Any]:
        """The fields before the options, in their order."""
        return [self[c.field] for c in self.page.sheet.columns if c.kind != OPTIONS]

    @property
    def part_name(self) -> str:
        """What the typed part number is called."""
        number = str(self["part_number"].value() or "").strip().casefold()
        return next((name for known, (name, _) in self.page.parts.items() if known.casefold() == number), "")

    @property
    def is_empty(self) -> bool:
        """Whether this is a new row into which nothing was typed."""
        typed = self.typed()
        told = ("part_number", "in_force_from", "in_force_until", *self.page.features)
        return not self.is_kept and not any(typed.get(name, "").strip() for name in told)

    def read(self) -> None:
        """Read what was typed; what can't be read stands beside its field."""
        self.values, wrong = read_row(self.page.sheet, self.typed(), dict(self.page.features))
        for name, sentence in wrong.items():
            self.add_error(name, sentence)

    def edit(self) -> RowEdit:
        """The edit that this row asks for; untouched fields are left alone."""
        kit, position = self.page.place
        if not self.is_kept:
            return RowEdit("add", ENTRIES, values={"kit": kit, "position": position, **self.values})
        key = (kit.casefold(), position, self.seen["number"])
        if self.is_to_go:
            return RowEdit("remove", ENTRIES, key, seen=self.seen)
        columns = self.page.sheet.by_field
        touched = {
            name: value
            for name, value in self.values.items()
            if name in self.seen
            and not same(self.page.sheet, columns[name], from_json(columns[name], self.seen[name]), value)
        }
        return RowEdit("change", ENTRIES, key, touched, {name: self.seen[name] for name in touched})


def _shape(field: forms.Field, kind: str, feature: Any, name: str, spoken: str) -> None:
    """Fit a field into a cell of the grid, where its label is the column's head."""
    if kind == OPTIONS:
        options = list(feature.options.values()) if feature else []
        field.widget = TermsWidget(options, with_not=True)
    if kind in NUMERIC or kind == DATE:
        field.widget.attrs["size"] = "10"
    if name == "part_number":
        field.widget.attrs["list"] = "known-parts"
    field.help_text = ""
    field.widget.attrs["aria-label"] = spoken


class GridForm:
    """The whole form: a row for each entry, and empty ones."""

    def __init__(self, page: PositionPage, data: QueryDict | None = None) -> None:
        self.page, self.data = page, data
        self.problems: list[str] = []
        seen = page.seen if data is None else unpacked_rows(data.get("seen", ""), page.sheet.by_field)
        if seen is None or not all(type(row.get("number")) is int for row in seen.values()):
            seen = page.seen
            self.problems.append(LOST_STATE)
        self.seen = seen
        prefixes = list(seen) if data is None else [p for p in data.getlist("rows") if PREFIX.fullmatch(p)]
        prefixes = list(dict.fromkeys(prefixes))
        if data is not None and len(prefixes) > max(MOST_ROWS, len(page.seen) + MOST_ROWS):
            prefixes = prefixes[:MOST_ROWS]
            self.problems.append(f"One form takes at most {MOST_ROWS} new rows; save these, then add more.")
        self.rows = [EntryForm(page, p, data, seen.get(p)) for p in prefixes]
        if data is None:
            self.add_empty()

    @property
    def seen_text(self) -> str:
        """What the person saw, for a hidden field."""
        return packed(self.seen)

    @property
    def has_errors(self) -> bool:
        """Whether anything must be mended first."""
        return bool(self.problems) or any(row.is_bound and row.errors for row in self.rows)

    def add_empty(self) -> None:
        """One more empty row, with the next free number."""
        numbers = [whole_number(f"{row['number'].value()}", 0, HIGHEST) or 0 for row in self.rows]
        taken = {row.prefix for row in self.rows}
        prefix = next(f"n{i}" for i in range(1, len(taken) + 2) if f"n{i}" not in taken)
        row = EntryForm(self.page, prefix, None, None)
        row.initial["number"] = f"{max(numbers, default=0) + 1}"
        self.rows.append(row)

    def lay_over(self, page: PositionPage) -> "GridForm":
        """The form again with what was typed, over the state of now: saving again writes over it."""
        again = GridForm(page, self.data)
        again.seen = page.seen
        again.rows = [
            EntryForm(page, row.prefix or "", self.data, page.seen.get(row.prefix or "")) for row in self.rows
        ]
        named = {row.prefix for row in again.rows}
        again.rows += [EntryForm(page, p, None, row) for p, row in page.seen.items() if p not in named]
        return again

    def edits(self) -> list[tuple[EntryForm, RowEdit]]:
        """Each edit with the row that asks for it; look at `has_errors` after it."""
        return list(self._edits())

    def _edits(self) -> Iterator[tuple[EntryForm, RowEdit]]:
        numbers: dict[Any, EntryForm] = {}
        for row in self.rows:
            if row.is_empty or (row.is_to_go and not row.is_kept):
                continue
            if not row.is_to_go:
                row.read()
                number = row.values.get("number")
                if number is not None and number in numbers:
                    row.add_error("number", f"Number {number} stands twice in this form.")
                numbers[number] = row
            if not row.errors:
                edit = row.edit()
                if edit.kind != "change" or edit.values:
                    yield row, edit
