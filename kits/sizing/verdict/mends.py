"""The field that mends a remark, where the reference alone does not say it."""

from kits.bom.mending import Mend, new_row, row
from kits.bom.resolved import ResolvedKit, explode

MISSING_PART = new_row("Entries", "part_number")
"""a thing that the kit does not have"""


def of_part(kit: ResolvedKit, sheet: str, field: str, part: str) -> Mend | None:
    """A field of a part's data in the revision that goes in; None for a part that is not in the kit."""
    revision = next((r.item.revision for r in explode(kit) if r.item.part == part), None)
    return None if revision is None else row(sheet, field, part, revision)


def of_place(where: str, sheet: str, field: str, *more: str) -> Mend | None:
    """A field of a row that belongs to what a reference names: the powertrain of "powertrain:P1"."""
    _, _, code = where.partition(":")
    return row(sheet, field, code, *more) if code else None


def added_to(where: str, sheet: str, field: str, **given: str) -> Mend:
    """A new row of what a reference names: a pulley of "powertrain:P1"."""
    head, _, code = where.partition(":")
    return new_row(sheet, field, **({head: code} if code else {}), **given)
