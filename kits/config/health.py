"""Whether the site can work: each check for itself, so that whatever is down the others still answer.

Nothing here needs a session, a host name or a page, and no answer names a host, a path or a version: why a check fails
is told in the log, once when it begins to.
"""

import logging
import os
import shutil
import tempfile
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from threading import Lock
from typing import Any

from django.conf import settings
from django.contrib.staticfiles.storage import staticfiles_storage
from django.db import connection
from django.utils import timezone

from kits.config.backup.making import has_to_migrate
from kits.config.backup.standing import backup_standing
from kits.work.kind import SILENT_AFTER, WAITS_TOO_LONG
from kits.work.queries import standing, workers_beat_at

OK, LATE, FAILED = "ok", "late", "failed"
KEPT_S = 2.0
"""An answer is given again for so long, so that nobody can make it costly by asking."""
PATIENCE_S = 5.0
"""Who asks waits so long for checks that another one's question has begun; then they count as failed."""
ROOM_BYTES = 50 * 1024**2
"""Less free room than for a large workbook and some papers is told as a failure."""
BACKUP_EVERY = timedelta(hours=36)
"""One is made each night; half a day more lets a shop open late."""
log = logging.getLogger("kitwright.health")


class Unwell(Exception):
    """A check found something wrong; the sentence is for the log."""


class Late(Unwell):
    """Somebody has to look, but the site works."""


@dataclass(frozen=True)
class Health:
    """What each check found, and how the works stand: whole seconds, None where no work waits or runs."""

    checks: Mapping[str, str]
    work: Mapping[str, int | None]

    @property
    def is_well(self) -> bool:
        """Whether no check failed."""
        return FAILED not in self.checks.values()

    def as_json(self) -> dict[str, Any]:
        """As it is answered."""
        return {"status": OK if self.is_well else FAILED, **self.checks, "work": dict(self.work)}


def database_answers() -> None:
    """The database answers a question."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
        if cursor.fetchone() != (1,):
            raise Unwell("the database answers nonsense")


def database_can_be_written() -> None:
    """The database takes changes, as far as that is seen without making one."""
    if connection.vendor == "sqlite":
        if connection.is_in_memory_db():  # type: ignore[attr-defined]
            return
        file = Path(connection.settings_dict["NAME"])
        if not os.access(file, os.W_OK):
            raise Unwell("the file of the database is gone or may not be written")
        can_be_written(file.parent)
        return
    with connection.cursor() as cursor:
        cursor.execute("SHOW transaction_read_only")  # also of a server that only follows another one
        if cursor.fetchone() != ("off",):
            raise Unwell("the database can only be read")


def migrations_are_applied() -> None:
    """The database has the tables this code expects."""
    if has_to_migrate():
        raise Unwell("migrations are missing: run manage.py migrate")


def static_files_are_collected() -> None:
    """Fingerprinted static files were collected; in development they come from their folders."""
    if settings.PRODUCTION and not getattr(staticfiles_storage, "hashed_files", None):
        raise Unwell("static files are missing: run manage.py collectstatic")


def files_can_be_kept() -> None:
    """The folder of files can be written and has room for a large workbook."""
    settings.FILES_DIR.mkdir(parents=True, exist_ok=True)
    can_be_written(settings.FILES_DIR)


def can_be_written(folder: Path) -> None:
    """Write a little into a folder and let it go again: permissions alone do not tell of a disk that is read-only."""
    if shutil.disk_usage(folder).free < ROOM_BYTES:
        raise Unwell(f"less than {ROOM_BYTES // 1024**2} MB are free for {folder}")
    with tempfile.TemporaryFile(dir=folder) as file:  # it has no name, so none is left behind
        file.write(bytes(4096))
        file.flush()
        os.fsync(file.fileno())


def workers_live() -> None:
    """A worker gave a sign of life, and what waits is taken. Where works are done at once there is none."""
    if settings.WORK_AT_ONCE:
        return
    now, beat_at = timezone.now(), workers_beat_at()
    # a sign of times to come is of before the clock was set back
    if beat_at is None or abs(now - beat_at) > SILENT_AFTER:
        raise Unwell(f"no worker gives a sign of life; the last was at {beat_at}")
    if standing().is_stuck(now, WAITS_TOO_LONG):
        raise Unwell("works wait, and no worker takes them")


def backup_is_young() -> None:
    """A whole backup was made within a night and a half."""
    newest_at = backup_standing().newest_at
    if newest_at is None or timezone.now() - newest_at > BACKUP_EVERY:
        raise Late(f"the newest backup is of {newest_at}" if newest_at else "there is no backup yet")


CHECKS: Mapping[str, Callable[[], None]] = {
    "database": database_answers,
    "writing": database_can_be_written,
    "migrations": migrations_are_applied,
    "static": static_files_are_collected,
    "files": files_can_be_kept,
    "worker": workers_live,
    "backup": backup_is_young,
}
OF_DATABASE = frozenset({"writing", "migrations", "worker", "backup"})
"""Not asked where the database does not answer: each would wait for a server that is away as long as the first did."""


class Watched:
    """The last answer of this process, and what failed then."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._answer: Health | None = None
        self._until = 0.0
        self._failing: frozenset[str] = frozenset()

    def health(self) -> Health:
        """The answer of just now, or a new one."""
        if not self._lock.acquire(timeout=PATIENCE_S):
            return Health(
                dict.fromkeys(CHECKS, FAILED), {}
            )  # a check that never ends, such as of a disk far away
        try:
            if self._answer is None or time.monotonic() >= self._until:
                self._answer = self._asked()
                self._until = time.monotonic() + KEPT_S
            return self._answer
        finally:
            self._lock.release()

    def forget(self) -> None:
        """Let go of the last answer; only tests need it."""
        self._answer, self._failing = None, frozenset()

    def _asked(self) -> Health:
        found = dict.fromkeys(CHECKS, OK)
        reasons: dict[str, str] = {}
        for name, check in CHECKS.items():
            if "database" in reasons and name in OF_DATABASE:
                found[name], reasons[name] = FAILED, "the database does not answer"
            elif problem := _problem(check):
                found[name] = LATE if isinstance(problem, Late) else FAILED
                reasons[name] = f"{type(problem).__name__}: {problem}"
        for name in reasons.keys() - self._failing:
            log.error({"message": f"health: {name} is {found[name]}", "reason": reasons[name]})
        for name in self._failing - reasons.keys():
            log.warning({"message": f"health: {name} is well again"})
        self._failing = frozenset(reasons)
        work = {} if "database" in reasons else _works()
        return Health(found, work)


def _problem(check: Callable[[], None]) -> Exception | None:
    """Why a check failed, in whatever way; None when it did not."""
    try:
        check()
    except Exception as problem:
        return problem
    return None


def _works() -> dict[str, int | None]:
    try:
        found, now = standing(), timezone.now()
    except Exception:
        return {}
    times = {"oldest_waiting_s": found.oldest_waiting_at, "youngest_beat_s": found.youngest_beat_at}
    return {name: int((now - at).total_seconds()) if at else None for name, at in times.items()}


WATCHED = Watched()
