"""What the pages of parts fetch."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.db.models import OuterRef, QuerySet, Subquery

from kits.parts.data_models import POINTS, TECHNICAL_DATA
from kits.parts.models import Part, PartRevision, StructureEdge, Supersession, SupplierPart
from vehicles.physics.quantities import quantity_of

WITH_BENCH_POINT = ("compressor", "evaporator", "condenser")
NOT_SHOWN = ("id", "revision", "data")


@dataclass(frozen=True)
class Value:
    """One technical value: the field's name, its words, and what is stored."""

    name: str
    label: str
    value: Any


@dataclass(frozen=True)
class PointPage:
    """A rated point: its row, and its values in the order of the table."""

    row: Any
    values: tuple[Value, ...]


@dataclass(frozen=True)
class RevisionPage:
    """A revision with its technical data and rated points as rows of values."""

    row: PartRevision
    data: Any
    values: tuple[Value, ...]
    points: tuple[PointPage, ...]
    has_points: bool
    """whether this kind of part has rated points at all"""


def parts() -> QuerySet[Part]:
    """Parts with their newest revision."""
    newest = PartRevision.objects.filter(part=OuterRef("pk")).order_by("-revision")
    return Part.objects.annotate(
        newest=Subquery(newest.values("revision")[:1]),
        newest_maturity=Subquery(newest.values("maturity")[:1]),
    )


def any_parts() -> bool:
    """Whether there is a part at all."""
    return Part.objects.exists()


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
        bench = "__bench_point" if part.kind in WITH_BENCH_POINT else ""
        rows = rows.prefetch_related(f"{related}__{POINTS[part.kind]}{bench}")
    return part, [_revision(part, row, related) for row in rows]


def _revision(part: Part, row: PartRevision, related: str | None) -> RevisionPage:
    data = getattr(row, related, None) if related else None
    points = getattr(data, POINTS[part.kind]).all() if data is not None and part.kind in POINTS else ()
    pages = tuple(PointPage(point, tuple(_values(point))) for point in points)
    return RevisionPage(row, data, tuple(_values(data)), pages, part.kind in POINTS)


def _values(row: Any) -> Iterator[Value]:
    if row is None:
        return
    for field in row._meta.concrete_fields:
        if field.name not in NOT_SHOWN and not field.name.startswith("origin_"):
            value = getattr(row, field.name)
            # a row that is pointed at, such as a bench point, by its name
            shown = str(value or "–") if field.is_relation else value
            yield Value(field.name, _label(field.name), shown)


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


def rated_points(number: str, revision: str) -> tuple[str, list[dict[str, Any]]]:
    """The kind of a part and the rated points of a revision by field name; nothing when there are none."""
    row = PartRevision.objects.filter(part__number=number, revision=revision).select_related("part").first()
    if row is None or row.part.kind not in POINTS:
        return "", []
    data = getattr(row, TECHNICAL_DATA[row.part.kind], None)
    return row.part.kind, list(getattr(data, POINTS[row.part.kind]).values()) if data is not None else []


def supersessions(part: Part) -> tuple[list[Supersession], list[Supersession]]:
    """What took the part's place, and what the part took the place of."""
    newer = part.superseded_by.select_related("old", "new").order_by("new__number")
    return list(newer), list(part.supersedes.select_related("old", "new").order_by("old__number"))


def supply(part: Part) -> list[SupplierPart]:
    """Who sells the part, with the prices, the preferred first; never to be shown without the right see_prices."""
    return list(
        part.supplier_parts.select_related("supplier", "part")
        .prefetch_related("prices")
        .order_by("-preferred", "supplier__code")
    )
