"""Checks a workbook, keeps the plan, and applies it: all of it or nothing."""

import hashlib
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path, PurePath
from typing import Final

from django.apps import apps
from django.db import IntegrityError, connection, models, transaction
from django.urls import reverse
from django.utils import timezone

from kits.exchange.apart import open_apart
from kits.exchange.apply.actions import Overtaken, RowWriter
from kits.exchange.bridge import load_state, rules_of, uniques_of, used_elsewhere
from kits.exchange.check import check_merged
from kits.exchange.layout import LINE_SHEET
from kits.exchange.merge import merge
from kits.exchange.models import ImportPlan
from kits.exchange.plan import Plan, make_plan, refused, unconfirmed, unusual_of
from kits.exchange.queries import refusals, without_confirmed
from kits.exchange.reader import read_workbook
from kits.exchange.sheets.bridge import SHEETS
from kits.exchange.values import Problem
from kits.files.actions import keep
from kits.fitment.actions import lock_catalogue, touch_catalogue
from kits.fitment.models import CatalogueStamp
from kits.fitment.queries import current_stamp
from kits.work.actions import ask, made_or_asked
from kits.work.models import Work
from vehicles.catalogue.models import ModelLine
from vehicles.records.access import CONSOLE, Actor, require, user_of
from vehicles.records.actions import once
from vehicles.records.asked import UNSENT, Sent, digest_of
from vehicles.records.guard import logged
from vehicles.records.models import Act

DEMONSTRATION: Final = Path(__file__).parent / "demonstration" / "solenne-s4.xlsx"
DEMONSTRATIONS: Final = (
    DEMONSTRATION,
    DEMONSTRATION.with_name("orlock-v30.xlsx"),
    DEMONSTRATION.with_name("morva-220.xlsx"),
)
_STILL_NEEDED: Final = "A row that would be removed is still needed elsewhere; nothing was changed."
_MOVED: Final = "The data changed since the workbook was checked. Check it again."


def check_workbook(*, actor: Actor, file_name: str, content: bytes) -> ImportPlan:
    """Read a workbook, compare it with the stored rows and keep the plan; nothing else changes.

    Returns a plan that is ready, or refused with every problem found. Raises PermissionDenied.
    """
    require(actor, "import_workbook")
    # The stamp is read first, so that a change while the workbook is read makes the plan out of date.
    stamp = CatalogueStamp.objects.filter(pk=1).first() or CatalogueStamp()
    plan = _plan_of(content)
    return ImportPlan.objects.create(
        file_name=PurePath(file_name.replace("\\", "/")).name[:200] or "workbook.xlsx",
        sha256=hashlib.sha256(content).hexdigest(),
        state="refused" if plan["problems"] else "ready",
        plan=plan,
        catalogue_stamp=stamp.value,
        made_by=user_of(actor),  # type: ignore[misc]
    )


def _plan_of(content: bytes) -> Plan:
    known = load_state("", only=("Features", "Options")).rows
    reading = read_workbook(content, SHEETS, known, open_apart)
    if reading.stopped:
        return refused(reading.line, reading.problems)
    state = load_state(reading.line)
    if state.line_id is None and LINE_SHEET not in reading.rows and reading.line:
        reading.add("About", f"There is no model line {reading.line}, and the sheet {LINE_SHEET} is missing.")
    merged = merge(reading.sheets, state.rows, reading)
    check_merged(reading.sheets, reading, merged, state.elsewhere, rules_of, uniques_of)
    for sheet, sentence in refusals(state, merged):
        reading.add(sheet, sentence)
    if reading.problems:
        return refused(reading.line, reading.problems)
    plan = make_plan(reading.sheets, state.rows, reading, merged, used_elsewhere(state.line_id))
    return without_confirmed(plan)


def ask_to_check(*, actor: Actor, file_name: str, content: bytes, now: datetime) -> Work:
    """Keep a workbook that was sent, and ask for it to be checked. Raises PermissionDenied, NotKept."""
    require(actor, "import_workbook")
    file = keep(content, now)
    name = PurePath(file_name.replace("\\", "/")).name or "workbook.xlsx"
    return ask(
        actor=actor, kind="check",
        key=digest_of({"file": file.sha256, "name": name, "by": f"{user_of(actor)}"}), title=f"Check of {name}",
        wanted={"file_name": name}, page=reverse("import"), file=file,
    )  # fmt: skip


def ask_to_apply(
    *, actor: Actor, plan: ImportPlan, sent: Sent, removals: int | None = None, unusual: int | None = None
) -> Work | None:
    """Ask for a plan that is ready to be applied; None: it is not ready, so that nothing is to be done.

    sent: the form's key; removals and unusual as for `apply_plan`. Raises PermissionDenied, Unconfirmed, Reused.
    """
    require(actor, "import_workbook")
    if plan.state != "ready":
        return None
    if missing := unconfirmed(plan.plan, removals=removals, unusual=unusual):
        raise Unconfirmed(missing)

    def first(_act: Act) -> int:
        work = ask(
            actor=actor, kind="apply", key=str(plan.pk), title=f"Import of {plan.file_name}",
            wanted={"plan": plan.pk, "removals": removals, "unusual": unusual},
            page=reverse("import-plan", args=[plan.pk]),
        )  # fmt: skip
        return work.pk

    return Work.objects.get(pk=int(once(actor, "ask_to_apply", sent, first)))


