"""Add what was read after one step of filling."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone

from kits.editing.changes import RowEdit
from kits.editing.forms import ask_beside
from kits.fitment.plateau.forms import StepForm
from kits.fitment.plateau.queries import PlateauPage
from kits.fitment.plateau.views import found_page, plateau_answer
from kits.survey.actions import record_values
from vehicles.records.access import MANAGER, allow
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
    by = (person.get_full_name() or person.get_username()) if person.is_authenticated else ""
    row = {"kit": key[0], "variant": key[2], **values, "origin_kind": "measured", "origin_by": by}
    try:
        written = record_values(
            actor=person, line=key[1], edits=[RowEdit("add", "Plateau steps", values=row)],
            reason=f"filling in steps, trial {values['trial']}: {values['charge_g']:g} g",
            sent=sent, on=timezone.localdate(), fitment=key,
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
