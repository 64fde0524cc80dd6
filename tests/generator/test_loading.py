"""Loading fitments: as many queries for 500 as for 5, and no more rows than the kits of those use."""

from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from kits.bom.bridge import load_parts
from kits.bom.models import Entry, HoseRun, Kit
from kits.fitment.bridge import load_catalogue
from kits.fitment.models import Fitment
from kits.parts.models import Part, StructureEdge, Supersession

pytestmark = [pytest.mark.django_db, pytest.mark.one_database, pytest.mark.usefixtures("real_size")]

ON = date(2026, 11, 25)


def keys(count: int, kits: int = 10) -> list[tuple[str, str, str]]:
    """Fitments spread over some kits."""
    codes = list(Kit.objects.values_list("code", flat=True)[:kits])
    each = count // kits
    return [
        key
        for code in codes
        for key in Fitment.objects.filter(kit__code=code)
        .order_by("pk")
        .values_list("kit__code", "variant__line__code", "variant__code")[:each]
    ]


def queries_for(wanted) -> int:
    with CaptureQueriesContext(connection) as seen:
        catalogue = load_catalogue(wanted, ON)
        resolved = [catalogue.resolve(fitment) for fitment in catalogue.fitments]
    assert len(resolved) == len(wanted)
    assert all(kit.items for kit in resolved)
    return len(seen)


def test_500_fitments_take_as_many_queries_as_5():
    few, many = keys(5, kits=5), keys(500, kits=10)
    assert (len(few), len(many)) == (5, 500)
    assert queries_for(few) == queries_for(many)


def test_of_a_few_fitments_only_what_their_kits_use_is_loaded(fetched):
    wanted = keys(5, kits=1)
    catalogue = load_catalogue(wanted, ON)
    used = parts_of("KIT-01")
    assert list(catalogue.kits) == ["KIT-01"]
    assert set(catalogue.kits["KIT-01"].parts) == used
    assert len(used) < 500
    # parts, revisions, structure, ports, data and points of them, the kit's own rows, and nothing by the thousand
    assert sum(fetched) < 12 * len(used)


def parts_of(code: str) -> set[str]:
    """The numbers a kit uses, climbed step by step."""
    found = set(Entry.objects.filter(position__kit__code=code).values_list("part", flat=True))
    for run in HoseRun.objects.filter(position__kit__code=code):
        found |= {run.hose_id, run.end_a_id, run.end_b_id}
    while True:
        more = (
            set(StructureEdge.objects.filter(parent__part__in=found).values_list("child", flat=True)) - found
        )
        if not more:
            return set(Part.objects.filter(pk__in=found).values_list("number", flat=True))
        found |= more


def test_the_part_that_takes_another_s_place_is_loaded_with_it():
    used = parts_of("KIT-02")
    old = Part.objects.get(number=min(used))
    new = Part.objects.exclude(number__in=used).filter(kind="fastener").first()
    back = Part.objects.exclude(number__in=used).filter(kind="trim").first()
    Supersession.objects.create(old=old, new=new)
    Supersession.objects.create(old=back, new=old, both_ways=True)
    assert set(load_parts(["KIT-02"])) == used | {new.number, back.number}


def test_a_structure_that_bites_its_own_tail_ends():
    used = parts_of("KIT-03")
    edge = StructureEdge.objects.filter(parent__part__number__in=used).first()
    inner = edge.child.revisions.first()
    StructureEdge.objects.create(parent=inner, number=999, child=edge.parent.part, quantity=1)
    assert set(load_parts(["KIT-03"])) == used


def test_no_kit_means_no_part_and_no_name_means_all():
    assert load_parts([]) == {}
    assert len(load_parts()) == 5_000
    assert load_catalogue([], ON).fitments == ()
