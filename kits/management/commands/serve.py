"""manage.py serve: the site and its worker together, each started again when it ends."""

import logging
import signal
import sys
import time
from collections.abc import Collection
from datetime import date, timedelta
from threading import Event
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import DatabaseError, connection
from django.utils import timezone

from kits.config.backup.in_use import BeingRestored, hold
from kits.config.patience import SERVE_S, wait_at_most
from kits.config.supervise import KeepsEnding, Part, keep_running
from kits.config.tasks import ask_for_chores, ask_to_renew
from kits.people.queries import demonstration_accounts
from kits.work.actions import sweep
from kits.work.kind import STUCK_AFTER
from kits.work.queries import standing

log = logging.getLogger("kitwright.serve")


def web(bind: str, workers: int, threads: int) -> list[str]:
    """The web server, as words behind the name of Python."""
    return [
        "-m", "gunicorn", "kits.config.wsgi", "--bind", bind, "--timeout", "120", "--workers", f"{workers}",
        "--threads", f"{threads}", "--graceful-timeout", "8", "--log-level", "warning",
        "--logger-class", "kits.config.server_log.ServerLog", "--no-control-socket",
    ]  # fmt: skip


class Command(BaseCommand):
    """The command serve."""

    help = "Run the site and the worker that does what takes long; Ctrl+C or TERM ends both."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        """Where it listens, and how many answer."""
        parser.add_argument("--bind", default="127.0.0.1:8000", help="address and port; default %(default)s")
        parser.add_argument("--workers", type=int, default=2, help="web processes; default %(default)s")
        parser.add_argument("--threads", type=int, default=4, help="threads in each; default %(default)s")

    def handle(self, *args: Any, **options: Any) -> None:
        """Run until told to end."""
        try:
            hold()
        except BeingRestored as problem:
            raise CommandError(str(problem)) from None
        refuse_known_passwords()
        wait_at_most(SERVE_S)
        end = Event()
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, lambda *_: end.set())
        parts = [
            Part("web", [sys.executable, *web(options["bind"], options["workers"], options["threads"])]),
            Part("worker", [sys.executable, str(settings.BASE_DIR / "manage.py"), "worker"]),
        ]
        try:
            keep_running(parts, Watch().look, end)
        except KeepsEnding as problem:
            raise CommandError(str(problem)) from None


def refuse_known_passwords() -> None:
    """Everybody knows the demonstration's password: in production nobody may have it. Raises CommandError.

    Where the database doesn't answer yet the site starts, as without this.
    """
    if not settings.PRODUCTION:
        return
    try:
        names = demonstration_accounts()
    except DatabaseError:
        log.exception("it can't be asked whether accounts have the demonstration's password")
        return
    finally:
        connection.close()
    if names:
        commands = "; ".join(f"manage.py changepassword {name}" for name in names)
        raise CommandError(
            f"In production no account may have the demonstration's password, which everybody knows: "
            f"{', '.join(names)}. Give each another one and start again: {commands}"
        )


class Watch:
    """Looks after the works: sends again what was lost, and notices a worker that lives but takes nothing.

    A worker process that was killed while it waited holds the lock of its cluster's queue for ever: it is replaced,
    and yet nothing is taken any more.
    """

    def __init__(self) -> None:
        self._well_at = time.monotonic()
        self._day: date | None = None

    def _see_to_chores(self) -> None:
        today = timezone.localdate()
        if self._day is None:
            ask_to_renew(today)  # what another version of the program has stored
        if self._day != today:
            ask_for_chores(today)
            self._day = today

    def look(self) -> Collection[str]:
        """The names of the parts that are to be started anew."""
        try:
            sweep()
            stuck = standing().is_stuck(timezone.now(), timedelta(0))
            self._see_to_chores()
        except Exception:  # whatever it is, the site goes on
            log.exception("the works can't be looked after")
            connection.close()
            stuck = False
        if not stuck:
            self._well_at = time.monotonic()
        elif time.monotonic() - self._well_at > STUCK_AFTER.total_seconds():
            self._well_at = time.monotonic()
            return ("worker",)
        return ()
