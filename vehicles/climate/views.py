"""The page of duty points, their sets and the sites."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from vehicles.climate.queries import climate_page
from vehicles.records.access import EVERY_ROLE, allow


@allow(get=EVERY_ROLE)
def climate(request: HttpRequest) -> HttpResponse:
    """What kits are judged by; a manager comes from here to the forms of the rows."""
    return render(request, "climate/page.html", {"page": climate_page()})
