"""The page that judges readings; the address carries them, nothing is stored."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from kits.fitment.readings import queries
from kits.fitment.readings.forms import ReadingsForm
from kits.fitment.readings.judgement import judged
from kits.topics.circuit.readings import CAUTIONS
from vehicles.records.access import EVERY_ROLE, allow


@allow(get=EVERY_ROLE)
def readings(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """The form, and what the readings in the address speak for."""
    asked = queries.asked(kit, line, variant)
    if asked is None:
        raise Http404("There is no such fitment.")
    if asked.fitment.kit.heats_only:
        raise Http404("This kit heats only: it has no refrigerant pressures to judge.")
    form = ReadingsForm(request.GET or None, is_electric=asked.plant.is_electric)
    is_readable = form.is_valid()
    context = {
        "fitment": asked.fitment, "plant": asked.plant, "form": form, "cautions": CAUTIONS,
        "judgement": judged(form.taken(), asked.plant) if is_readable else None,
    }  # fmt: skip
    status = 422 if form.is_bound and not is_readable else 200
    return render(request, "fitment/readings/page.html", context, status=status)
