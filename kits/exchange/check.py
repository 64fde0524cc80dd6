"""Checks what the database would hold after the import: references, the line's options, rules, uniqueness."""

from collections.abc import Callable, Collection, Mapping

from kits.exchange.columns import NO_OPTIONS, ONE_EACH, OPTIONS, TERMS, Column, Sheet
from kits.exchange.layout import LINE_SHEET, SITES, STEP_LISTS, STEPS, STRUCTURE
from kits.exchange.merge import Merged, removable
from kits.exchange.reader import Reading
from kits.exchange.rules import Rule, Unique
from kits.exchange.values import Key, Row, Value, fold, key_text, label_of, list_items, terms_of
from kits.parts.loops import loop_through, way_in_words
from vehicles.physics.design_day import MOST_CLOCK_GAP_H, clock_gap_h

Sheets = Mapping[str, Sheet]


def check_merged(
    sheets: Sheets,
    reading: Reading,
    merged: Merged,
    elsewhere: Mapping[str, Collection[Key]],
    rules_of: Callable[[str], tuple[Rule, ...]],
    uniques_of: Callable[[str], tuple[Unique, ...]],
) -> None:
    """Add to the reading's problems whatever the merged rows break."""
    _check_line(reading, sheets, merged)
    _check_line_features(reading, merged)
    for name, sheet in sheets.items():
        for key, row in merged.rows[name].items():
            place = reading.places.get((name, key))
            _check_references(
                sheets=sheets, reading=reading, merged=merged, sheet=sheet, key=key, row=row, place=place
            )
            if place is None:
                continue
            if key in elsewhere.get(name, ()):
                reading.add(name, f"{key_text(key)} belongs to another model line.", place)
            for rule in rules_of(name):
                if rule.broken_by(row):
                    reading.add(name, rule.told(row), place, reading.letter(name, rule.fields[:1]))
            if name == SITES:
                _check_clock(reading, row, place)
        if name == STRUCTURE:
            _check_loops(reading, merged)
        for unique in uniques_of(name):
            _check_unique(reading, merged, sheet, unique)
        if sheet.options not in (NO_OPTIONS, TERMS):
            _check_line_options(reading, merged, sheet)


def _check_line(reading: Reading, sheets: Sheets, merged: Merged) -> None:
    named = reading.rows.get(LINE_SHEET, {})
    for key in named:
        if key != (fold(reading.line),) and reading.line:
            reading.add(
                LINE_SHEET,
                f"The sheet About says the workbook is for “{reading.line}”; this row is another line.",
                reading.places[LINE_SHEET, key],
                reading.letter(LINE_SHEET, ["code"]),
            )
    if reading.complete:
        for name, sheet in sheets.items():
            # a workbook written before this program had the sheet lacks it; that matters only where rows are stored
            if removable(sheet) and name not in reading.rows and merged.rows[name]:
                text = "The sheet is missing, though About says the workbook is complete and rows are stored."
                reading.add(name, text)


def _check_line_features(reading: Reading, merged: Merged) -> None:
    """The options of a line are options of its features."""
    features = merged.rows["Line features"]
    for key in merged.rows["Line options"]:
        place = reading.places.get(("Line options", key))
        if key[:1] not in features and place is not None and "Line features" not in reading.unread:
            letter = reading.letter("Line options", ["feature"])
            reading.add(
                "Line options",
                f"The line does not have the feature {key[0]} (sheet Line features).",
                place,
                letter,
            )


def _check_references(
    *, sheets: Sheets, reading: Reading, merged: Merged, sheet: Sheet, key: Key, row: Row, place: int | None
) -> None:
    for reference in sheet.references:
        if any(row.get(name) in (None, "") for name in reference.columns):
            continue  # the cell's own problem says so
        target = tuple(fold(row[name]) for name in reference.columns)
        if target not in merged.rows[reference.sheet]:
            letter = reading.letter(sheet.name, reference.columns)
            _dangling(
                reading=reading,
                merged=merged,
                sheet=sheet,
                key=key,
                place=place,
                letter=letter,
                target_sheet=reference.sheet,
                target=target,
            )
    if sheet.name == STEPS:
        _check_lists(reading, merged, sheet, key, row, place)


def _dangling(
    *,
    reading: Reading,
    merged: Merged,
    sheet: Sheet,
    key: Key,
    place: int | None,
    letter: str,
    target_sheet: str,
    target: Key,
) -> None:
    if target in merged.removed.get(target_sheet, ()):
        reading.add(
            target_sheet,
            f"{key_text(target)} would be removed, but {label_of(sheet, key)} in {sheet.name} needs it.",
            place if place and sheet.name == target_sheet else None,
        )
    elif place is not None and target_sheet not in reading.unread:
        reading.add(sheet.name, f"There is no {key_text(target)} in {target_sheet}.", place, letter)


