"""Rows to the plain values every subject shares."""

from collections.abc import Iterable
from typing import TypeVar

from vehicles.physics.origin import Kind, Origin, best
from vehicles.records.models import WithOrigin

Row = TypeVar("Row", bound=WithOrigin)


def origin_of(row: WithOrigin) -> Origin:
    """The row's origin."""
    return Origin(
        Kind(row.origin_kind), source=row.origin_source, by=row.origin_by, on=row.origin_on, note=row.origin_note,
        instrument=row.origin_instrument, uncertainty=row.origin_uncertainty,
    )  # fmt: skip


def winning(rows: Iterable[Row]) -> Row:
    """The row that holds among rows that are only added: best() by origin; of equals the one recorded last."""
    ordered = sorted(rows, key=lambda row: row.pk)
    origins = [origin_of(row) for row in ordered]
    winner = best(origins)
    return [row for row, origin in zip(ordered, origins, strict=True) if origin == winner][-1]
