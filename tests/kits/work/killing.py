"""A worker in a process of its own that is killed on the way."""

import os
import signal
from datetime import timedelta

from django.db import connections
from django.utils import timezone

from kits.work.actions import run
from kits.work.kind import LOST_AFTER
from kits.work.models import Work


def run_in_a_process(work: Work) -> None:
    """Let another process do the work, that is to be killed on the way."""
    connections.close_all()  # a connection must not be shared with a child
    child = os.fork()
    if not child:
        try:
            run(work.pk)
        finally:
            os._exit(0)
    _, status = os.waitpid(child, 0)
    assert os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGKILL, "it was not killed"


def lose(work: Work) -> None:
    """Let the worker have been silent for too long."""
    Work.objects.filter(pk=work.pk).update(beat_at=timezone.now() - LOST_AFTER - timedelta(seconds=1))
