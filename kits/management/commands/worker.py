"""manage.py worker: does the works that wait; `serve` starts it."""

import os
import signal
from types import FrameType
from typing import Any

from django.core.management.base import BaseCommand

from kits.config.patience import WORKER_S, wait_at_most


class Command(BaseCommand):
    """The command worker."""

    help = "Do the works that wait, one after the other. `serve` starts it and looks after it."
    # they would import every page, with all that calculates and draws, into the parent of each fork
    requires_system_checks: list[str] = []

    def handle(self, *args: Any, **options: Any) -> None:
        """Wait for messages of the queue until told to end."""
        from django_q.cluster import Cluster

        wait_at_most(WORKER_S)
        if os.getpgrp() != os.getpid():
            os.setpgrp()
        cluster = Cluster()
        # The library's own way would wait for the work in hand, however long, and can wait for ever.
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, end_group)
        cluster.start()


def end_group(number: int, frame: FrameType | None) -> None:
    """Tell every process of the worker to end: the one that does a work hands it back after its step."""
    signal.signal(signal.SIGTERM, signal.SIG_IGN)  # it reaches this process too
    os.killpg(0, signal.SIGTERM)
    os._exit(0)
