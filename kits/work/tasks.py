"""What a worker process is told by a message of the queue."""

import signal
from types import FrameType

from kits.work.actions import run


def look_at(pk: int) -> None:
    """Look at a work and do it if nobody does. An ordered end waits for the step in hand, then hands the work back."""
    ordered: list[int] = []

    def note(number: int, frame: FrameType | None) -> None:
        ordered.append(number)

    before = signal.signal(signal.SIGTERM, note)
    try:
        run(pk, is_to_stop=lambda: bool(ordered))
    finally:
        signal.signal(signal.SIGTERM, before)
    if ordered:
        raise SystemExit(0)