def _check_lists(
    reading: Reading, merged: Merged, sheet: Sheet, key: Key, row: Row, place: int | None
) -> None:
    for field, _, target_sheet in STEP_LISTS:
        letter = reading.letter(sheet.name, [field])
        for item in list_items(row.get(field)):
            target = step_target(fold(row["kit"]), field, item)
            if target is None:
                shape = (
                    "a position and a number, such as 110/1"
                    if "/" in item or "wires" in field
                    else "a number"
                )
                if place is not None:
                    reading.add(sheet.name, f"“{item}” is not {shape}.", place, letter)
            elif target not in merged.rows[target_sheet]:
                _dangling(
                    reading=reading,
                    merged=merged,
                    sheet=sheet,
                    key=key,
                    place=place,
                    letter=letter,
                    target_sheet=target_sheet,
                    target=target,
                )


def step_target(kit: Value, field: str, item: str) -> Key | None:
    """The key of what an item of a step's list means, or None when it can't be read."""
    if field == "joins_joints":
        return (kit, item.casefold())
    parts = item.split("/") if field == "wires_circuits" else [item]
    if len(parts) != (2 if field == "wires_circuits" else 1) or not all(
        p.isascii() and p.isdigit() for p in parts
    ):
        return None
    return (kit, *(int(part) for part in parts))


def _check_loops(reading: Reading, merged: Merged) -> None:
    """An assembly that would contain itself, with the way, at each row of the workbook that closes the loop."""
    names: dict[Value, str] = {}
    content: dict[str, dict[str, None]] = {}
    rows = merged.rows[STRUCTURE]
    for row in rows.values():
        parent, child = (names.setdefault(fold(row[n]), str(row[n])) for n in ("part_number", "child"))
        content.setdefault(parent, {})[child] = None
    for key, row in rows.items():
        place = reading.places.get((STRUCTURE, key))
        if place is None:
            continue
        way = loop_through(names[fold(row["part_number"])], names[fold(row["child"])], content)
        if way:
            sentence = f"{way[0]} would contain itself: {way_in_words(way)}."
            reading.add(STRUCTURE, sentence, place, reading.letter(STRUCTURE, ["child"]))


def _check_clock(reading: Reading, row: Row, place: int) -> None:
    """A site's clock goes with its sun: else the longitude's sign or the offset is a slip."""
    longitude, offset = row.get("longitude_deg"), row.get("utc_offset_h")
    if not isinstance(longitude, (int, float)) or not isinstance(offset, (int, float)):
        return  # the cell's own problem says so
    if abs(clock_gap_h(longitude, offset)) > MOST_CLOCK_GAP_H:
        sentence = (
            f"UTC offset {_signed(offset)} h does not go with longitude {_signed(longitude)}°, where the sun is at "
            f"{_signed(longitude / 15)} h: they are at most {MOST_CLOCK_GAP_H:g} h apart. East is positive in both."
        )
        reading.add(SITES, sentence, place, reading.letter(SITES, ["utc_offset_h"]))


def _signed(value: float) -> str:
    return f"{round(value, 1):+g}".replace("-", "\N{MINUS SIGN}")


def _check_unique(reading: Reading, merged: Merged, sheet: Sheet, unique: Unique) -> None:
    seen: dict[Key, Key] = {}
    fields = unique.fields
    for key, row in merged.rows[sheet.name].items():
        value = unique.value_of(row)
        if value is None:
            continue
        first = seen.setdefault(value, key)
        place = reading.places.get((sheet.name, key)) or reading.places.get((sheet.name, first))
        if first != key and place:
            heads = ", ".join(sheet.by_field[name].head for name in fields)
            reading.add(
                sheet.name,
                f"{key_text(key)} and {key_text(first)} have the same {heads}: {key_text(value)}."
                + ("" if unique.among is None else " Only one of them may be marked so."),
                place,
                reading.letter(sheet.name, fields),
            )


def _check_line_options(reading: Reading, merged: Merged, sheet: Sheet) -> None:
    """A variant has one option of each feature of its line, and only options that exist in the line."""
    of_line: dict[str, set[str]] = {}
    for row in merged.rows["Line options"].values():
        if "feature" in row and "option" in row:
            feature, option = str(row["feature"]).casefold(), str(row["option"]).casefold()
            of_line.setdefault(f"option:{feature}", set()).add(option)
    unsure = bool({"Line options", "Features", "Options"} & reading.unread)
    for column in sheet.columns:
        if column.kind == OPTIONS and not unsure:
            for key, row in merged.rows[sheet.name].items():
                place = reading.places.get((sheet.name, key))
                has_column = (sheet.name, column.field) in reading.letters
                if place is not None and (not has_column or column.field in reading.rows[sheet.name][key]):
                    _check_line_option(reading, sheet, column, place, row, of_line.get(column.field, set()))


def _check_line_option(
    reading: Reading, sheet: Sheet, column: Column, place: int, row: Row, of_line: set[str]
) -> None:
    letter = reading.letter(sheet.name, [column.field])
    feature = column.head.partition(": ")[2]
    options = terms_of(row[column.field])[1]
    if not options and of_line and sheet.options == ONE_EACH:
        reading.add(
            sheet.name,
            f"Name the option of {feature}; the line has: {', '.join(sorted(of_line))}.",
            place,
            letter,
        )
    for option in options:
        if option.casefold() not in of_line:
            reading.add(
                sheet.name,
                f"{feature} “{option}” does not exist in this line (sheet Line options).",
                place,
                letter,
            )
