"""The list of vehicles."""

from django.http import HttpRequest, HttpResponse
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
