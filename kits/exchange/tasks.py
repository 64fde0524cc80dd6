"""Workbooks as works: writing a line's, checking one that was sent, applying its plan."""

from functools import partial

from django.urls import reverse
from django.utils import timezone

from kits.exchange.actions import apply_plan, check_workbook, prepare_plan
from kits.exchange.models import ImportPlan
from kits.exchange.queries import export_workbook
from kits.files.actions import keep
from kits.files.models import File
from kits.files.queries import content_of
from kits.files.store import Lost
from kits.work.kind import Asked, Kind, Refused, Result, Step, Steps, nothing_written
from vehicles.catalogue.models import ModelLine

SAID = {
    "applied": "The import is done.",
    "overtaken": "The data changed since the workbook was checked, so nothing was imported. Upload it again.",
    "refused": "Nothing was imported; the reasons are listed.",
    "ready": "Nothing was imported yet.",
}


def _export(asked: Asked) -> Steps:
    """The whole workbook at once."""
    line = ModelLine.objects.filter(code=asked.wanted["line"]).first()
    if line is None:
        raise Refused("There is no such model line any more.")
    file = keep(export_workbook(line), timezone.now())
    yield from ()
    return Result("If it was not saved by itself, open it here.", file_id=file.pk)


def _check(asked: Asked) -> Steps:
    """Read it apart, compare it, and keep the plan, which is a row of its own: a second one does no harm."""
    try:
        content = content_of(File.objects.get(pk=asked.file_id or 0))
    except (File.DoesNotExist, Lost):
        raise Refused("The workbook that was sent is not there any more. Send it again.") from None
    plan = check_workbook(actor=asked.actor, file_name=asked.wanted["file_name"], content=content)
    yield from ()
    return Result(f"Checked: {plan.state}.", page=reverse("import-plan", args=[plan.pk]))


def _apply(asked: Asked) -> Steps:
    """What it needs is read and put together first; then one step, in one transaction: all of the plan or nothing."""
    plan_id, said = asked.wanted["plan"], {name: asked.wanted.get(name) for name in ("removals", "unusual")}
    prepared = prepare_plan(actor=asked.actor, plan_id=plan_id)
    yield nothing_written(1, 2)
    write = partial(apply_plan, actor=asked.actor, plan_id=plan_id, prepared=prepared, **said)
    yield Step(write, 2, 2)
    return Result(SAID[ImportPlan.objects.only("state").get(pk=plan_id).state])


WORKBOOK = Kind("export_workbook", _export, makes_file=True)
CHECK = Kind("import_workbook", _check)
APPLY = Kind("import_workbook", _apply, has_pace=False)
