"""The page of a market."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from kits.fitment.market.queries import market_page
from vehicles.records.access import EVERY_ROLE, allow


@allow(get=EVERY_ROLE)
def market(request: HttpRequest, code: str) -> HttpResponse:
    """The rules of a market; a manager comes from here to the forms of the rows."""
    page = market_page(code, timezone.localdate())
    if page is None:
        raise Http404("There is no such market.")
    return render(request, "fitment/market/page.html", {"page": page, "market": page.market})
