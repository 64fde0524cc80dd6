"""Many values of one section typed at once, with one origin for all, as edits of their rows."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from kits.editing.cells import read
from kits.editing.changes import RowEdit
from kits.exchange.columns import NUMERIC, ONE_EACH, Sheet
from kits.exchange.rules import Rule
from kits.exchange.values import CellProblem, Key, Row, blank, key_of, to_json
from kits.survey.sections import Section

ORIGIN: Final = (
    "origin_kind", "origin_instrument", "origin_uncertainty", "origin_on", "origin_by", "origin_source",
)  # fmt: skip
LONGEST_NOTE: Final = 200


@dataclass(frozen=True, kw_only=True)
class Place:
    """One place to measure: a row that is there, or one to be made.

    token: names its inputs; fixed: the columns that are known (owner and place); key: of the stored row, or
    None; row: what is stored; now: the value that stands, with its origin; is_free: the person names the place.
    """

    token: str
    label: str
    fixed: Row
    key: Key | None = None
    row: Row = field(default_factory=dict)
    now: Mapping[str, Any] = field(default_factory=dict)
    origin: Mapping[str, Any] = field(default_factory=dict)
    is_free: bool = False

    def name(self, column: str) -> str:
        """The name of its input for a column."""
        return f"{column}-{self.token}"


@dataclass
class Entered:
    """What was typed as edits with the place of each, and a sentence for each input that can't be taken."""

    edits: list[RowEdit] = field(default_factory=list)
    places: list[Place] = field(default_factory=list)
    wrong: dict[str, str] = field(default_factory=dict)


def fields_of(section: Section, place: Place) -> tuple[str, ...]:
    """The columns a place has inputs for."""
    return (*section.place, *section.values) if place.is_free else section.values


def entered(
    *, section: Section, sheet: Sheet, places: Sequence[Place], typed: Mapping[str, str], common: Row,
    seen: Mapping[str, Any], rules: Sequence[Rule],
) -> Entered:  # fmt: skip
    """Read the inputs. A place whose inputs are all empty is left alone.

    typed: text by the name of its input; common: the columns that hold for all (origin); seen: by token what
    the person saw of the row. Returns the edits; they are meant only when nothing is wrong.
    """
    found = Entered()
    taken = {place.key for place in places if place.key is not None}
    for place in places:
        texts = {column: typed.get(place.name(column), "").strip() for column in fields_of(section, place)}
        if not any(texts.values()):
            continue
        values = _values(section, sheet, place, texts, found.wrong)
        if values is None:
            continue
        edit = _edit(section, sheet, place, {**values, **common}, seen.get(place.token, {}))
        whole = {**{c.field: blank(c) for c in sheet.columns}, **place.row, **edit.values}
        broken = next((rule for rule in rules if rule.broken_by(whole)), None)
        if broken is not None:
            column = next((name for name in texts if name in broken.fields), section.values[0])
            found.wrong[place.name(column)] = broken.told(whole)
        if place.is_free:
            key = key_of(sheet, whole)
            if key in taken:
                sentence = "It stands in the list already: type the value there."
                found.wrong[place.name(section.place[0])] = sentence
            taken.add(key)
        found.edits.append(edit)
        found.places.append(place)
    return found


def _values(
    section: Section, sheet: Sheet, place: Place, texts: Mapping[str, str], wrong: dict[str, str]
) -> Row | None:
    """The values of one place's inputs; None when one of them can't be read."""
    columns = sheet.by_field
    values: Row = {}
    is_new = place.key is None
    for name, text in texts.items():
        is_asked = is_new and columns[name].required
        if not text and not is_asked:
            continue
        try:
            values[name] = read(columns[name], text, {}, ONE_EACH)
        except CellProblem as problem:
            wrong[place.name(name)] = f"{problem}"
    return None if any(place.name(name) in wrong for name in texts) else values


def _edit(section: Section, sheet: Sheet, place: Place, values: Row, seen: Mapping[str, Any]) -> RowEdit:
    if place.key is None or sheet.append_only:
        return RowEdit("add", sheet.name, values={**place.fixed, **values})
    note = _note(sheet, place, values)
    return RowEdit("change", sheet.name, place.key, {**values, "origin_note": note}, seen)


def _note(sheet: Sheet, place: Place, values: Row) -> str:
    """A row has one origin: where it holds values that were not measured now, its note says where those are from."""
    columns = sheet.by_field
    rest = [
        c.head.partition(" [")[0]
        for c in sheet.columns
        if c.kind in NUMERIC and not c.key and place.row.get(c.field) is not None and c.field not in values
        and place.row.get(c.field) != c.default
    ]  # fmt: skip
    held = f"{place.row.get('origin_note') or ''}"
    before = f"{place.row.get('origin_kind') or ''}"
    if not rest or before == values.get("origin_kind"):
        return held
    source = f"{place.row.get('origin_source') or ''}"
    measured = ", ".join(columns[name].head.partition(" [")[0] for name in values if name in columns and not
                         name.startswith("origin_"))  # fmt: skip
    said = f"This is of the {measured}; {', '.join(rest)} as before: {before}"
    return (said + (f", {source}" if source else "") + ".")[:LONGEST_NOTE]


def seen_of(section: Section, place: Place) -> dict[str, Any]:
    """What the form shows of a stored row, as it goes with the form."""
    names = (*section.values, *ORIGIN, "origin_note")
    return {name: to_json(place.row.get(name)) for name in names} if place.row else {}
