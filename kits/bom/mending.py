"""The field that mends a finding, as a reference in plain texts."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from vehicles.records.terms import Terms


@dataclass(frozen=True)
class Mend:
    """A field of a row: the sheet of the data, the row's key, the field.

    The key leaves out the kit, which is the one at hand; the key of a part's revision may be the part's number
    alone, then it is the revision in force. A new row has no key, but some of its fields are given.
    """

    sheet: str
    field: str
    key: tuple[str | int, ...] = ()
    is_new: bool = False
    given: tuple[tuple[str, str], ...] = ()


def row(sheet: str, field: str, *key: str | int) -> Mend:
    """A field of the row with this key."""
    return Mend(sheet, field, key)


def new_row(sheet: str, field: str, **given: str | int) -> Mend:
    """A field of a row that is to be added, with some of its fields given."""
    return Mend(sheet, field, (), True, tuple((name, f"{value}") for name, value in given.items()))


def filled_by(position: int, has_hoses: bool) -> Mend:
    """What would fill an empty position: a new hose run where hose runs do, else a new entry."""
    if has_hoses:
        return new_row("Hose runs", "route", position=position)
    return new_row("Entries", "part_number", position=position)


def option_of(sheet: str, terms: Terms, features: Iterable[str], *key: str | int) -> Mend:
    """The options of a row: the feature its terms speak of first, else the first of the features."""
    spoken = [name for name, _ in (*terms.only, *terms.excluded)]
    feature = next(iter([*spoken, *features]), "")
    return row(sheet, f"option:{feature.casefold()}", *key)


def of_revision(mend: Mend, part: str, revision: str, has_data: bool) -> Mend:
    """The field of a part's row in the revision in force; where that has no technical data yet, of a new row."""
    if mend.is_new and dict(mend.given).get("part_number") == part:
        return replace(mend, given=(*mend.given, ("part_revision", revision)))
    if mend.key != (part,):
        return mend
    if has_data:
        return replace(mend, key=(part, revision))
    return new_row(mend.sheet, mend.field, part_number=part, part_revision=revision)
