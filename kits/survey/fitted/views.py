"""Record a length, a charge or a trial of a fitment; what is not usual of it is asked about beside its field."""

from collections.abc import Callable
from functools import partial
from typing import Any

from django.http import HttpRequest, HttpResponse

from kits.editing.forms import ask_beside
from kits.exchange.queries import questions_about
from kits.fitment.air.views import recorded_air_trial
from kits.fitment.views import Record, recorded_charge, recorded_length
from kits.survey.actions import record_as_meant
from vehicles.records.access import MANAGER, allow
from vehicles.records.asked import sent_with


@allow(post={MANAGER})
def record_route_length(request: HttpRequest, kit: str, line: str, variant: str, route: str) -> HttpResponse:
    """Add a length of a route."""
    place = {"kit": kit, "variant": variant, "route": route}
    return recorded_length(request, kit, line, variant, route, _asking(request, "Lengths", line, place))


@allow(post={MANAGER})
def record_charge(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """Add a charge."""
    place = {"kit": kit, "variant": variant}
    return recorded_charge(request, kit, line, variant, _asking(request, "Charges", line, place))


@allow(post={MANAGER})
def record_air_trial(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """Add a trial of the air side."""
    place = {"kit": kit, "variant": variant}
    return recorded_air_trial(request, kit, line, variant, _asking(request, "Air trials", line, place))


def _asking(request: HttpRequest, sheet: str, line: str, place: dict[str, Any]) -> Record:
    return partial(_recorded, request, sheet, line, place)


def _recorded(
    request: HttpRequest,
    sheet: str,
    line: str,
    place: dict[str, Any],
    form: Any,
    record: Callable[[], object],
) -> bool:
    """Whether it was recorded; False: something of it is not usual and was not said to be as meant."""
    questions = questions_about(sheet, line, {**form.cleaned_data, **place})
    ask_beside(form, [(question.field, question) for question in questions], sent_with(request.POST).meant)
    if form.errors:
        return False
    record_as_meant(actor=request.user, questions=questions, record=record)
    return True
