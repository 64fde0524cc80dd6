"""A workbook in: upload, look at the plan, confirm. A workbook out: export of a model line."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from kits.exchange import actions, queries
from kits.exchange.forms import ConfirmForm, WorkbookForm
from kits.exchange.models import ImportPlan
from kits.exchange.plan import confirmation_of, unusual_of
from kits.exchange.safety import MAX_BYTES
from kits.files.render import XLSX, file_answer, kept_answer
from kits.files.store import NotKept
from kits.work.kind import DONE
from kits.work.models import Work
from kits.work.queries import open_works
from kits.work.render import followed
from vehicles.catalogue.models import ModelLine
from vehicles.records.access import MANAGER, OWNER, allow, costly, takes
from vehicles.records.actions import Stale
from vehicles.records.asked import Sent, digest_of
from vehicles.records.forms import fresh_key, with_fresh_key

# A browser sends names, borders and the form's other fields with it; a file just too large is told by the form.
ROUND_A_FILE_BYTES = 1024**2
MOST_QUESTIONS = 100


@takes(MAX_BYTES + ROUND_A_FILE_BYTES)
@costly(30)
@allow(get={MANAGER}, post={MANAGER})
def import_workbook(request: HttpRequest) -> HttpResponse:
    """Upload a workbook; it is kept and checked, and its plan shown."""
    form = WorkbookForm(request.POST, request.FILES) if request.method == "POST" else WorkbookForm()
    if request.method == "POST" and form.is_valid():
        upload = form.cleaned_data["workbook"]
        try:
            work = actions.ask_to_check(
                actor=request.user, file_name=upload.name, content=upload.read(), now=timezone.now()
            )
        except NotKept as problem:
            form.add_error(None, str(problem))
        else:
            return _answered(request, work, reverse("import"))
    return render(
        request,
        "exchange/import.html",
        {
            "form": form,
            "plans": ImportPlan.objects.select_related("made_by").defer("plan")[:10],
            "lines": ModelLine.objects.all(),
            "works": open_works("check"),
        },
        status=422 if form.errors else 200,
    )


@allow(get={MANAGER}, post={MANAGER})
def import_plan(request: HttpRequest, plan: int) -> HttpResponse:
    """What the workbook would change, or every problem it has; POST confirms."""
    found = ImportPlan.objects.select_related("made_by").filter(pk=plan).first()
    if found is None:
        raise Http404("There is no such import.")
    if request.method == "POST":
        form = ConfirmForm(request.POST)
        if form.is_valid() and (answer := _applied(request, found, form)):
            return answer
    else:
        form = ConfirmForm(initial={"idempotency_key": fresh_key()})
    return render(
        request,
        "exchange/plan.html",
        {
            "plan": found,
            "content": found.plan,
            "form": with_fresh_key(form),
            "confirmation": confirmation_of(found.plan),
            "unusual": unusual_of(found.plan),
            "questions": found.plan.get("questions", [])[:MOST_QUESTIONS],
            "more": max(unusual_of(found.plan) - MOST_QUESTIONS, 0),
            "work": open_works("apply").filter(key=str(found.pk)).first(),
        },
        status=422 if form.errors else 200,
    )


def _applied(request: HttpRequest, plan: ImportPlan, form: ConfirmForm) -> HttpResponse | None:
    """On to the application, or None with the form's error when it can't be asked for."""
    removals = form.cleaned_data["removals"]
    unusual = unusual_of(plan.plan) if form.cleaned_data["unusual"] else None
    key = form.cleaned_data["idempotency_key"] or ""
    try:
        work = actions.ask_to_apply(
            actor=request.user,
            plan=plan,
            sent=Sent(key, digest_of({"plan": plan.pk, "removals": removals, "unusual": unusual})),
            removals=removals,
            unusual=unusual,
        )
    except Stale as stale:
        form.add_error(None, str(stale))
        return None
    except actions.Unconfirmed as unconfirmed:
        for field, sentence in unconfirmed.missing.items():
            form.add_error(field, sentence)
        return None
    if work is None:  # somebody was faster; the page says what became of it
        return redirect("import-plan", plan=plan.pk)
    return _answered(request, work, reverse("import-plan", args=[plan.pk]))


def _answered(request: HttpRequest, work: Work, back: str) -> HttpResponse:
    """To the page that follows the work; where it has ended already, to what came of it."""
    if work.is_open:
        return followed(work, back=back)
    if work.state != DONE:
        messages.error(request, work.sentence)
        return redirect(back)
    return redirect(work.page)


@allow(get={MANAGER, OWNER})
def blank_workbook(request: HttpRequest) -> HttpResponse:
    """An empty workbook to fill by hand, with the options that are known."""
    return file_answer(queries.blank_workbook(), XLSX, "new-line.xlsx", is_shown=False)


@allow(get={MANAGER, OWNER})
def export_workbook(request: HttpRequest, line: str) -> HttpResponse:
    """The workbook of a model line, to edit and import again."""
    found = ModelLine.objects.filter(code=line).first()
    if found is None:
        raise Http404("There is no such model line.")
    name = "".join(c if c.isalnum() else "-" for c in found.code).lower()
    work = actions.ask_to_export(actor=request.user, line=found, now=timezone.localtime())
    if work.state == DONE and work.file:
        return kept_answer(work.file, XLSX, f"{name}.xlsx", is_shown=False)
    return _answered(request, work, reverse("variant-list"))
