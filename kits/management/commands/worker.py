"""manage.py worker: does the works that wait; `serve` starts it."""

import logging
import os
import signal
from threading import Event, Thread
from types import FrameType
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError, connection
from django.utils import timezone

from kits.config.backup.in_use import BeingRestored, hold
from kits.config.patience import WEB_S, WORKER_S, wait_at_most
from kits.work.actions import give_sign
from kits.work.kind import SIGN_EVERY_S

log = logging.getLogger("kitwright.worker")


class Command(BaseCommand):
    """The command worker."""

    help = "Do the works that wait, one after the other. `serve` starts it and looks after it."
    # they would import every page, with all that calculates and draws, into the parent of each fork
    requires_system_checks: list[str] = []

    def handle(self, *args: Any, **options: Any) -> None:
        """Wait for messages of the queue until told to end."""
        from django_q.cluster import Cluster

        try:
            hold()
        except BeingRestored as problem:
            raise CommandError(str(problem)) from None
        wait_at_most(WORKER_S)
        if os.getpgrp() != os.getpid():
            os.setpgrp()
        cluster = Cluster()
        # The library's own way would wait for the work in hand, however long, and can wait for ever.
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, end_group)
        cluster.start()
        wait_at_most(WEB_S)  # of this process, which only gives signs of life: one that comes late is none
        end = Event()
        Thread(target=give_signs, args=(end,), daemon=True).start()
        # without a time: the library's children hold on to what a wait with one would look at
        cluster.sentinel.join()
        end.set()


def give_signs(end: Event) -> None:
    """Tell now and then that the worker lives, until its first process has ended."""
    while True:
        try:
            give_sign(timezone.now())
        except DatabaseError:
            log.warning("the worker could give no sign of life", exc_info=True)
        finally:
            connection.close()
        if end.wait(SIGN_EVERY_S):
            return


def end_group(number: int, frame: FrameType | None) -> None:
    """Tell every process of the worker to end: the one that does a work hands it back after its step."""
    signal.signal(signal.SIGTERM, signal.SIG_IGN)  # it reaches this process too
    os.killpg(0, signal.SIGTERM)
    os._exit(0)
