"""The page of a fitment's air side: the prediction beside its trials, and vent readings turned into a flow."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from kits.fitment.air.forms import VentForm, vent_form
from kits.fitment.air.queries import AirSide, air_side
from kits.sizing.air.vent_readings import VentReadings, vent_readings
from vehicles.records.access import EVERY_ROLE, allow


@allow(get=EVERY_ROLE)
def air(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """What the blower moves as predicted and as tried; vent readings come in the address and are not kept."""
    return _page(request, _side(kit, line, variant))


def _side(kit: str, line: str, variant: str) -> AirSide:
    side = air_side(kit, line, variant, timezone.localdate())
    if side is None:
        raise Http404("There is no such fitment.")
    return side


def _page(request: HttpRequest, side: AirSide) -> HttpResponse:
    vents = vent_form(request.GET, side.vents, tuple(one.step for one in side.steps))
    found = _read(side, vents)
    return render(
        request,
        "fitment/air/air.html",
        {
            "fitment": side.fitment,
            "kit": side.fitment.kit,
            "variant": side.fitment.variant,
            "side": side,
            "full": side.full,
            "vent_form": vents,
            "found": found,
        },
        status=422 if vents.is_bound and found is None else 200,
    )


def _read(side: AirSide, form: VentForm) -> VentReadings | None:
    """What the readings of the address make; None without any, or when something is wrong with them."""
    if side.path is None or not side.steps or not form.is_bound or not form.is_valid():
        return None
    at = next(one for one in side.steps if one.step == form.cleaned_data["step"])
    try:
        return vent_readings(side.path, at.clean, form.speeds(), form.cleaned_data["mean_share"])
    except ValueError as refused:
        form.add_error(None, str(refused))
        return None
