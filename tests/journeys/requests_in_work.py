"""How many requests the server has in work: rows are put back only when nobody reads or writes them."""

import threading
from typing import Self

from django.core.signals import request_finished, request_started

# As long as the slowest answer, which sizes a line, on a busy machine.
LONGEST_S = 180


class RequestsInWork:
    """Counts while it is open; the browser may have gone while the server still works for it."""

    def __init__(self) -> None:
        self._count = 0
        self._changed = threading.Condition()

    def __enter__(self) -> Self:
        request_started.connect(self._one_more)
        request_finished.connect(self._one_less)
        return self

    def __exit__(self, *_: object) -> None:
        request_started.disconnect(self._one_more)
        request_finished.disconnect(self._one_less)

    def _one_more(self, **_: object) -> None:
        with self._changed:
            self._count += 1

    def _one_less(self, **_: object) -> None:
        with self._changed:
            self._count -= 1
            self._changed.notify_all()

    def wait(self) -> None:
        """Come back when nothing is in work."""
        with self._changed:
            idle = self._changed.wait_for(lambda: self._count == 0, timeout=LONGEST_S)
        assert idle, f"{self._count} requests are still in work"
