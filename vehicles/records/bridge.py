"""Rows to the plain values every subject shares."""

from vehicles.physics.origin import Kind, Origin
from vehicles.records.models import WithOrigin


def origin_of(row: WithOrigin) -> Origin:
    """The row's origin."""
    return Origin(Kind(row.origin_kind), row.origin_source, row.origin_by, row.origin_on, row.origin_note)
