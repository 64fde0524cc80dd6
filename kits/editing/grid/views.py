"""The editing view of one position: all its entries as one form, and below it what each car gets."""

from datetime import date
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from kits.editing import actions
from kits.editing.changes import RowEdit
from kits.editing.grid import queries
from kits.editing.grid.forms import EntryForm, GridForm
from vehicles.records.access import MANAGER, allow
from vehicles.records.actions import Stale
from vehicles.records.asked import sent_with
from vehicles.records.forms import fresh_key


@allow(get={MANAGER}, post={MANAGER})
def edit_position(request: HttpRequest, kit: str, number: int) -> HttpResponse:
    """The entries of a position as one form, saved at once; "?on=" is the day for which the effect is shown."""
    page = queries.position_page(kit, number)
    if page is None:
        raise Http404("There is no such position.")
    if request.method != "POST":
        return _answer(request, page, GridForm(page))
    form = GridForm(page, request.POST)
    if "more" in request.POST:
        form.add_empty()
        return _answer(request, page, form)
    edits = form.edits()
    sent = sent_with(request.POST)
    form.problems += sent.problems
    if form.has_errors:
        return _answer(request, page, form, status=422)
    try:
        written = actions.edit_rows(
            actor=request.user, line="", edits=[edit for _, edit in edits],
            reason=sent.reason or "entries changed on screen", sent=sent,
        )  # fmt: skip
    except Stale as stale:
        form = form.lay_over(page)
        form.problems.append(
            f"{stale} What you typed is kept below; saving again writes it over the new state."
        )
        return _answer(request, page, form, status=409)
    _tell(form, edits, written)
    if form.has_errors:
        return _answer(request, page, form, status=422)
    count = written.count
    said = (
        f"Saved: {count} entr{'y' if count == 1 else 'ies'}."
        if count
        else "Nothing was different; nothing was written."
    )
    messages.success(request, said)
    return redirect("edit-position", kit=kit, number=number)


def _tell(form: GridForm, edits: list[tuple[EntryForm, RowEdit]], written: actions.Written) -> None:
    """Put each problem beside its cell, or over the form."""
    for problem in written.problems[:40]:
        row = edits[problem.row - 1][0] if problem.row and problem.row <= len(edits) else None
        if row is not None and problem.sheet == queries.ENTRIES:
            row.add_error(problem.column if problem.column in row.fields else None, problem.sentence)
        else:
            form.problems.append(f"{problem.sheet}: {problem.sentence}".lstrip(": "))


def _day(request: HttpRequest) -> tuple[date, str]:
    """The day asked for, and a sentence when what was typed is none."""
    typed = request.GET.get("on", "").strip()
    try:
        return (date.fromisoformat(typed) if typed else timezone.localdate()), ""
    except ValueError:
        return timezone.localdate(), f"“{typed[:40]}” is no date such as 2026-05-01; today is shown."


def _answer(
    request: HttpRequest, page: queries.PositionPage, form: GridForm, status: int = 200
) -> HttpResponse:
    on, wrong_day = _day(request)
    positions = [p.number for p in page.kit.spec.positions]
    at = positions.index(page.position.number)
    context: dict[str, Any] = {
        "kit": page.kit.kit, "position": page.position, "grid": page.as_grid, "form": form, "page": page,
        "features": [f for n, f in page.features.items() if n in page.sheet.by_field],
        "cars": page.cars(on), "on": on, "wrong_day": wrong_day,
        "before": positions[at - 1] if at else None, "after": positions[at + 1] if at + 1 < len(positions) else None,
        "next": reverse("edit-position", args=[page.kit.kit.code, page.position.number]),
        "idempotency_key": fresh_key(), "sent": sent_with(request.POST),
    }  # fmt: skip
    return render(request, "editing/grid/position.html", context, status=status)
