"""The survey of a car: its page, the forms that take many values at once, and the word that it is finished."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from kits.editing.actions import Written, edit_rows, record
from kits.editing.seen import packed, unpacked_rows
from kits.exchange.bridge import rules_of
from kits.fitment.queries import findings_of_car
from kits.survey import actions, queries
from kits.survey.entry import seen_of
from kits.survey.forms import EntryForm
from vehicles.records.access import EVERY_ROLE, MANAGER, allow, name_of
from vehicles.records.actions import Stale
from vehicles.records.asked import LOST_STATE, sent_with
from vehicles.records.forms import fresh_key
from vehicles.templatetags.quantities import anchor

GONE = "A row you typed a value for was removed in the meantime; nothing was written."


@allow(get=EVERY_ROLE)
def vehicle(request: HttpRequest, line: str, variant: str) -> HttpResponse:
    """All that is known of a car, each value with its origin, and how far its survey is."""
    return _car_answer(request, _car(line, variant))


@allow(post={MANAGER})
def finish(request: HttpRequest, line: str, variant: str) -> HttpResponse:
    """Say that the survey is finished, with the reason."""
    car = _car(line, variant)
    sent = sent_with(request.POST)
    reason = sent.reason
    if not reason or sent.reason_wrong:
        told = f"Say why, in a few words. {sent.reason_wrong}".strip()
        return _car_answer(request, car, reason=reason, reason_error=told, status=422)
    try:
        written = actions.finish_survey(
            actor=request.user, line=car.variant.line.code, variant=car.variant.code, reason=reason
        )
    except Stale as stale:
        return _car_answer(request, car, reason=reason, reason_error=str(stale), status=409)
    for problem in written.problems:
        messages.error(request, f"{problem.sheet}: {problem.sentence}")
    if written.count:
        messages.success(request, "The survey is finished; it stands in the history with your reason.")
    elif not written.problems:
        messages.info(request, "The survey was finished already.")
    return redirect("vehicle", line=line, variant=variant)


@allow(get={MANAGER}, post={MANAGER})
def enter(request: HttpRequest, line: str, variant: str, section: str) -> HttpResponse:
    """Many values of one section of a car at once."""
    return _enter(request, queries.entry_page(line, variant, section))


@allow(get={MANAGER}, post={MANAGER})
def enter_routes(request: HttpRequest, line: str, variant: str, kit: str) -> HttpResponse:
    """All route lengths of one fitment at once."""
    return _enter(request, queries.entry_page(line, variant, "routes", kit))


def _enter(request: HttpRequest, page: queries.EntryPage | None) -> HttpResponse:
    if page is None:
        raise Http404("There is nothing like that to survey.")
    if request.method != "POST":
        return _entry_answer(request, page, _form(request, page))
    seen = unpacked_rows(request.POST.get("seen", ""), page.sheet.by_field)
    form = _form(request, page, seen)
    if seen is None or sent_with(request.POST).is_lost:
        form.add_error(None, LOST_STATE)
    elif _names_gone(request, page):
        form.is_valid()
        form.add_error(None, GONE)
        return _entry_answer(request, page, form, status=409)
    looked_at = None if seen is None else request.POST.get("seen", "")
    if not form.is_valid():
        return _entry_answer(request, page, form, looked_at, status=422)
    try:
        written = _write(request, page, form)
    except Stale as stale:
        form.add_error(
            None, f"{stale} What you typed is kept below; saving again writes it over the new state."
        )
        return _entry_answer(request, page, form, status=409)
    for problem in written.problems:
        form.add_error(None, f"{problem.sheet}: {problem.sentence}")
    form.ask(written.questions, sent_with(request.POST).meant)
    if written.is_refused:
        return _entry_answer(request, page, form, looked_at, status=422)
    count = written.count
    messages.success(
        request,
        f"{count} value{'' if count == 1 else 's'} of {page.section.title.lower()} written."
        if count
        else "Nothing was different; nothing was written.",
    )
    return redirect(_back(page))


def _form(request: HttpRequest, page: queries.EntryPage, seen: dict[str, Any] | None = None) -> EntryForm:
    today = timezone.localdate()
    initial = {
        "origin_kind": "measured", "origin_on": today, "cars_count": 1,
        "origin_by": name_of(request.user),
    }  # fmt: skip
    data = request.POST if request.method == "POST" else None
    rules = rules_of(page.sheet.name)
    return EntryForm(page.section, page.sheet, page.places, rules, today, data, seen=seen, initial=initial)


def _names_gone(request: HttpRequest, page: queries.EntryPage) -> bool:
    """Whether a value was typed for a place that is no longer there."""
    tokens = {place.token for place in page.places}
    prefixes = tuple(f"{name}-" for name in (*page.section.place, *page.section.values))
    return any(
        name.startswith(prefixes) and name.rpartition("-")[2] not in tokens and str(text).strip()
        for name, text in request.POST.items()
    )


def _write(request: HttpRequest, page: queries.EntryPage, form: EntryForm) -> Written:
    line, variant = page.car.variant.line.code, page.car.variant.code
    sent = sent_with(request.POST)
    reason = form.cleaned_data["reason"].strip() or f"survey: {page.section.title.lower()} of {variant}"
    if page.kit:
        return record(
            actor=request.user, fitment=(page.kit, line, variant), edits=form.found.edits, reason=reason, sent=sent,
            meant=sent.meant, on=timezone.localdate(),
        )  # fmt: skip
    return edit_rows(
        actor=request.user, line=line, edits=form.found.edits, reason=reason, sent=sent, meant=sent.meant
    )


def _back(page: queries.EntryPage) -> str:
    where = anchor(page.kit, "routes") if page.kit else page.section.anchor
    return reverse("vehicle", args=[page.car.variant.line.code, page.car.variant.code]) + f"#{where}"


def _entry_answer(
    request: HttpRequest,
    page: queries.EntryPage,
    form: EntryForm,
    looked_at: str | None = None,
    status: int = 200,
) -> HttpResponse:
    """The form; looked_at: the state that was looked at, which stays so while only what was typed is wrong."""
    seen = {place.token: seen_of(page.section, place) for place in page.places if place.row}
    context = {
        "page": page, "form": form, "car": page.car.variant, "section": page.section, "back": _back(page),
        "seen": packed(seen) if looked_at is None else looked_at, "idempotency_key": fresh_key(),
    }  # fmt: skip
    return render(request, "survey/enter.html", context, status=status)


def _car(line: str, variant: str) -> queries.CarPage:
    car = queries.car_page(line, variant)
    if car is None:
        raise Http404("There is no such vehicle.")
    return car


def _car_answer(
    request: HttpRequest, car: queries.CarPage, *, reason: str = "", reason_error: str = "", status: int = 200
) -> HttpResponse:
    context = {
        "car": car, "variant": car.variant, "cabin": car.cabin, "engine": car.engine, "line": car.variant.line.code,
        "progress": car.progress, "findings": findings_of_car(car.variant), "reason": reason,
        "reason_error": reason_error,
    }  # fmt: skip
    return render(request, "survey/vehicle.html", context, status=status)
