"""The list of parts and the page of one."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from kits.fitment.used.filters import PartFilter
from kits.fitment.used.queries import uses
from kits.fitment.used.tables import PartTable
from kits.parts import queries
from vehicles.records.access import EVERY_ROLE, allow, may


@allow(get=EVERY_ROLE)
def part_list(request: HttpRequest) -> HttpResponse:
    """Every part, to search."""
    found = PartFilter(request.GET, queries.parts())
    table = PartTable(found.qs)
    table.configure(request)
    return render(
        request, "fitment/used/parts.html", {"table": table, "filter": found, "any": queries.any_parts()}
    )


@allow(get=EVERY_ROLE)
def part(request: HttpRequest, number: str) -> HttpResponse:
    """One part: revisions, data with origin, ports, what it is made of and where it is used."""
    found = queries.part_page(number)
    if found is None:
        raise Http404("There is no such part.")
    row, revisions = found
    newer, older = queries.supersessions(row)
    context = {
        "part": row, "revisions": revisions, "assemblies": queries.structure_users(row), "uses": uses(row),
        "newer": newer, "older": older, "supply": queries.supply(row) if may(request.user, "see_prices") else [],
    }  # fmt: skip
    return render(request, "fitment/used/part.html", context)
