"""What the documents of one fitment are drawn from: the same as its page."""

from datetime import date, datetime
from typing import NamedTuple

from kits.bom.resolved import ResolvedKit
from kits.fitment.queries import fitment_sheet
from kits.sizing.record import SizingRecord


class DocumentSource(NamedTuple):
    """A resolved kit with its stored answer, if there is one."""

    kit: ResolvedKit
    record: SizingRecord | None
    sized_at: datetime | None
    is_stale: bool


def document_source(kit: str, line: str, variant: str, on: date) -> DocumentSource:
    """The kit resolved for the car on a date, and the stored answer of its sizing.

    Parameters: codes of kit, model line and variant; on (in force). Raises LookupError with a sentence when
    the kit is not offered for the car.
    """
    sheet = fitment_sheet(kit, line, variant, on)
    if sheet is None:
        raise LookupError(f"Kit {kit} has no fitment in variant {variant} of model line {line}.")
    sized_at = sheet.sized.sized_at if sheet.sized else None
    return DocumentSource(sheet.kit, sheet.record, sized_at, sheet.is_stale)
