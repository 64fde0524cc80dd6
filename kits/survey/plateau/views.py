"""Add what was read after one step of filling, and the charge that follows from all of them."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone

from kits.editing.actions import record
from kits.editing.changes import RowEdit
from kits.editing.forms import ask_beside
from kits.exchange.values import Row
from kits.fitment.plateau.forms import ProposalForm, StepForm
from kits.fitment.plateau.queries import PlateauPage, source_of
from kits.fitment.plateau.views import found_page, plateau_answer
from vehicles.records.access import MANAGER, allow, name_of
from vehicles.records.actions import Stale
from vehicles.records.asked import LOST_STATE, sent_with


@allow(post={MANAGER})
def add_step(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """Write the step; the page then shows what the trial makes of it."""
    page, form = found_page(kit, line, variant), StepForm(request.POST, today=timezone.localdate())
    status = _written(request, page, form)
    if status:
        return plateau_answer(request, page, form, status=status)
    grams = form.cleaned_data["charge_g"]
    messages.success(request, f"Step of {grams:g} g written to trial {form.cleaned_data['trial']}.")
    return redirect(reverse("plateau", args=[kit, line, variant]) + "#step")


@allow(post={MANAGER})
def record_plateau(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """Record the charge that a trial gives, worked out from its rows as they are now."""
    page, form, sent = found_page(kit, line, variant), ProposalForm(request.POST), sent_with(request.POST)
    if sent.is_lost:
        return plateau_answer(request, page, problem=LOST_STATE, status=422)
    trial = page.named(form.cleaned_data["trial"]) if form.is_valid() else None
    if trial is None:
        return plateau_answer(
            request, page, problem="There is no such trial any more; nothing was recorded.", status=422
        )
    found = trial.plateau
    if found is None:
        return plateau_answer(request, page, problem=f"{trial.refusal} Nothing was recorded.", status=422)
    if trial.counts:
        problem = "The charge of this trial is recorded already, and counts. Nothing was recorded."
        return plateau_answer(request, page, problem=problem, status=409)
    source = (
        f"{source_of(trial.code)}stands still from {found.start_g:g} to {found.end_g:g} g, start + "
        f"{found.low_g - found.start_g:g} to {found.high_g - found.start_g:g} g"
    )
    row: Row = {
        "kit": kit, "variant": variant, "charge_g": found.charge_g, "tolerance_g": found.tolerance_g,
        "origin_kind": "weighed", "origin_source": source, "origin_on": timezone.localdate(),
        "origin_by": name_of(request.user), "origin_instrument": trial.steps[-1].origin_instrument,
    }  # fmt: skip
    try:
        written = record(
            actor=request.user, fitment=(kit, line, variant), edits=[RowEdit("add", "Charges", values=row)],
            reason=f"charge of trial {trial.code}: {found.charge_g:g} g", on=timezone.localdate(),
            sent=sent, meant=None,
        )  # fmt: skip
    except Stale as stale:
        return plateau_answer(request, page, problem=f"{stale}", status=409)
    if written.is_refused:
        told = " ".join(problem.sentence for problem in written.problems)
        return plateau_answer(request, page, problem=told, status=422)
    messages.success(request, f"Charge recorded: {found.charge_g:g} g, weighed in trial {trial.code}.")
    return redirect(reverse("fitment-sheet", args=[kit, line, variant]) + "#charge")


def _is_there(page: PlateauPage, trial: str, charge_g: float) -> bool:
    """Whether the trial has a step at this charge."""
    return any(
        held.trial.casefold() == trial.casefold() and held.charge_g == charge_g
        for found in page.trials
        for held in found.steps
    )


def _written(request: HttpRequest, page: PlateauPage, form: StepForm) -> int:
    """0 when the step was written, else the status of the page that says why not."""
    sent = sent_with(request.POST)
    if sent.is_lost:
        form.add_error(None, LOST_STATE)
    if not form.is_valid():
        return 422
    key, values, person = page.sheet.key, form.cleaned_data, request.user
    row = {
        "kit": key[0],
        "variant": key[2],
        **values,
        "origin_kind": "measured",
        "origin_by": name_of(person),
    }
    try:
        written = record(
            actor=person, edits=[RowEdit("add", "Plateau steps", values=row)],
            reason=f"filling in steps, trial {values['trial']}: {values['charge_g']:g} g",
            sent=sent, meant=sent.meant, on=timezone.localdate(), fitment=key,
        )  # fmt: skip
    except Stale as stale:
        form.add_error(None, f"{stale}")
        return 409
    if written.problems and _is_there(page, values["trial"], values["charge_g"]):
        text = (
            f"Trial {values['trial']} has a step at {values['charge_g']:g} g already: change that row above."
        )
        form.add_error("charge_g", text)
        return 422
    for problem in written.problems:
        form.add_error(problem.column if problem.column in form.fields else None, problem.sentence)
    ask_beside(form, [(question.field, question) for question in written.questions], sent.meant)
    return 422 if written.is_refused else 0
