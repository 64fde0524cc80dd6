"""The list of vehicles: what a cell says, how it is sorted, and one page of many."""

from datetime import date

import pytest
from django.test import RequestFactory

from tests.vehicles.catalogue.cars import make_cars
from vehicles.catalogue.models import ModelLine, Variant
from vehicles.catalogue.queries import variants
from vehicles.catalogue.tables import VariantTable
from vehicles.models import Cabin, Powertrain

FIFTY_SEVEN, SIXTY_ONE = date(1957, 3, 1), date(1961, 1, 1)


def table(query: str = "") -> VariantTable:
    found = VariantTable(variants())
    found.configure(RequestFactory().get(f"/vehicles/?{query}"))
    return found


def shown(found: VariantTable) -> list[str]:
    return [f"{row.record.line.code} {row.record.code}" for row in found.page.object_list]


@pytest.mark.parametrize(
    ("start", "end", "words"),
    [
        (FIFTY_SEVEN, SIXTY_ONE, "1957 to 1961"),
        (FIFTY_SEVEN, None, "1957 to ?"),
        (None, SIXTY_ONE, "? to 1961"),
        (None, None, "not recorded"),
    ],
)
def test_the_years_of_building_are_told_as_far_as_they_are_known(start, end, words):
    assert VariantTable([]).render_built(Variant(built_from=start, built_until=end)) == words


BY_NAME = ["V30 CP-L", "S4 CP-L", "S4 CP-R", "S4 TR_L", "V30 VX"]
BY_LINE = ["V30 CP-L", "V30 VX", "S4 CP-L", "S4 CP-R", "S4 TR_L"]


ORDERS = {
    "sort=name": BY_NAME,
    "sort=-name": BY_NAME[::-1],
    "sort=line": BY_LINE,
    # unknown first years stand last both ways
    "sort=built": ["S4 CP-L", "S4 CP-R", "S4 TR_L", "V30 CP-L", "V30 VX"],
    "sort=-built": ["S4 CP-R", "S4 CP-L", "S4 TR_L", "V30 CP-L", "V30 VX"],
    "sort=powertrain": ["V30 CP-L", "V30 VX", "S4 CP-L", "S4 CP-R", "S4 TR_L"],
}


@pytest.mark.django_db
def test_the_list_is_sorted_as_asked():
    make_cars()
    assert {query: shown(table(query)) for query in ORDERS} == ORDERS
    assert [query for query in ORDERS if table(query).notices] == []


@pytest.mark.django_db
def test_what_the_list_can_not_be_sorted_by_is_said_and_left_out():
    make_cars()
    usual = shown(table())
    for name in ("options", "pk", "--name", "line__maker", "<b>", "x" * 500):
        found = table(f"sort={name}")
        (notice,) = found.notices
        assert notice.startswith("The list can’t be sorted by “")
        assert len(notice) < 120
        assert shown(found) == usual


@pytest.fixture
def hundred_and_one(db) -> None:
    line = ModelLine.objects.create(code="S4", name="Solenne")
    cabin = Cabin.objects.create(line=line, code="c", name="Cabin")
    engine = Powertrain.objects.create(line=line, code="p", name="Engine")
    # all of one name and line: only what makes equal rows differ keeps them apart over the pages
    Variant.objects.bulk_create(
        Variant(line=line, code=f"V{n:03d}", name="Van", cabin=cabin, powertrain=engine)
        for n in reversed(range(101))
    )


@pytest.mark.usefixtures("hundred_and_one")
def test_every_row_stands_on_one_page_also_where_all_are_equal():
    for sort in ("", "sort=cabin&", "sort=-powertrain&", "sort=built&"):
        pages = [shown(table(f"{sort}page={number}")) for number in (1, 2, 3)]
        assert [len(page) for page in pages] == [50, 50, 1], sort
        assert len({code for page in pages for code in page}) == 101, sort


@pytest.mark.usefixtures("hundred_and_one")
def test_a_page_that_is_not_there_is_the_nearest_one_and_that_is_said():
    for asked, number, told in (
        ("3", 3, ()),
        ("4", 3, ("There is no page “4”; this is page 3 of 3.",)),
        ("0", 1, ("There is no page “0”; this is page 1 of 3.",)),
        ("two", 1, ("There is no page “two”; this is page 1.",)),
    ):
        found = table(f"page={asked}&per_page=100000")
        assert (found.page.number, found.notices) == (number, told)
        assert len(shown(found)) <= 50


@pytest.mark.django_db
def test_an_empty_list_has_one_page_and_a_sentence():
    found = table()
    assert (shown(found), found.paginator.num_pages, found.notices) == ([], 1, ())
    assert found.empty_text == "No vehicle matches these filters."
