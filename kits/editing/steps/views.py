"""The steps of a kit: to read with all that belongs to them, and to bring into another order."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from kits.editing import actions
from kits.editing.changes import RowEdit
from kits.editing.steps import queries
from kits.editing.steps.asked import added
from kits.editing.steps.forms import DOWN, UP, AskedForm, OrderForm
from kits.editing.steps.sequence import renumbered
from kits.editing.views import was_written
from kits.exchange.layout import STEPS
from vehicles.records.access import EVERY_ROLE, MANAGER, allow
from vehicles.records.actions import Stale
from vehicles.records.asked import sent_with
from vehicles.records.forms import fresh_key, with_fresh_key

CHANGED_BY_OTHERS = (
    "The order of the steps was changed in the meantime, so nothing was written. The order you made is kept "
    "below, over the steps of now; saving again writes it."
)


@allow(get=EVERY_ROLE)
def steps(request: HttpRequest, kit: str) -> HttpResponse:
    """Every step in order by zone, with its words in the car of "?car=line|variant"."""
    asked = request.GET.get("car", "")
    page = queries.steps_page(kit, asked, timezone.localdate())
    if page is None:
        raise Http404("There is no such kit.")
    context = {"page": page, "kit": page.kit.kit, "no_such_car": bool(asked) and page.car is None}
    return render(request, "editing/steps/steps.html", context)


@allow(get={MANAGER}, post={MANAGER})
def asked(request: HttpRequest, kit: str) -> HttpResponse:
    """The steps and blanks that safety asks for and the kit lacks: those that are ticked are added in one act."""
    page = queries.asked_page(kit, timezone.localdate())
    if page is None:
        raise Http404("There is no such kit.")
    data = request.POST if request.method == "POST" else None
    form, sent = (
        AskedForm(page.lacking, data, initial={"idempotency_key": fresh_key()}),
        sent_with(request.POST),
    )
    if data is not None and sent.reason_wrong:
        form.add_error(None, sent.reason_wrong)
    if data is not None and form.is_valid():
        edits = added(page.kit.code, page.lacking, form.chosen(), page.held)
        if was_written(form, lambda: actions.edit_rows(
            actor=request.user, line="", edits=edits, reason=sent.reason or "asked for by safety", sent=sent,
            meant=None,
        )):  # fmt: skip
            said = "Added. Read each in its place, and make its words those of this kit."
            messages.success(request, said if edits else "All that was ticked is there; nothing was added.")
            return redirect("kit-steps", kit=kit)
    context = {"page": page, "kit": page.kit, "form": with_fresh_key(form), "sent": sent}
    return render(request, "editing/steps/asked.html", context, status=422 if form.errors else 200)


@allow(get={MANAGER}, post={MANAGER})
def order(request: HttpRequest, kit: str) -> HttpResponse:
    """The steps as a list whose order is changed by dragging, by a typed place, or by buttons, and saved at once."""
    page = queries.order_page(kit)
    if page is None:
        raise Http404("There is no such kit.")
    if request.method != "POST":
        return _answer(request, page, OrderForm(page.held))
    form = OrderForm(page.held, request.POST)
    if sent_with(request.POST).reason_wrong:
        form.problems.append(sent_with(request.POST).reason_wrong)
    if form.has_errors:
        return _answer(request, page, form, status=422)
    if UP in request.POST or DOWN in request.POST:
        return _answer(request, page, form)
    if form.was_changed_by_others(page.held) and form.keys != page.keys:
        return _stale(request, page, form)
    if form.keys == page.keys:
        messages.info(request, "The order was the same; nothing was written.")
        return redirect("kit-steps", kit=kit)
    try:
        written = actions.edit_rows(
            actor=request.user, line="", edits=_edits(page, form), reason=_reason(request)
        )
    except Stale:
        return _stale(request, queries.order_page(kit) or page, form)
    if written.problems:
        form.problems += [problem.sentence for problem in written.problems[:20]]
        return _answer(request, page, form, status=422)
    count = written.count
    messages.success(
        request, f"The order is saved: {count} step{'' if count == 1 else 's'} got another number."
    )
    return redirect("kit-steps", kit=kit)


def _edits(page: queries.OrderPage, form: OrderForm) -> list[RowEdit]:
    return [
        RowEdit("change", STEPS, page.key_of(key), {"step_order": number}, {"step_order": form.seen[key]})
        for key, number in renumbered(form.keys, page.held).items()
    ]


def _reason(request: HttpRequest) -> str:
    return sent_with(request.POST).reason or "steps put in another order"


def _stale(request: HttpRequest, page: queries.OrderPage, form: OrderForm) -> HttpResponse:
    form.lay_over(page.held)
    form.problems.append(CHANGED_BY_OTHERS)
    return _answer(request, page, form, status=409)


def _answer(
    request: HttpRequest, page: queries.OrderPage, form: OrderForm, status: int = 200
) -> HttpResponse:
    by_key = {row.key: row for row in page.rows}
    shown = [(by_key[key], form.typed[key], form.wrong.get(key, "")) for key in form.keys if key in by_key]
    context = {
        "kit": page.kit, "form": form, "rows": shown, "is_moved": form.keys != page.keys,
        "sent": sent_with(request.POST),
    }  # fmt: skip
    return render(request, "editing/steps/order.html", context, status=status)
