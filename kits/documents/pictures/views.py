"""Charts as SVG images, drawn from the stored answer, a calculation of it, a study, or a part's rated points."""

from collections.abc import Sequence

from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone

from kits.documents.chart_style import NARROW_PX, WIDTH_PX
from kits.documents.charts import DutyBars, load_and_capacity
from kits.documents.drawn import CHART, drawn
from kits.documents.load_bars import duty_bars, study_bars
from kits.documents.rated_curves import rated_lines, rated_svg
from kits.documents.topic_pictures import can_be_drawn, picture_svg
from kits.fitment.calculations.queries import topic_told
from kits.fitment.queries import stored_record
from kits.fitment.study.queries import answered
from kits.fitment.study.views import study_form, study_or_404
from kits.parts.queries import rated_points
from kits.sizing.words.defaults import default_value
from vehicles.records.access import EVERY_ROLE, allow, costly


@allow(get=EVERY_ROLE)
def fitment_load_chart(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """Load by term beside capacity; ?theme=dark for a dark page, ?size=narrow for a phone."""
    record = stored_record(kit, line, variant)
    narrow = _is_narrow(request)
    bars = duty_bars(record, short=narrow) if record else ()
    if not bars:
        raise Http404("There is nothing to draw: the fitment is not sized.")
    return _load_chart(request, bars)


@allow(get=EVERY_ROLE)
def topic_picture(
    request: HttpRequest, kit: str, line: str, variant: str, topic: str, picture: str
) -> HttpResponse:
    """A picture of a topic, by the codes of both; theme and size as above."""
    told = topic_told(kit, line, variant, timezone.localdate(), topic)
    found = [one for one in (told.pictures if told else ()) if one.code == picture]
    if not found or not can_be_drawn(found[0]):
        raise Http404("There is nothing to draw: the fitment has no such picture.")
    dark, width_px = _is_dark(request), _width_px(request)
    what = f"The picture “{found[0].caption}”"
    return _image(drawn(what, lambda: picture_svg(found[0], dark=dark, width_px=width_px), width_px))


@allow(get=EVERY_ROLE)
@costly(90)
def study_load_chart(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """Load by term beside capacity at one duty point, as stored and as the question of the address changes it."""
    found = study_or_404(kit, line, variant)
    form = study_form(found, request.GET)
    if form is None or not form.is_valid():
        raise Http404("There is nothing to draw: the question has no answer.")
    question = form.question()
    bars = study_bars(
        found.stored(question.duty),
        answered(found.key, question),
        default_value("capacity_uncertainty_share"),
    )
    if not bars:
        raise Http404("There is nothing to draw: the duty point is not sized.")
    return _load_chart(request, bars)


@allow(get=EVERY_ROLE)
def part_curve(request: HttpRequest, number: str, revision: str, curve: str) -> HttpResponse:
    """A curve through the rated points of a part's revision, such as "volumetric"; theme and size as above."""
    kind, points = rated_points(number, revision)
    lines = next((found for found in rated_lines(kind, points) if found.curve.key == curve), None)
    if lines is None:
        raise Http404("There is nothing to draw: the revision has no such rated points.")
    dark, width_px = _is_dark(request), _width_px(request)
    what = f"The curve “{curve}” of {number}"
    return _image(drawn(what, lambda: rated_svg(lines, dark=dark, width_px=width_px), width_px))


def _load_chart(request: HttpRequest, bars: Sequence[DutyBars]) -> HttpResponse:
    dark, width_px = _is_dark(request), _width_px(request)
    return _image(drawn(CHART, lambda: load_and_capacity(bars, dark=dark, width_px=width_px), width_px))


def _is_dark(request: HttpRequest) -> bool:
    return request.GET.get("theme") == "dark"


def _is_narrow(request: HttpRequest) -> bool:
    return request.GET.get("size") == "narrow"


def _width_px(request: HttpRequest) -> int:
    return NARROW_PX if _is_narrow(request) else WIDTH_PX


def _image(svg: str) -> HttpResponse:
    return HttpResponse(
        svg, content_type="image/svg+xml; charset=utf-8", headers={"Cache-Control": "private, no-cache"}
    )