def ask_to_export(*, actor: Actor, line: ModelLine, now: datetime) -> Work:
    """The work that writes a line's workbook; one that is done where that was just now. Raises PermissionDenied."""
    require(actor, "export_workbook")
    key = f"{line.code}|{current_stamp()}|{now.date()}"
    return made_or_asked(
        actor=actor, kind="workbook", key=key, now=now, title=f"Workbook of {line.name}", wanted={"line": line.code},
        page=reverse("export-workbook", args=[line.code]),
    )  # fmt: skip


class Unconfirmed(ValueError):
    """A plan removes rows or holds unusual values, and nobody has said how many; `missing` asks, by what is missing."""

    def __init__(self, missing: dict[str, str]) -> None:
        super().__init__(" ".join(missing.values()))
        self.missing = missing


def prepare_plan(*, actor: Actor, plan_id: int) -> RowWriter:
    """All that applying a plan needs and that can be read and put together before its transaction.

    Raises PermissionDenied, ImportPlan.DoesNotExist.
    """
    require(actor, "import_workbook")
    plan = ImportPlan.objects.get(pk=plan_id)
    return RowWriter(plan.plan, load_state(plan.plan.get("line", "")))


def apply_plan(
    *,
    actor: Actor,
    plan_id: int,
    removals: int | None = None,
    unusual: int | None = None,
    prepared: RowWriter | None = None,
) -> ImportPlan:
    """Apply a plan that is ready, in one transaction.

    Parameters: removals (how many rows go, said once more by whoever confirms; asked for only when some go),
    unusual (how many values are as they were meant though they are not usual; it is kept who said so), prepared (by
    `prepare_plan`, where that was done already).

    A plan that is not ready is returned as it is, so that a repeated call does nothing. When the data moved
    since the check, the plan comes back as overtaken; when the database refuses a row, as refused with a
    sentence; in both cases nothing else has changed. Raises PermissionDenied, ImportPlan.DoesNotExist,
    Unconfirmed.
    """
    require(actor, "import_workbook")
    waiting = ImportPlan.objects.get(pk=plan_id)
    missing = unconfirmed(waiting.plan, removals=removals, unusual=unusual)
    if waiting.state == "ready" and missing:
        raise Unconfirmed(missing)
    if waiting.state == "ready":
        _apply(actor, plan_id, prepared or prepare_plan(actor=actor, plan_id=plan_id))
    return ImportPlan.objects.get(pk=plan_id)


def _apply(actor: Actor, plan_id: int, writer: RowWriter) -> None:
    """Apply the plan or say in it why not.

    The writer was made of the rows before the lock was taken: as long as the stamp is that of the plan they are the
    same, since whatever changes one counts it up.
    """
    try:
        with transaction.atomic():
            stamp = lock_catalogue()
            plan = ImportPlan.objects.select_for_update().get(pk=plan_id)
            if plan.state == "ready":
                if stamp.value != plan.catalogue_stamp:
                    raise Overtaken
                once(actor, "apply_plan", UNSENT, writer.run, reason=f"workbook {plan.file_name}")
                _renew_statistics()
                if plan.plan["sheets"]:
                    touch_catalogue()
                plan.state, plan.applied_at = "applied", timezone.now()
                plan.save()
                # what the database looks at only at the end is looked at now, while it can still be told
                connection.check_constraints()
    except Overtaken:
        _close(plan_id, "overtaken", _MOVED)
    except (models.ProtectedError, models.RestrictedError):
        _close(plan_id, "refused", _STILL_NEEDED)
    except IntegrityError:
        reference = logged("the database refused a row", f"import {plan_id}")
        _close(
            plan_id, "refused",
            f"The database refused a row, so nothing was changed. The log says which, under {reference}.",
        )  # fmt: skip


def tidy_plans(before: datetime) -> int:
    """Forget plans from before a moment that changed nothing; returns how many."""
    return ImportPlan.objects.exclude(state="applied").filter(made_at__lt=before).delete()[0]


def _renew_statistics() -> None:
    """Let PostgreSQL look at once how full its tables are; SQLite plans without.

    It looks by itself a minute later. Until then it may take full tables for empty ones, and a join that is planned
    for empty tables can run for minutes.
    """
    if connection.vendor == "postgresql":
        tables = [
            connection.ops.quote_name(model._meta.db_table)
            for app in ("vehicles", "kits")
            for model in apps.get_app_config(app).get_models(include_auto_created=True)
        ]
        with connection.cursor() as cursor:
            cursor.execute(f"ANALYZE {', '.join(tables)}")


@transaction.atomic
def _close(plan_id: int, state: str, sentence: str) -> None:
    plan = ImportPlan.objects.select_for_update().get(pk=plan_id)
    plan.state = state
    plan.plan["problems"] = [Problem("", None, "", sentence).as_json()]
    plan.save()


@transaction.atomic
def import_demonstration(actor: Actor = CONSOLE, books: Sequence[Path] = DEMONSTRATIONS) -> str:
    """Load the demonstration's workbooks, all or none, into a database without model lines; returns a sentence.

    What is unusual in them is as it was meant. Raises RuntimeError when a workbook has problems, PermissionDenied.
    """
    require(actor, "import_workbook")
    if ModelLine.objects.exists():
        return "There are model lines already; the demonstration is not imported."
    added = 0
    for book in books:
        plan = check_workbook(actor=actor, file_name=book.name, content=book.read_bytes())
        plan = apply_plan(actor=actor, plan_id=plan.pk, unusual=unusual_of(plan.plan))
        if plan.state != "applied":
            raise RuntimeError(
                f"{book.name} of the demonstration can't be loaded: {plan.plan['problems'][:5]}"
            )
        added += plan.plan["counts"]["add"]
    names = ", ".join(book.name for book in books)
    return f"Imported {names}: {added} rows added."
