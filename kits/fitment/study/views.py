"""The pages of a study: ask what if, compare gases, keep the answer as a note."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import patch_vary_headers

from kits.fitment.study import actions, queries
from kits.fitment.study.forms import NoteForm, StudyForm, query_of
from kits.sizing.case.case import Duty
from kits.sizing.study.study import duties_of
from kits.sizing.study.study_gas import CHANGES_WITH_IT
from kits.sizing.study.study_words import changes, compared, compared_holds
from kits.sizing.words.defaults import default_value
from vehicles.records.access import EVERY_ROLE, MANAGER, allow, costly
from vehicles.records.actions import Stale
from vehicles.records.asked import sent_with
from vehicles.records.forms import fresh_key, with_fresh_key

LONGEST_QUESTION = 2000
LOST = "The question was lost. Ask it again above, then keep it."


@allow(get=EVERY_ROLE)
@costly(90)
def study(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """A question and its answer; while somebody changes the fields, the answer alone."""
    found = study_or_404(kit, line, variant)
    asked = _asked(found, request.GET)
    htmx: Any = request.htmx  # type: ignore[attr-defined]
    if not htmx or htmx.history_restore_request or "form" not in asked:
        return _page(request, found, asked)
    response = _fresh(render(request, "fitment/study/_changed.html", {"found": found, **asked}))
    query = asked.get("query") or request.GET.urlencode()
    response["HX-Push-Url"] = f"{reverse('study', args=found.place)}?{query}"
    return response


@allow(get=EVERY_ROLE)
@costly(30)
def study_holds(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """What the kit holds and what limits it, which takes longer than the answer itself."""
    found = study_or_404(kit, line, variant)
    asked = _asked(found, request.GET, whole=True)
    if "form" not in asked:
        raise Http404("There is nothing to ask about this fitment yet.")
    return _fresh(render(request, "fitment/study/_holds.html", {"found": found, **asked}))


@allow(get=EVERY_ROLE)
@costly(15)
def study_gases(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """The same plant with other gases, side by side."""
    found = study_or_404(kit, line, variant)
    gases = queries.gases(found.key)
    points = [
        (together[0].name, list(zip(gases, together, strict=True)))
        for together in zip(*(gas.duties for gas in gases), strict=True)
    ]
    context = {
        "found": found, "gases": gases, "points": points, "warning": CHANGES_WITH_IT, **_uncertainty(),
    }  # fmt: skip
    return render(request, "fitment/study/gases.html", context)


@allow(post={MANAGER})
def keep_study(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """Keep a question and its answer as a note of the fitment."""
    found = study_or_404(kit, line, variant)
    question = request.POST.get("question", "")[:LONGEST_QUESTION]
    asked = _asked(found, QueryDict(question))
    note = NoteForm(request.POST)
    if "duty=" not in question or not asked.get("answer"):
        note.add_error(None, LOST)
    if not note.is_valid():
        return _page(request, found, asked, note)
    try:
        actions.keep_note(
            actor=request.user, fitment_id=found.key.fitment_id, text=note.cleaned_data["text"],
            study=queries.to_keep(found, asked["question"]), sent=sent_with(request.POST),
            now=timezone.now(),
        )  # fmt: skip
    except (ValidationError, ValueError, Stale) as refused:
        note.add_error(None, str(refused))
        return _page(request, found, asked, note)
    messages.success(request, "The study is kept as a note of this fitment.")
    return redirect(reverse("fitment-sheet", args=found.place) + "#notes")


def study_or_404(kit: str, line: str, variant: str) -> queries.Study:
    """The fitment to ask about."""
    found = queries.study_of(kit, line, variant, timezone.localdate())
    if found is None:
        raise Http404("There is no such fitment.")
    if found.case is not None and found.case.heats_only:
        raise Http404("This kit heats only: there is no cooling to try a change on.")
    return found


def study_form(found: queries.Study, query: QueryDict) -> StudyForm | None:
    """The question an address carries; None where there is nothing to ask about."""
    if found.case is None or not duties_of(found.case):
        return None
    return StudyForm(found.case, _duty(found, query.get("duty", "")), query)


def _duty(found: queries.Study, code: str) -> Duty:
    """The duty point of a code; without one the worst of the stored answer, or the first."""
    duties = {duty.code: duty for duty in duties_of(found.case)} if found.case else {}
    if code and code not in duties:
        raise Http404("This fitment has no such duty point.")
    worst = found.record.worst_duty_point if found.record else ""
    return duties.get(code) or duties.get(worst) or next(iter(duties.values()))


def _asked(found: queries.Study, query: QueryDict, *, whole: bool = False) -> dict[str, Any]:
    """The form with its answer, or with what is wrong with it."""
    form = study_form(found, query)
    if form is None or found.case is None:
        return {}
    context: dict[str, Any] = {"form": form, "duty": form.duty, "duties": duties_of(found.case)}
    if not form.is_valid():
        return context
    question, whole = form.question(), whole or "whole" in query
    try:
        answer = queries.answered(found.key, question, whole)
    except ValueError as refused:
        form.add_error(None, str(refused))
        return context
    stored = found.stored(form.duty.code)
    rows, asked_changes = compared(stored, answer), changes(found.case, question)
    return {
        **context,
        "question": question,
        "query": query_of(question),
        "answer": answer,
        "stored": stored,
        "changes": asked_changes,
        "rows": rows,
        "is_moved": not asked_changes and any(row.is_different for row in rows),
        "holds": compared_holds(stored, answer) if whole else None,
        **_uncertainty(),
    }


def _uncertainty() -> dict[str, float]:
    names = ("load_uncertainty_share", "capacity_uncertainty_share")
    return {name: default_value(name) for name in names}


def _page(
    request: HttpRequest, found: queries.Study, asked: dict[str, Any], note: NoteForm | None = None
) -> HttpResponse:
    is_wrong = (note is not None and note.errors) or ("form" in asked and asked["form"].errors)
    context = {
        "found": found,
        **asked,
        "note": with_fresh_key(note or NoteForm(initial={"idempotency_key": fresh_key()})),
    }
    # a page that the browser asks for on the way back is shown with its mistakes; htmx drops one that is no success
    is_restored = request.htmx.history_restore_request  # type: ignore[attr-defined]
    status = 422 if is_wrong and not is_restored else 200
    return _fresh(render(request, "fitment/study/study.html", context, status=status))


def _fresh(response: HttpResponse) -> HttpResponse:
    """One address gives the page or the answer alone: neither is to be taken for the other from a store."""
    patch_vary_headers(response, ["HX-Request"])
    response["Cache-Control"] = "private, no-store"
    return response
