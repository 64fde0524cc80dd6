"""The list of vehicles and the page of one variant."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from vehicles.catalogue import queries
from vehicles.catalogue.filters import CarFilter
from vehicles.catalogue.models import ModelLine
from vehicles.catalogue.tables import VariantTable
from vehicles.records.access import EVERY_ROLE, allow


@allow(get=EVERY_ROLE)
def variant_list(request: HttpRequest) -> HttpResponse:
    """Every buildable car."""
    found = CarFilter(request.GET, queries.variants())
    table = VariantTable(found.qs)
    table.configure(request)
    lines = ModelLine.objects.all()
    return render(request, "catalogue/variants.html", {"table": table, "filter": found, "lines": lines})


@allow(get=EVERY_ROLE)
def vehicle(request: HttpRequest, line: str, variant: str) -> HttpResponse:
    """One variant: its options, its cabin and its powertrain, each number with its origin."""
    found = queries.variant_page(line, variant)
    if found is None:
        raise Http404("There is no such vehicle.")
    return render(
        request,
        "catalogue/vehicle.html",
        {"variant": found, "cabin": found.cabin, "engine": found.powertrain},
    )
