"""The list of kits and the page of one."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from kits.bom import queries
from kits.bom.tables import KitTable
from vehicles.records.access import EVERY_ROLE, allow


@allow(get=EVERY_ROLE)
def kit_list(request: HttpRequest) -> HttpResponse:
    """Every kit."""
    table = KitTable(queries.kits())
    table.configure(request)
    return render(request, "bom/kits.html", {"table": table})


@allow(get=EVERY_ROLE)
def kit(request: HttpRequest, kit: str) -> HttpResponse:
    """One kit: positions with their entries, joints, steps, and what is wrong with it whatever the car."""
    found = queries.kit_sheet(kit)
    if found is None:
        raise Http404("There is no such kit.")
    lines = {line.code: line for line in found.spec.lines}
    context = {
        "kit": found.kit,
        "findings": found.findings,
        "grid": found.grid,
        "routes": found.routes,
        "lines": list(lines.values()),
        "a_line": next(iter(lines), ""),
    }
    return render(request, "bom/kit.html", context)
