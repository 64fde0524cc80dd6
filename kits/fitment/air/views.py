"""The page of a fitment's air side: the prediction beside its trials, and vent readings turned into a flow."""

from functools import partial

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from kits.fitment import actions
from kits.fitment.air.forms import AirTrialForm, VentForm, trial_form, vent_form
from kits.fitment.air.queries import AirSide, air_side
from kits.fitment.views import Record
from kits.sizing.air.vent_readings import VentReadings, vent_readings
from vehicles.records.access import EVERY_ROLE, allow
from vehicles.records.actions import Stale


@allow(get=EVERY_ROLE)
def air(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """What the blower moves as predicted and as tried; vent readings come in the address and are not kept."""
    return _page(request, _side(kit, line, variant))


def recorded_air_trial(
    request: HttpRequest, kit: str, line: str, variant: str, record: Record
) -> HttpResponse:
    """Add a trial; the page then shows what it makes of the prediction."""
    side = _side(kit, line, variant)
    form = trial_form(request.POST, version=side.fitment.version)
    status = _recorded(request, side, form, record)
    if status:
        return _page(request, side, form, status)
    messages.success(request, "Trial recorded. The fitment was sized again with it.")
    return redirect(reverse("fitment-air", args=[kit, line, variant]) + "#trials")


def _recorded(request: HttpRequest, side: AirSide, form: AirTrialForm, record: Record) -> int:
    """0 when the trial was recorded, else the status of the page that says why not."""
    if not form.is_valid():
        return 422
    values = dict(form.cleaned_data)
    expected_version = values.pop("version")
    try:
        write = partial(
            actions.record_air_trial, actor=request.user, fitment_id=side.fitment.pk, on=timezone.localdate(),
            expected_version=expected_version, **values,
        )  # fmt: skip
        return 0 if record(form, write) else 422
    except Stale as stale:
        form.data = form.data.copy()  # type: ignore[attr-defined]
        form.data["version"] = str(side.fitment.version)  # type: ignore[index]
        form.add_error(None, f"{stale} What you typed is kept below: compare it, then save.")
        return 409
    except ValidationError as refused:
        form.add_error(None, "; ".join(refused.messages))
        return 422


def _side(kit: str, line: str, variant: str) -> AirSide:
    side = air_side(kit, line, variant, timezone.localdate())
    if side is None:
        raise Http404("There is no such fitment.")
    return side


def _page(
    request: HttpRequest, side: AirSide, typed: AirTrialForm | None = None, status: int = 200
) -> HttpResponse:
    vents = vent_form(request.GET, side.vents, tuple(one.step for one in side.steps))
    found = _read(side, vents)
    status = 422 if vents.is_bound and found is None and status == 200 else status
    measured = found.total_m3_h if found else None
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
            "trial_form": typed or trial_form(version=side.fitment.version, airflow_m3_h=measured),
            "trial_typed": typed is not None or found is not None,
        },
        status=status,
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
