"""What the pages of parts fetch."""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.db import connection
from django.db.models import IntegerField, OuterRef, Q, QuerySet, Subquery
from django.db.models.expressions import RawSQL

from kits.parts.data_models import POINTS, TECHNICAL_DATA
from kits.parts.models import Part, PartRevision, StructureEdge, Supersession, SupplierPart
from vehicles.physics.quantities import quantity_of
from vehicles.records.terms import terms_of

WITH_BENCH_POINT = ("compressor", "evaporator", "condenser")
NOT_SHOWN = ("id", "revision", "data")


@dataclass(frozen=True)
class Value:
    """One technical value: the field's name, its words, and what is stored."""

    name: str
    label: str
    value: Any

    @property
    def is_text(self) -> bool:
        """Whether the value is words."""
        return isinstance(self.value, str)


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


# Which kit's entries and hose runs name which part.
NAMED = """
    SELECT n.part_id, p.kit_id FROM kits_entry n JOIN kits_position p ON p.id = n.position_id
    UNION SELECT h.hose_id, p.kit_id FROM kits_hoserun h JOIN kits_position p ON p.id = h.position_id
    UNION SELECT h.end_a_id, p.kit_id FROM kits_hoserun h JOIN kits_position p ON p.id = h.position_id
    UNION SELECT h.end_b_id, p.kit_id FROM kits_hoserun h JOIN kits_position p ON p.id = h.position_id
"""
# What comes along with a part: what it is made of, and a controller's software.
CONTENT = """
    SELECT r.part_id AS owner_id, e.child_id FROM kits_structureedge e JOIN kits_partrevision r ON r.id = e.parent_id
    UNION ALL
    SELECT r.part_id, c.software_id FROM kits_controllerdata c JOIN kits_partrevision r ON r.id = c.revision_id
    WHERE c.software_id IS NOT NULL
"""
SUCCESSORS = """
    UNION ALL SELECT s.old_id, s.new_id FROM kits_supersession s
    UNION ALL SELECT s.new_id, s.old_id FROM kits_supersession s WHERE s.both_ways
"""


def _used(links: str = CONTENT) -> str:
    """SQL that says which kit uses which part, itself or in an assembly however deep, as the table ``used``.

    The database climbs down itself, so that lists sort and filter by it and fetch no more than their page. A
    structure that bites its own tail ends by UNION.
    """
    return f"""
        WITH RECURSIVE used(part_id, kit_id) AS (
            {NAMED}
            UNION
            SELECT link.child_id, used.kit_id FROM used JOIN ({links}) link ON link.owner_id = used.part_id
        )
    """  # noqa: S608 - made of constants


def parts() -> QuerySet[Part]:
    """Parts with their newest revision."""
    newest = PartRevision.objects.filter(part=OuterRef("pk")).order_by("-revision")
    return Part.objects.annotate(
        newest=Subquery(newest.values("revision")[:1]),
        newest_maturity=Subquery(newest.values("maturity")[:1]),
    )


def with_kit_count(rows: QuerySet[Any]) -> QuerySet[Any]:
    """The parts with in how many kits each is used."""
    if connection.vendor == "postgresql":
        # counted once for all parts: as a subquery of each row it would climb down the structure for each anew
        counts = f"{_used()} SELECT part_id, COUNT(*) AS kits FROM used GROUP BY part_id"  # noqa: S608
        every = f"(SELECT jsonb_object_agg(part_id, kits) FROM ({counts}) counts)"  # noqa: S608
        count = f'COALESCE(({every} ->> "kits_part"."id"::text)::int, 0)'
    else:
        count = f'({_used()} SELECT COUNT(*) FROM used WHERE used.part_id = "kits_part"."id")'  # noqa: S608
    counted: QuerySet[Any] = rows.annotate(kit_count=RawSQL(count, (), output_field=IntegerField()))  # noqa: S611
    return counted


def in_kits(rows: QuerySet[Part], *, several: bool) -> QuerySet[Part]:
    """The parts that one kit uses, or more than one."""
    count = "> 1" if several else "= 1"
    keys = f"{_used()} SELECT part_id FROM used GROUP BY part_id HAVING COUNT(*) {count}"  # noqa: S608
    return rows.filter(pk__in=RawSQL(keys, ()))  # noqa: S611


def used_nowhere(rows: QuerySet[Part]) -> QuerySet[Part]:
    """The parts that no entry, hose run or other part names."""
    names = f"SELECT part_id FROM ({NAMED}) named UNION SELECT child_id FROM ({CONTENT}) content"  # noqa: S608
    return rows.exclude(pk__in=RawSQL(names, ()))  # noqa: S611


def of_kits(rows: QuerySet[Part], codes: Iterable[str], *, with_successors: bool = False) -> QuerySet[Part]:
    """The parts that the kits use, whatever the car; ``with_successors`` also those that take their place."""
    wanted = list(codes)
    if not wanted:
        return rows.none()
    marks = ", ".join(["%s"] * len(wanted))
    used = _used(CONTENT + SUCCESSORS) if with_successors else _used()
    keys = f"{used} SELECT part_id FROM used JOIN kits_kit k ON k.id = used.kit_id WHERE k.code IN ({marks})"  # noqa: S608
    return rows.filter(pk__in=RawSQL(keys, wanted))  # noqa: S611


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
        .prefetch_related("terms__option__feature")
        .order_by("position__kit__code", "position__number", "number")
    )


def rated_points(number: str, revision: str) -> tuple[str, list[dict[str, Any]]]:
    """The kind of a part and the rated points of a revision by field name; nothing when there are none."""
    row = PartRevision.objects.filter(part__number=number, revision=revision).select_related("part").first()
    if row is None or row.part.kind not in POINTS:
        return "", []
    data = getattr(row, TECHNICAL_DATA[row.part.kind], None)
    return row.part.kind, list(getattr(data, POINTS[row.part.kind]).values()) if data is not None else []


@dataclass(frozen=True)
class Use:
    """A place where a kit uses the part: an entry or a hose run, in how many of the kit's vehicles, by its options."""

    row: Any
    quantity: Any
    tag: str
    variants: int
    of: int


def uses(part: Part) -> list[Use]:
    """Where kits use the part, with the number of vehicles; a fixed number of queries."""
    entries, runs = list(entries_with(part)), list(hose_runs_with(part))
    cars = _cars({row.position.kit_id for row in [*entries, *runs]})
    found = []
    for row in [*entries, *runs]:
        terms = terms_of((t.option.feature.code, t.option.code, t.excluded) for t in row.terms.all())
        held = cars.get(row.position.kit_id, Counter())
        count = sum(n for options, n in held.items() if terms.applies(dict(options)))
        found.append(
            Use(row, getattr(row, "quantity", None), getattr(row, "tag", ""), count, sum(held.values()))
        )
    return found


def _cars(kits: set[int]) -> dict[int, "Counter[tuple[tuple[str, str], ...]]"]:
    """How many vehicles of each kit have which options, by the kit's key."""
    fitments = apps.get_model("kits", "Fitment")._default_manager.filter(kit__in=kits)
    rows = apps.get_model("vehicles", "VariantOption")._default_manager.filter(
        variant__in=fitments.values("variant")
    )
    options: dict[int, list[tuple[str, str]]] = {}
    for variant, feature, option in rows.values_list("variant", "option__feature__code", "option__code"):
        options.setdefault(variant, []).append((feature, option))
    found: dict[int, Counter[tuple[tuple[str, str], ...]]] = {}
    for kit, variant in fitments.values_list("kit", "variant"):
        found.setdefault(kit, Counter())[tuple(sorted(options.get(variant, ())))] += 1
    return found


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
