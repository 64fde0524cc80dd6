"""Figures for an operator, from the database and the machine: a count in one of several processes would mislead."""

import os
import shutil
from collections.abc import Callable, Iterator
from datetime import datetime
from hmac import compare_digest
from pathlib import Path

from django.conf import settings
from django.db import connection
from django.http import HttpRequest
from django.utils import timezone

from kits.config.backup.standing import backup_standing
from kits.config.exposition import Gauge, by_label, exposed, gauge
from kits.config.health import OK, WATCHED
from kits.fitment.queries import out_of_date_count, verdict_counts
from kits.work.queries import standing, state_counts, workers_beat_at

SCHEME = "bearer "


def may_read(request: HttpRequest) -> bool:
    """Whether who asks carries the token."""
    told = request.headers.get("Authorization", "")
    if not told.lower().startswith(SCHEME):
        return False
    return compare_digest(told[len(SCHEME) :].strip().encode(), settings.METRICS_TOKEN.encode())


def metrics_text() -> str:
    """All figures as text; a group that can't be read is left out, and the checks tell why."""
    answers = WATCHED.health().checks.get("database") == OK
    groups = (_checks, _works, _fitments, _room, _backups, _database) if answers else (_checks, _room)
    return exposed(one for group in groups for one in _read(group))


def _read(group: Callable[[], Iterator[Gauge]]) -> list[Gauge]:
    try:
        return list(group())
    except Exception:
        return []


def _checks() -> Iterator[Gauge]:
    checks = {name: float(told == OK) for name, told in WATCHED.health().checks.items()}
    yield by_label("kitwright_check_ok", "Whether a check of /health is well: 1 or 0.", "check", checks)


def _works() -> Iterator[Gauge]:
    now, found = timezone.now(), standing()
    yield by_label("kitwright_works", "Works by state.", "state", state_counts())
    yield gauge(
        "kitwright_work_oldest_waiting_seconds",
        "How long the oldest work waits.",
        _since(now, found.oldest_waiting_at),
    )
    yield gauge(
        "kitwright_work_youngest_beat_seconds",
        "Since the last sign of life of a running work.",
        _since(now, found.youngest_beat_at),
    )
    yield gauge(
        "kitwright_worker_beat_seconds",
        "Since the last sign of life of a worker.",
        _since(now, workers_beat_at()),
    )


def _fitments() -> Iterator[Gauge]:
    yield by_label("kitwright_fitments", "Sized fitments by verdict.", "verdict", dict(verdict_counts()))
    yield gauge(
        "kitwright_fitments_out_of_date",
        "Fitments whose answer is out of date, or that have none.",
        out_of_date_count(timezone.localdate()),
    )


def _room() -> Iterator[Gauge]:
    free = shutil.disk_usage(settings.FILES_DIR).free
    yield gauge("kitwright_files_free_bytes", "Free room for the folder of files.", free)


def _backups() -> Iterator[Gauge]:
    age_s = _since(timezone.now(), backup_standing().newest_at)
    yield gauge("kitwright_backup_age_seconds", "Since the newest whole backup was made.", age_s)


def _database() -> Iterator[Gauge]:
    yield gauge("kitwright_database_bytes", "Size of the database.", _database_bytes())


def _database_bytes() -> int | None:
    if connection.vendor == "sqlite":
        name = str(connection.settings_dict["NAME"])
        files = [Path(f"{name}{ending}") for ending in ("", "-wal", "-shm")]
        return sum(os.stat(file).st_size for file in files if file.is_file()) or None
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_database_size(current_database())")
        found: int = cursor.fetchone()[0]
        return found


def _since(now: datetime, at: datetime | None) -> float | None:
    """Seconds; none where another machine's clock is a little ahead."""
    return None if at is None else max(0.0, (now - at).total_seconds())
