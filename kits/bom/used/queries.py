"""Which kits use which parts: asked of the database itself, which climbs down what parts are made of."""

from collections.abc import Iterable
from typing import Any

from django.db import connection
from django.db.models import IntegerField, Q, QuerySet
from django.db.models.expressions import RawSQL

from kits.bom.models import HoseRun
from kits.parts.models import Part

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


def entries_with(part: Part) -> QuerySet[Any]:
    """Entries of kits that name the part."""
    return (
        part.entries.select_related("position__kit")
        .prefetch_related("terms__option__feature")
        .order_by("position__kit__code", "position__number", "number")
    )


def hose_runs_with(part: Part) -> QuerySet[Any]:
    """Hose runs that are made of the part: its hose or one of its ends."""
    return (
        HoseRun.objects.filter(Q(hose=part) | Q(end_a=part) | Q(end_b=part))
        .select_related("position__kit")
        .prefetch_related("terms__option__feature")
        .order_by("position__kit__code", "position__number", "number")
    )
