"""Charts as SVG images, drawn from the stored answer."""

from django.http import Http404, HttpRequest, HttpResponse

from kits.documents.chart_style import NARROW_PX, WIDTH_PX
from kits.documents.charts import load_and_capacity
from kits.documents.load_bars import duty_bars
from kits.fitment.queries import stored_record
from vehicles.records.access import EVERY_ROLE, allow


@allow(get=EVERY_ROLE)
def fitment_load_chart(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """Load by term beside capacity; ?theme=dark for a dark page, ?size=narrow for a phone."""
    record = stored_record(kit, line, variant)
    narrow = request.GET.get("size") == "narrow"
    bars = duty_bars(record, short=narrow) if record else ()
    if not bars:
        raise Http404("There is nothing to draw: the fitment is not sized.")
    svg = load_and_capacity(
        bars, dark=request.GET.get("theme") == "dark", width_px=NARROW_PX if narrow else WIDTH_PX
    )
    return HttpResponse(svg, content_type="image/svg+xml", headers={"Cache-Control": "private, no-cache"})
