"""What the pages of parts fetch."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.db.models import Max, Q, QuerySet

from kits.parts.data_models import TECHNICAL_DATA
from kits.parts.models import Part, PartRevision, StructureEdge
from vehicles.physics.quantities import quantity_of

POINTS = {
    "compressor": "rated_points",
    "evaporator": "rated_points",
    "condenser": "rated_points",
    "blower": "curve_points",
}
NOT_SHOWN = ("id", "revision", "data")


@dataclass(frozen=True)
class Value:
    """One technical value: the field's name, its words, and what is stored."""

    name: str
    label: str
    value: Any


@dataclass(frozen=True)
class RevisionPage:
    """A revision with its technical data and rated points as rows of values."""

    row: PartRevision
    data: Any
    values: tuple[Value, ...]
    points: tuple[tuple[Value, ...], ...]


def parts() -> QuerySet[Part]:
    """Parts with their newest revision."""
    return Part.objects.annotate(newest=Max("revisions__revision"))


def part_page(number: str) -> tuple[Part, list[RevisionPage]] | None:
    """One part with all its revisions; None when there is none."""
    part = Part.objects.filter(number=number).first()
    if part is None:
        return None
    related = TECHNICAL_DATA.get(part.kind)
    rows = part.revisions.prefetch_related("ports", "structure__child")
    if related:
        rows = rows.select_related(related)
    if related and part.kind in POINTS:
        rows = rows.prefetch_related(f"{related}__{POINTS[part.kind]}")
    return part, [_revision(part, row, related) for row in rows]


def _revision(part: Part, row: PartRevision, related: str | None) -> RevisionPage:
    data = getattr(row, related, None) if related else None
    points = getattr(data, POINTS[part.kind]).all() if data is not None and part.kind in POINTS else ()
    return RevisionPage(row, data, tuple(_values(data)), tuple(tuple(_values(point)) for point in points))


def _values(row: Any) -> Iterator[Value]:
    if row is None:
        return
    for field in row._meta.concrete_fields:
        if field.name not in NOT_SHOWN and not field.name.startswith("origin_"):
            yield Value(field.name, _label(field.name), getattr(row, field.name))


def _label(name: str) -> str:
    quantity = quantity_of(name)
    return (name.removesuffix(f"_{quantity.key}") if quantity else name).replace("_", " ") or name


def structure_users(part: Part) -> QuerySet[StructureEdge]:
    """Assemblies that are made of the part."""
    return (
        StructureEdge.objects.filter(child=part)
        .select_related("parent__part")
        .order_by("parent__part__number", "parent__revision")
    )


def entries_with(part: Part) -> QuerySet[Any]:
    """Entries of kits that name the part."""
    return (
        part.entries.select_related("position__kit")
        .prefetch_related("terms__option__feature")
        .order_by("position__kit__code", "position__number", "number")
    )


def hose_runs_with(part: Part) -> QuerySet[Any]:
    """Hose runs that are made of the part: its hose or one of its ends."""
    runs = apps.get_model("kits", "HoseRun")._default_manager
    return (
        runs.filter(Q(hose=part) | Q(end_a=part) | Q(end_b=part))
        .select_related("position__kit")
        .order_by("position__kit__code", "position__number", "number")
    )
