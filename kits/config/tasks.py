"""The chores of each day, as a work with the day as its key."""

from collections.abc import Generator
from datetime import date, timedelta

from django.contrib.sessions.backends.db import SessionStore
from django.utils import timezone

from kits.exchange.actions import tidy_plans
from kits.files.actions import tidy_files
from kits.fitment.actions import ask_to_size
from kits.fitment.queries import kits_out_of_force
from kits.work.actions import ask, tidy_works
from kits.work.kind import Asked, Kind, Result, Step
from kits.work.models import Work
from vehicles.records.access import CONSOLE

KEPT = timedelta(days=30)
"""Works that have ended and plans that changed nothing are kept so long."""
UNUSED_KEPT = timedelta(days=1)
"""Longer than anything lies between keeping a file and pointing at it."""


def ask_for_chores(day: date) -> Work | None:
    """Ask for the chores of a day, once; None: somebody has."""
    if Work.objects.filter(kind="tidy", key=day.isoformat()).exists():
        return None
    return ask(actor=CONSOLE, kind="tidy", key=day.isoformat(), title=f"Chores of {day}", wanted={})


def ask_to_renew(day: date) -> int:
    """Ask for the kits to be sized again whose answers hold no longer on a day; returns how many."""
    kits = kits_out_of_force(day)
    for kit in kits:
        ask_to_size(actor=CONSOLE, on=day, kit=kit)
    return len(kits)


def _steps(asked: Asked) -> Generator[Step, None, Result]:
    """Each may be done again: what is gone is not found a second time."""
    now = timezone.now()
    counts = {"works": 0, "plans": 0, "files": 0}

    def rows() -> None:
        counts["works"] = tidy_works(now - KEPT)
        counts["plans"] = tidy_plans(now - KEPT)
        SessionStore.clear_expired()

    yield Step(rows, 1, 2)
    # each file in a transaction of its own, since its bytes go only after its row has gone
    counts["files"] = tidy_files(now - UNUSED_KEPT)
    yield Step(lambda: None, 2, 2)
    told = ", ".join(f"{count} {what}" for what, count in counts.items())
    renewed = ask_to_renew(timezone.localdate())
    asked_for = f" Something began or ended: {renewed} kits are sized again." if renewed else ""
    return Result(f"Tidied away: {told}.{asked_for}", {**counts, "renewed": renewed})


TIDY = Kind("tidy", _steps)
