"""Reads a workbook into rows by sheet and key, and collects every problem it meets."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from openpyxl.utils import get_column_letter

from kits.exchange.apart import ReadSheet
from kits.exchange.columns import (
    OF_ONE,
    OPTION_HEAD,
    OPTIONS,
    TEXT,
    WHOLE,
    YES_NO,
    Column,
    FeatureOptions,
    Sheet,
    option_field,
    with_options,
)
from kits.exchange.layout import ABOUT, ABOUT_COMPLETE, ABOUT_FORMAT, ABOUT_LINE, FORMAT
from kits.exchange.safety import SafeSheet, open_workbook
from kits.exchange.scan import UnsafeWorkbook
from kits.exchange.values import (
    CellProblem,
    Key,
    Problem,
    Row,
    Rows,
    Value,
    blank,
    clean_text,
    fold,
    key_of,
    key_text,
    parse_cell,
    parse_options,
    shortened,
    split_place,
)

# The sheet of what the drop-downs offer; it is written and never read.
LISTS: Final = "Lists"
# A workbook with more mistakes than this is read no further: nobody mends a thousand cells one by one.
MAX_PROBLEMS: Final = 1_000

_HIDDEN: Final = "The sheet is hidden; show it or delete it."


@dataclass(kw_only=True)
class Reading:
    """What a workbook says: rows by sheet and key, where each stands, and what is wrong.

    `rows` holds only sheets the workbook has, and in a row only fields it has columns for. `unread` names the
    sheets with a row whose key could not be read. `stopped`: the file could not be read to its end, so that
    its rows mean nothing.
    """

    line: str = ""
    complete: bool = False
    sheets: dict[str, Sheet] = field(default_factory=dict)
    rows: Rows = field(default_factory=dict)
    places: dict[tuple[str, Key], int] = field(default_factory=dict)
    letters: dict[tuple[str, str], str] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    unread: set[str] = field(default_factory=set)
    stopped: bool = False

    def add(self, sheet: str, sentence: str, row: int | None = None, column: str = "") -> None:
        """Note a problem."""
        self.problems.append(Problem(sheet, row, column, sentence))

    def letter(self, sheet: str, fields: Iterable[str]) -> str:
        """The column letter of the last of these fields that the sheet has."""
        found = [self.letters[sheet, name] for name in fields if (sheet, name) in self.letters]
        return found[-1] if found else ""


def read_workbook(
    content: bytes,
    sheets: Sequence[Sheet],
    known: Rows,
    opened: Callable[[bytes], Sequence[SafeSheet | ReadSheet]] = open_workbook,
) -> Reading:
    """Read the bytes of a workbook.

    Parameters: sheets (the layout, with the models' choices and lengths), known (rows of Features and Options
    that exist already), opened (makes sheets of the bytes: here, or in a process apart). Problems of the file as
    a whole stand in the result too, without a row.
    """
    reading = Reading()
    try:
        _read_book(reading, opened(content), sheets, known)
    except UnsafeWorkbook as refused:
        reading.add("", str(refused))
        reading.stopped = True
    if len(reading.problems) >= MAX_PROBLEMS:
        reading.stopped = True
    return reading


def _read_book(
    reading: Reading, book: Sequence[SafeSheet | ReadSheet], sheets: Sequence[Sheet], known: Rows
) -> None:
    by_title = {sheet.title.casefold(): sheet for sheet in book}
    by_title.pop(LISTS.casefold(), None)
    _read_about(reading, by_title.pop(ABOUT.casefold(), None))
    features: list[FeatureOptions] = []
    for sheet in sheets:
        worksheet = by_title.pop(sheet.name.casefold(), None)
        full = with_options(sheet, features)
        reading.sheets[sheet.name] = full
        if worksheet is not None:
            _read_sheet(reading, full, worksheet, features)
        if sheet.name == "Options":
            features = features_of(known, reading.rows)
            _one_name_each(reading, features)
    for worksheet in by_title.values():
        reading.add(worksheet.title, "There is no such sheet in this format; check its name or delete it.")


def features_of(*pictures: Rows) -> list[FeatureOptions]:
    """The features with their options in these rows; later rows win."""
    names: dict[Value, tuple[str, str, Value]] = {}
    options: dict[Value, dict[str, str]] = {}
    for rows in pictures:
        for row in rows.get("Features", {}).values():
            code = str(row["code"])
            names[fold(code)] = (code, str(row.get("name", code)), row.get("sort"))
        for row in rows.get("Options", {}).values():
            options.setdefault(fold(row["feature"]), {})[str(row["code"]).casefold()] = str(row["code"])
    ordered = sorted(names.items(), key=lambda item: (item[1][2] or 0, item[1][0].casefold()))
    return [FeatureOptions(code, name, options.get(key, {})) for key, (code, name, _) in ordered]


def _one_name_each(reading: Reading, features: list[FeatureOptions]) -> None:
    seen: dict[str, str] = {}
    for feature in features:
        other = seen.setdefault(feature.name.casefold(), feature.code)
        if other != feature.code:
            reading.add(
                "Features",
                f"{other} and {feature.code} have the same name, {feature.name}; it heads their columns.",
            )


def _read_about(reading: Reading, worksheet: SafeSheet | ReadSheet | None) -> None:
    if worksheet is None:
        reading.add(ABOUT, "The sheet About is missing; it says which model line the workbook is for.")
        return
    found: dict[str, tuple[int | None, Any]] = {}
    if not worksheet.visible:
        reading.add(ABOUT, _HIDDEN)
    for place, cells in enumerate(worksheet.rows(), start=1):
        texts = [cell.value for cell in cells[:2]]
        label = clean_text(str(texts[0] or "")).casefold() if texts else ""
        found.setdefault(label, (place, texts[1] if len(texts) > 1 else None))
    columns = (
        Column(ABOUT_LINE, ABOUT_LINE, TEXT, required=True),
        Column(ABOUT_FORMAT, ABOUT_FORMAT, WHOLE, required=True),
        Column(ABOUT_COMPLETE, ABOUT_COMPLETE, YES_NO, required=True),
    )
    values: dict[str, Value] = {}
    missing: tuple[int | None, Any] = (None, None)
    for column in columns:
        number, raw = found.get(column.field, missing)
        try:
            values[column.field] = parse_cell(column, raw)
        except CellProblem as problem:
            reading.add(ABOUT, str(problem), number, "B")
    reading.line = str(values.get(ABOUT_LINE, ""))
    reading.complete = values.get(ABOUT_COMPLETE) is True
    if values.get(ABOUT_FORMAT, FORMAT) != FORMAT:
        reading.add(
            ABOUT,
            f"Format {values[ABOUT_FORMAT]} is not known here; this version reads format {FORMAT}.",
            found[ABOUT_FORMAT][0],
            "B",
        )


def _read_sheet(
    reading: Reading, sheet: Sheet, worksheet: SafeSheet | ReadSheet, features: list[FeatureOptions]
) -> None:
    _refuse_odd_sheet(reading, worksheet)
    lines = worksheet.rows()
    columns = _read_heads(reading, sheet, next(lines, ()), features)
    rows = reading.rows.setdefault(sheet.name, {})
    by_field = {option_field(feature.code): feature for feature in features}
    for number, cells in enumerate(lines, start=2):
        if len(reading.problems) >= MAX_PROBLEMS:
            return
        if any(cell.value is not None for cell in cells):
            row = _read_row(reading, sheet, number, cells, columns, by_field)
            _keep(reading, sheet, rows, number, row)


def _refuse_odd_sheet(reading: Reading, worksheet: SafeSheet | ReadSheet) -> None:
    """What a person who confirms would not see, or would see elsewhere, is not read."""
    if not worksheet.visible:
        reading.add(worksheet.title, _HIDDEN)
    for place in worksheet.facts.merged:
        letters, number = split_place(place.partition(":")[0])
        reading.add(
            worksheet.title, f"The cells {place} are merged; split them, one value a cell.", number, letters
        )
    for number in worksheet.facts.hidden_rows:
        reading.add(worksheet.title, "The row is hidden; show all rows, and take filters off.", number)
    for number in worksheet.facts.hidden_columns:
        reading.add(
            worksheet.title, "The column is hidden; show all columns.", None, get_column_letter(number)
        )


def _read_heads(
    reading: Reading, sheet: Sheet, cells: Sequence[Any], features: list[FeatureOptions]
) -> dict[int, Column | None]:
    """The column by its place, from the first row; None for a head that is refused."""
    heads = {column.head.removesuffix(OF_ONE).casefold(): column for column in sheet.columns}
    heads |= {column.head.casefold(): column for column in sheet.columns}
    if sheet.options:
        by_field = sheet.by_field
        for feature in features:
            heads.setdefault((OPTION_HEAD + feature.code).casefold(), by_field[option_field(feature.code)])
    columns: dict[int, Column | None] = {}
    for place, cell in enumerate(cells):
        letter = get_column_letter(place + 1)
        text = clean_text(str(cell.value)) if cell.value is not None else ""
        if not text:
            continue
        column = heads.get(" ".join(text.split()).casefold())
        if column is None:
            columns[place] = None
            reading.add(sheet.name, _unknown_head(sheet, text), 1, letter)
        elif column in columns.values():
            columns[place] = None
            reading.add(sheet.name, f"The column “{shortened(text)}” stands twice.", 1, letter)
        else:
            columns[place] = column
            reading.letters[sheet.name, column.field] = letter
    for column in sheet.columns:
        if column.required and column not in columns.values():
            reading.add(sheet.name, f"The column “{column.head}” is missing.", 1)
    return columns


def _unknown_head(sheet: Sheet, text: str) -> str:
    if sheet.options and text.casefold().startswith(OPTION_HEAD.strip()):
        feature = text[len(OPTION_HEAD) - 1 :].strip()
        return f"There is no feature {shortened(feature)}; name it on the sheet Features first."
    return f"“{shortened(text)}” is not a column of this sheet."


def _read_row(
    reading: Reading,
    sheet: Sheet,
    number: int,
    cells: Sequence[Any],
    columns: Mapping[int, Column | None],
    features: Mapping[str, FeatureOptions],
) -> Row:
    row: Row = {}
    # a row that ends before the last head ends in empty cells: a spreadsheet need not store them
    for place in range(max(len(cells), max(columns, default=-1) + 1)):
        cell = cells[place] if place < len(cells) else None
        value = None if cell is None else cell.value
        try:
            if cell is not None and value is not None:
                _refuse_odd_cell(cell)
            column = columns.get(place)
            if column is not None:
                row[column.field] = _value(sheet, column, value, features)
            elif value is not None and place not in columns:
                raise CellProblem("This cell stands under no head.")
        except CellProblem as problem:
            reading.add(sheet.name, str(problem), number, get_column_letter(place + 1))
    return row


def _refuse_odd_cell(cell: Any) -> None:
    if cell.data_type == "f":
        raise CellProblem("Formulas are not read; paste the value instead.")
    if cell.data_type == "e":
        raise CellProblem(f"The cell holds an error, {cell.value}.")


def _value(sheet: Sheet, column: Column, raw: Any, features: Mapping[str, FeatureOptions]) -> Value:
    value = parse_cell(column, raw)
    return parse_options(value, features[column.field], sheet.options) if column.kind == OPTIONS else value


def _keep(reading: Reading, sheet: Sheet, rows: dict[Key, Row], number: int, row: Row) -> None:
    if sheet.append_only:
        for column in sheet.columns:
            if column.field not in row and (sheet.name, column.field) not in reading.letters:
                row[column.field] = blank(column)
    try:
        key = key_of(sheet, row)
    except KeyError:
        reading.unread.add(sheet.name)
        return
    if key in rows:
        first = reading.places[sheet.name, key]
        letter = reading.letter(sheet.name, sheet.key)
        reading.add(sheet.name, f"{key_text(key)} stands in row {first} already.", number, letter)
        return
    rows[key] = row
    reading.places[sheet.name, key] = number
