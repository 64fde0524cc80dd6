"""Values that are possible but not usual: a question about each that is new or changed.

A question is a value of one field at one place: its line (none for what is shared), its sheet and the row's key. Of
rows that are only added the place is what they are about, so that a value measured once more is not asked about again.
"""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from hashlib import blake2s
from typing import Any

from kits.exchange.columns import CHOICE, DECIMAL, LINE, NUMERIC, Column, Sheet
from kits.exchange.reader import Reading
from kits.exchange.values import Key, Row, Rows, fold, from_json, key_of, key_text, to_json
from vehicles.physics.ranges import Range, range_of
from vehicles.physics.slips import hint

Plan = dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class Question:
    """A value that is not usual, and the sentence that asks about it.

    row, column: where it stands in the workbook, or which edit and which field it is of; key: of its place, as JSON;
    value: the number as the shortest text that gives it back.
    """

    line: str
    sheet: str
    row: int | None
    column: str
    key: list[Any]
    field: str
    value: str
    sentence: str

    @property
    def token(self) -> str:
        """Tells this value at this place from every other."""
        return token_of(self.line, self.sheet, self.key, self.field, self.value)

    def as_json(self) -> dict[str, Any]:
        """As it is stored in the plan."""
        return asdict(self)


def token_of(line: str, sheet: str, key: Iterable[Any], field: str, value: str) -> str:
    """A short text for a value of a field at a place."""
    plain = json.dumps([line, sheet, list(key), field, value], ensure_ascii=True)
    return blake2s(plain.encode(), digest_size=12).hexdigest()


def canonical(value: Any) -> str:
    """A number as the shortest text that gives it back."""
    return repr(float(value))


def questions_of(plan: Plan, sheets: Mapping[str, Sheet], reading: Reading, rows: Rows) -> list[Question]:
    """A question about each value that the plan adds or changes and that is not usual.

    Parameters: reading (says where a row stands), rows (as they would be).
    """
    found: list[Question] = []
    for name, part in plan["sheets"].items():
        sheet = sheets[name]
        spans, of_sheet = ranged(sheet), []
        for item in [*part["add"], *part["change"]] if spans else ():
            new = item["values"] if "values" in item else {n: now for n, (_, now) in item["fields"].items()}
            wrong = [
                n for n, (_, span) in spans.items() if new.get(n) is not None and not span.is_usual(new[n])
            ]
            if wrong:
                key = _key_then(sheet, item["key"], new)
                place = reading.places.get((name, key))
                of_sheet += [
                    _question(
                        plan["line"],
                        sheet,
                        rows[name][key],
                        *spans[n],
                        place=place,
                        letter=reading.letter(name, [n]),
                    )
                    for n in wrong
                ]
        found += sorted(of_sheet, key=lambda question: question.row or 0)
    return found


def ranged(sheet: Sheet) -> dict[str, tuple[Column, Range]]:
    """The sheet's own numbers of which it is known what is usual."""
    model = sheet.model.partition(".")[2]
    return {
        column.field: (column, span)
        for column in sheet.columns
        if column.kind in NUMERIC - {DECIMAL}
        and sheet.reference_of(column.field) is None
        and (span := range_of(model, column.field)) is not None
    }


def place_columns(sheet: Sheet) -> list[str]:
    """The columns that tell where a value stands: the key; of rows that are only added, what they are about."""
    if not sheet.append_only:
        return list(sheet.key)
    about = [c.field for c in sheet.columns if c.kind == CHOICE or sheet.reference_of(c.field)]
    return [name for name in about if not name.startswith("origin_")]


def place_of(sheet: Sheet, row: Row) -> list[Any]:
    """Where the values of a row stand, as JSON; capitals don't count."""
    return [to_json(fold(row[name])) for name in place_columns(sheet)]


def line_of(sheet: Sheet, line: str) -> str:
    """The line that a place belongs to, as it is compared; none for a shared row."""
    return line.casefold() if sheet.owner == LINE else ""


def _key_then(sheet: Sheet, key: Sequence[Any], new: Mapping[str, Any]) -> Key:
    """The key of a row as it will be: the plan's, with what changes of it."""
    now = {**dict(zip(sheet.key, key, strict=True)), **new}
    columns = sheet.by_field
    return key_of(sheet, {name: from_json(columns[name], now[name]) for name in sheet.key})


def _question(
    line: str, sheet: Sheet, row: Row, column: Column, span: Range, *, place: int | None, letter: str
) -> Question:
    value: Any = row[column.field]
    words, _, unit = column.head.partition(" [")
    unit = unit.rstrip("]")
    label = key_text(row[name] for name in place_columns(sheet))
    said = (
        f"{words[:1].upper()}{words[1:]} of {label} is {_shown(value, unit)}; usual are "
        f"{_shown(span.least_usual)} to {_shown(span.most_usual, unit)}."
    )
    asked = hint(column.field, float(value), span) or "Is it so?"
    return Question(
        line=line_of(sheet, line),
        sheet=sheet.name,
        row=place,
        column=letter,
        key=place_of(sheet, row),
        field=column.field,
        value=canonical(value),
        sentence=f"{said} {asked}",
    )


def _shown(value: Any, unit: str = "") -> str:
    return f"{float(value):,.10g} {unit}".replace("-", "\N{MINUS SIGN}").strip()
