"""A workbook in: upload, look at the plan, confirm. A workbook out: export of a model line."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from kits.exchange import actions, queries
from kits.exchange.forms import ConfirmForm, WorkbookForm
from kits.exchange.models import ImportPlan
from kits.exchange.plan import confirmation_of
from kits.exchange.safety import MAX_BYTES
from vehicles.catalogue.models import ModelLine
from vehicles.records.access import MANAGER, OWNER, allow, takes
from vehicles.records.actions import Stale
from vehicles.records.forms import fresh_key, with_fresh_key

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
# A browser sends names, borders and the form's other fields with it; a file just too large is told by the form.
ROUND_A_FILE_BYTES = 1024**2
SAID = {
    "applied": "The import is done.",
    "overtaken": "The data changed since the workbook was checked, so nothing was imported. Upload it again.",
    "refused": "Nothing was imported; the reasons are listed.",
    "ready": "Nothing was imported yet.",
}


@takes(MAX_BYTES + ROUND_A_FILE_BYTES)
@allow(get={MANAGER}, post={MANAGER})
def import_workbook(request: HttpRequest) -> HttpResponse:
    """Upload a workbook; it is checked and the plan kept."""
    form = WorkbookForm(request.POST, request.FILES) if request.method == "POST" else WorkbookForm()
    if request.method == "POST" and form.is_valid():
        upload = form.cleaned_data["workbook"]
        plan = actions.check_workbook(actor=request.user, file_name=upload.name, content=upload.read())
        return redirect("import-plan", plan=plan.pk)
    return render(
        request,
        "exchange/import.html",
        {
            "form": form,
            "plans": ImportPlan.objects.select_related("made_by").defer("plan")[:10],
            "lines": ModelLine.objects.all(),
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
        if form.is_valid() and (applied := _applied(request, found, form)):
            level = messages.SUCCESS if applied.state == "applied" else messages.ERROR
            messages.add_message(request, level, SAID[applied.state])
            return redirect("import-plan", plan=applied.pk)
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
        },
        status=422 if form.errors else 200,
    )


def _applied(request: HttpRequest, plan: ImportPlan, form: ConfirmForm) -> ImportPlan | None:
    """The plan after its application, or None with the form's error when the removals are not confirmed."""
    try:
        return actions.apply_plan(
            actor=request.user,
            plan_id=plan.pk,
            idempotency_key=form.cleaned_data["idempotency_key"] or None,
            removals=form.cleaned_data["removals"],
        )
    except Stale as stale:
        form.add_error(None, str(stale))
        return None
    except actions.Unconfirmed as unconfirmed:
        form.add_error("removals", str(unconfirmed))
        return None


@allow(get={MANAGER, OWNER})
def blank_workbook(request: HttpRequest) -> HttpResponse:
    """An empty workbook to fill by hand, with the options that are known."""
    return _download(queries.blank_workbook(), "new-line")


@allow(get={MANAGER, OWNER})
def export_workbook(request: HttpRequest, line: str) -> HttpResponse:
    """The workbook of a model line, to edit and import again."""
    found = ModelLine.objects.filter(code=line).first()
    if found is None:
        raise Http404("There is no such model line.")
    name = "".join(c if c.isalnum() else "-" for c in found.code).lower()
    return _download(queries.export_workbook(found), name)


def _download(content: bytes, name: str) -> HttpResponse:
    return HttpResponse(
        content,
        content_type=XLSX,
        headers={"Content-Disposition": f'attachment; filename="{name}.xlsx"', "Cache-Control": "no-store"},
    )
