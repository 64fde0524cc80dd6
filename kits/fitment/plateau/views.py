"""The page of fillings in steps: where each stands still, the charge that follows, and the oil in the circuit."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from kits.fitment.plateau import queries
from kits.fitment.plateau.forms import OilForm, StepForm
from kits.fitment.plateau.oil import OilAnswer, oil_answer
from kits.topics.circuit.charge import CAUTIONS
from vehicles.records.access import EVERY_ROLE, allow
from vehicles.records.forms import fresh_key

LAST_TYPED = ("trial", "engine_rpm", "ambient_c", "origin_instrument", "origin_source")
"""What the next step most likely has in common with the last one."""


@allow(get=EVERY_ROLE)
def plateau(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """The trials with the charge each gives; the oil's ledger comes in the address and is not kept."""
    return plateau_answer(request, found_page(kit, line, variant))


def found_page(kit: str, line: str, variant: str) -> queries.PlateauPage:
    """The page's data, or 404."""
    page = queries.plateau_page(kit, line, variant, timezone.localdate())
    if page is None:
        raise Http404("There is no such fitment.")
    if page.fitment.kit.heats_only:
        raise Http404("This kit heats only: there is no refrigerant to fill in.")
    return page


def plateau_answer(
    request: HttpRequest,
    page: queries.PlateauPage,
    step: StepForm | None = None,
    *,
    problem: str = "",
    status: int = 200,
) -> HttpResponse:
    """The page, with the step that was typed or the sentence that says why nothing was recorded."""
    oil, told = _oil(request, page)
    context = {
        "page": page, "kit": page.sheet.kit, "fitment": page.fitment, "problem": problem, "cautions": CAUTIONS,
        "step": step or _next_step(page), "oil": oil, "oil_answer": told,
        "idempotency_key": fresh_key(),
        "trials": [(trial, fresh_key()) for trial in page.trials],
    }  # fmt: skip
    wrong = oil.is_bound and told is None
    return render(
        request, "fitment/plateau/page.html", context, status=422 if wrong and status == 200 else status
    )


def _next_step(page: queries.PlateauPage) -> StepForm:
    today = timezone.localdate()
    initial: dict[str, Any] = {"origin_on": today}
    if page.trials:
        last = max(page.trials[0].steps, key=lambda held: held.pk)
        initial.update({name: _typed(getattr(last, name)) for name in LAST_TYPED})
    return StepForm(today=today, initial=initial)


def _typed(value: Any) -> Any:
    """The value as a person would type it: 1800, not 1800.0."""
    return f"{value:g}" if isinstance(value, float) else value


def _oil(request: HttpRequest, page: queries.PlateauPage) -> tuple[OilForm, OilAnswer | None]:
    """The ledger's form, and its answer when it can be worked out."""
    initial = {"prefill_ml": _typed(page.prefill_ml), "drained_ml": 0}
    asked = request.method == "GET" and "prefill_ml" in request.GET
    form = OilForm(request.GET if asked else None, initial=initial)
    if not form.is_valid():
        return form, None
    try:
        return form, oil_answer(**form.cleaned_data, needed_ml=page.sheet.kit.charge.oil_ml)
    except ValueError as refused:
        form.add_error("drained_ml", str(refused))
        return form, None
