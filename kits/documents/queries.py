"""What the documents of one fitment are drawn from, fetched in one place."""

from datetime import date, datetime
from typing import NamedTuple

from kits.bom.resolved import ResolvedKit
from kits.fitment.bridge import load_catalogue
from kits.fitment.models import CatalogueStamp, SizedFitment
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
    the kit is not offered for the car, ValueError when the kit can't be resolved at all.
    """
    catalogue = load_catalogue([(kit, line, variant)], on)
    if not catalogue.fitments:
        raise LookupError(f"Kit {kit} has no fitment in variant {variant} of model line {line}.")
    fitment = catalogue.fitments[0]
    resolved = catalogue.resolve(fitment)
    stored = SizedFitment.objects.filter(fitment_id=fitment.row.pk).first()
    if stored is None:
        return DocumentSource(resolved, None, None, False)
    stamp = CatalogueStamp.objects.filter(pk=1).values_list("value", flat=True).first() or 0
    record = SizingRecord.from_json(stored.record)
    return DocumentSource(resolved, record, stored.sized_at, stored.catalogue_stamp != stamp)
