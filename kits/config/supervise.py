"""Processes that are kept running together: each is started again when it ends, and all end together.

Each part has a process group of its own, so that whatever it started ends with it: a part whose first process was
killed leaves children that would go on by themselves.
"""

import ctypes
import logging
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Collection, Sequence
from threading import Event

GRACE_S = 10.0
"""What a part may take to end in order."""
TICK_S = 0.5
TEND_EVERY_S = 5.0
SHORT_LIFE_S = 15.0
MOST_SHORT_LIVES = 5
PR_SET_PDEATHSIG = 1
log = logging.getLogger("kitwright.serve")


class KeepsEnding(Exception):
    """A part ends again and again as soon as it has started."""


class Part:
    """One of the processes, with all that it starts."""

    def __init__(self, name: str, command: Sequence[str]) -> None:
        self.name, self._command = name, command
        self._process: subprocess.Popen[bytes] | None = None
        self._started_at = 0.0
        self._short_lives = 0

    def start(self) -> None:
        """Start it, in a group of its own; it is told to end if this process dies."""
        self._started_at = time.monotonic()
        first = _end_with(os.getpid())
        self._process = subprocess.Popen(self._command, process_group=0, preexec_fn=first)  # noqa: S603 - our own

    @property
    def pid(self) -> int:
        """The number of its first process, which is that of its group."""
        return self._process.pid if self._process else 0

    def has_ended(self) -> bool:
        """Whether its first process is gone, in whatever way."""
        return self._process is None or self._process.poll() is not None

    def is_new(self) -> bool:
        """Whether it was started only now."""
        return time.monotonic() - self._started_at < SHORT_LIFE_S

    def tell_to_end(self) -> None:
        """Ask all its processes to end in order."""
        self._signal(signal.SIGTERM)

    def is_gone(self) -> bool:
        """Whether none of its processes is left."""
        return self.has_ended() and not self._signal(0)

    def kill(self) -> None:
        """End all its processes at once."""
        self._signal(signal.SIGKILL)
        if self._process is not None:
            self._process.wait()

    def again(self) -> None:
        """End what is left of it, and start it. Raises KeepsEnding."""
        self._short_lives = self._short_lives + 1 if self.is_new() else 0
        self.kill()
        if self._short_lives >= MOST_SHORT_LIVES:
            raise KeepsEnding(f"The {self.name} ends as soon as it starts; what it printed above says why.")
        self.start()

    def _signal(self, number: int) -> bool:
        """Whether there was anybody to send it to."""
        if self._process is None:
            return False
        try:
            os.killpg(self._process.pid, number)
        except ProcessLookupError:
            return False
        return True


def keep_running(parts: Sequence[Part], tend: Callable[[], Collection[str]], end: Event) -> None:
    """Start the parts, start each again when it has ended, and end all when told.

    tend: called every few seconds; returns the names of parts that run but do not work and are to be started anew.
    One that was started only now is left alone: it has had no time to take anything.
    """
    for part in parts:
        part.start()
    tended_at = time.monotonic()
    try:
        while not end.wait(TICK_S):
            idle: Collection[str] = ()
            if time.monotonic() - tended_at >= TEND_EVERY_S:
                idle, tended_at = tend(), time.monotonic()
            for part in parts:
                if part.has_ended():
                    log.error({"message": f"the {part.name} has ended"})
                    part.again()
                elif part.name in idle and not part.is_new():
                    log.error({"message": f"the {part.name} takes nothing"})
                    part.again()
    finally:
        end_all(parts)


def end_all(parts: Sequence[Part], grace_s: float = GRACE_S) -> None:
    """Ask all to end; who has not done so in time is killed."""
    for part in parts:
        part.tell_to_end()
    until = time.monotonic() + grace_s
    while time.monotonic() < until and not all(part.is_gone() for part in parts):
        time.sleep(0.1)
    for part in parts:
        part.kill()


def _end_with(parent: int) -> Callable[[], None] | None:
    """What the child does first: ask the system to end it when its parent dies."""
    if not sys.platform.startswith("linux"):
        return None
    library = ctypes.CDLL(None)

    def ask() -> None:
        library.prctl(PR_SET_PDEATHSIG, signal.SIGTERM)
        if os.getppid() != parent:
            os._exit(1)

    return ask
