"""The fit table and the sheet of one fitment."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode

from kits.bom.resolved import ResolvedKit, explode
from kits.fitment import actions, queries
from kits.fitment.calculations.queries import calculated
from kits.fitment.filters import FitFilter
from kits.fitment.forms import ScopeForm
from kits.fitment.market.choice import chosen_market
from kits.fitment.study.actions import keep_note
from kits.fitment.study.forms import NoteForm
from kits.fitment.study.queries import notes_of
from kits.fitment.tables import FitTable
from kits.topics.answer.outlook import CODE as OUTLOOK
from kits.topics.every import topic_of
from kits.work.kind import DONE
from vehicles.physics.arrays import Refusal
from vehicles.records.access import EVERY_ROLE, MANAGER, allow
from vehicles.records.actions import Stale
from vehicles.records.asked import next_address, sent_with
from vehicles.records.bridge import winning
from vehicles.records.forms import fresh_key, with_fresh_key


@allow(get=EVERY_ROLE)
def fit_table(request: HttpRequest) -> HttpResponse:
    """Variants down, kits across, a verdict in each cell."""
    today = timezone.localdate()
    variants = queries.fit_variants(today)
    found = FitFilter(request.GET, variants)
    kits = queries.fitted_kits(found.chosen("line"), found.chosen("kit"))
    table = FitTable(found.qs, kits, found.fitments())
    table.configure(request)
    freshness = queries.freshness(today)
    return render(
        request,
        "fitment/table.html",
        {
            "table": table,
            "filter": found,
            "counts": queries.verdict_counts(),
            "freshness": freshness,
            "work": queries.any_sizing() if freshness.is_stale else None,
            "scope": {name: row.code for name in ("line", "kit") if (row := found.chosen(name))},
            "any": variants.exists(),
        },
    )


@allow(post={MANAGER})
def size_again(request: HttpRequest) -> HttpResponse:
    """Ask for every fitment to be sized, or those of a line, of a kit, or one; then show how far it is."""
    form = ScopeForm(request.POST)
    if not form.is_valid():
        raise Http404("There is no such line, kit or car; it may have been removed.")
    work = actions.ask_to_size(actor=request.user, on=timezone.localdate(), **form.scope())
    back = next_address(request.POST, {}, reverse("fit-table"))
    if work.is_open:
        return redirect(reverse("work", args=[work.pk]) + "?" + urlencode({"next": back}))
    (messages.success if work.state == DONE else messages.error)(request, work.sentence)
    return redirect(back)


@allow(get=EVERY_ROLE)
def fitment_sheet(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """Everything about one kit in one variant, the answer first."""
    return _sheet_page(request, _sheet(kit, line, variant))


@allow(get=EVERY_ROLE)
def calculations(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """What was worked out of the fitment beside its verdict, each figure with what explains it."""
    found = calculated(kit, line, variant, timezone.localdate())
    if found is None:
        raise Http404("There is no such fitment.")
    return render(request, "fitment/calculations.html", {"found": found})


@allow(post={MANAGER})
def write_note(request: HttpRequest, kit: str, line: str, variant: str) -> HttpResponse:
    """Add a plain note to the fitment."""
    sheet = _sheet(kit, line, variant)
    form = NoteForm(request.POST, auto_id="id_note_%s")
    if not form.is_valid():
        return _sheet_page(request, sheet, note=form, status=422)
    try:
        keep_note(
            actor=request.user, fitment_id=sheet.fitment.pk, text=form.cleaned_data["text"], study=None,
            sent=sent_with(request.POST), now=timezone.now(),
        )  # fmt: skip
    except Stale as stale:
        form.add_error(None, str(stale))
        return _sheet_page(request, sheet, note=form, status=409)
    messages.success(request, "The note is kept.")
    return redirect(reverse("fitment-sheet", args=[kit, line, variant]) + "#notes")


def _sheet(kit: str, line: str, variant: str) -> queries.Sheet:
    sheet = queries.fitment_sheet(kit, line, variant, timezone.localdate())
    if sheet is None:
        raise Http404("There is no such fitment.")
    return sheet


def _market(request: HttpRequest, kit: ResolvedKit) -> str:
    """The market its papers are for, as the address has it; empty while there is none, or one has to be chosen."""
    try:
        return chosen_market(kit.markets, request.GET.get("market", ""))
    except Refusal:
        return ""


def _sheet_page(
    request: HttpRequest,
    sheet: queries.Sheet,
    status: int = 200,
    note: NoteForm | None = None,
) -> HttpResponse:
    charges = list(sheet.fitment.charges.all())
    record = sheet.record
    duties: dict[str, Any] = {duty.code: duty for duty in record.duties} if record else {}
    return render(
        request,
        "fitment/sheet.html",
        {
            "fitment": sheet.fitment,
            "kit": sheet.kit,
            "markets": list(sheet.kit.markets.items()),
            "market": _market(request, sheet.kit),
            "record": record,
            "outlook": topic_of(sheet.context, OUTLOOK) if sheet.context else None,
            "has_calculations": sheet.context is not None,
            "sized": sheet.sized,
            "is_stale": sheet.is_stale,
            "work": queries.sizing_of(sheet.kit.line, sheet.kit.kit, sheet.kit.variant),
            "scope": {name: getattr(sheet.kit, name) for name in ("line", "kit", "variant")},
            "has_heating": any(duty.is_heating for duty in duties.values()),
            "worst": duties.get(record.worst_duty_point) if record else None,
            "rows": explode(sheet.kit),
            "hoses": [
                (
                    hose,
                    sheet.lengths.get(hose.route, ()),
                    sheet.winning_note.get(hose.route, ""),
                )
                for hose in sheet.kit.hoses
            ],
            "winning_lengths": {winning(rows).pk for rows in sheet.lengths.values()},
            "charges": charges[::-1],
            "winning_charge": winning(charges).pk if charges else None,
            "notes": notes_of(sheet.fitment),
            "note": with_fresh_key(
                note or NoteForm(initial={"idempotency_key": fresh_key()}, auto_id="id_note_%s")
            ),
            "note_typed": note is not None,
        },
        status=status,
    )
