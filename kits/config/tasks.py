"""The chores of each day, as works with the day as their key: a backup, and what is tidied away."""

import logging
from collections.abc import Generator
from datetime import date, timedelta

from django.conf import settings
from django.contrib.sessions.backends.db import SessionStore
from django.utils import timezone

from kits.config.backup.label import NIGHTLY, NotBackedUp
from kits.config.backup.making import make_backup
from kits.config.backup.shelf import let_go
from kits.exchange.actions import tidy_plans
from kits.files.actions import tidy_files
from kits.fitment.actions import ask_to_size
from kits.fitment.queries import kits_to_renew
from kits.people.signing.actions import tidy_sign_ins
from kits.work.actions import ask, tidy_works
from kits.work.kind import Asked, Kind, Refused, Result, Step, nothing_written
from kits.work.models import Work
from vehicles.records.access import CONSOLE

KEPT = timedelta(days=30)
"""Works that have ended and plans that changed nothing are kept so long."""
UNUSED_KEPT = timedelta(days=1)
"""Longer than anything lies between keeping a file and pointing at it."""


TITLES = {"backup": "Backup", "tidy": "Chores"}
"""The works of each day in the order in which they are asked for: one that fails keeps no other from being done."""
log = logging.getLogger("kitwright.backup")


def ask_for_chores(day: date) -> list[Work]:
    """Ask for the chores of a day, each once; those that somebody has asked for already are not among the answers."""
    key = day.isoformat()
    known = set(Work.objects.filter(kind__in=TITLES, key=key).values_list("kind", flat=True))
    return [
        ask(actor=CONSOLE, kind=kind, key=key, title=f"{title} of {day}", wanted={})
        for kind, title in TITLES.items()
        if kind not in known
    ]


def ask_to_renew(day: date) -> int:
    """Ask for the kits to be sized again whose answers hold no longer on a day; returns how many."""
    kits = kits_to_renew(day)
    for kit in kits:
        ask_to_size(actor=CONSOLE, on=day, kit=kit)
    return len(kits)


def _steps(asked: Asked) -> Generator[Step, None, Result]:
    """Each may be done again: what is gone is not found a second time."""
    now = timezone.now()
    counts = {"works": 0, "plans": 0, "sign-ins": 0, "files": 0}

    def rows() -> None:
        counts["works"] = tidy_works(now - KEPT)
        counts["plans"] = tidy_plans(now - KEPT)
        counts["sign-ins"] = tidy_sign_ins(now)
        SessionStore.clear_expired()

    yield Step(rows, 1, 2)
    # each file in a transaction of its own, since its bytes go only after its row has gone
    counts["files"] = tidy_files(now - UNUSED_KEPT)
    yield nothing_written(2, 2)
    told = ", ".join(f"{count} {what}" for what, count in counts.items())
    renewed = ask_to_renew(timezone.localdate())
    asked_for = f" Something began or ended: {renewed} kits are sized again." if renewed else ""
    return Result(f"Tidied away: {told}.{asked_for}", {**counts, "renewed": renewed})


def _backup_steps(asked: Asked) -> Generator[Step, None, Result]:
    """A backup that was made is there, whatever happens to the work then."""
    try:
        made = make_backup(made_by=NIGHTLY)
        yield nothing_written(1, 2)
        gone = let_go(settings.BACKUP_DIR, timezone.now())
    except (NotBackedUp, OSError) as problem:
        log.error({"message": f"the nightly backup failed: {problem}"})
        raise Refused(str(problem)) from problem
    yield nothing_written(2, 2)
    return Result(f"{made.sentence} {gone} old ones were cleared away.", {"cleared": gone})


TIDY = Kind("tidy", _steps)
BACKUP = Kind("tidy", _backup_steps)
