"""What a room says of a work that it has done: who may ask for it, and its steps."""

from collections.abc import Callable, Generator, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

STATES = ("waiting", "running", "done", "failed", "cancelled")
WAITING, RUNNING, DONE, FAILED, CANCELLED = STATES

LOST_AFTER = timedelta(seconds=60)
"""A running work without a sign of life for so long has lost its worker; longer than any chunk may take."""
STUCK_AFTER = timedelta(seconds=30)
"""If a work waits for so long while none runs, the workers take nothing."""
SIGN_EVERY_S = 30.0
"""A worker gives a sign of life so often, also while nothing waits."""
SILENT_AFTER = timedelta(minutes=2)
"""Without a sign for so long no worker lives; a workbook that holds the database costs one or two."""
WAITS_TOO_LONG = timedelta(minutes=5)
"""If a work waits for so long while none runs, the workers live and take nothing."""
MOST_TRIES = 3
BEAT_S = 3.0
"""A chunk that takes longer gives a sign of life so often, and learns by then that it was cancelled."""
KEPT = timedelta(minutes=10)
"""What a work made is given again for so long, while nothing that it shows has changed."""
MOST_OPEN = 10
"""Works that a person may have waiting at once; a sizing that follows a recorded value is not refused."""
LONGEST_CHUNK_S = 600.0
"""A chunk that takes longer gives none any more: it counts as lost, and `serve` starts the worker anew."""
CHUNK_S = 5.0
"""How long a chunk should take: the page moves, a cancel is soon heeded, a loss costs little."""


@dataclass(frozen=True)
class Step:
    """What a chunk found out, ready to be written.

    write: writes the chunk's own rows, called within the transaction that counts it; done, of: how far the work is
    after it; place: where to go on from if this worker is lost, as JSON.
    """

    write: Callable[[], object]
    done: int
    of: int
    place: Mapping[str, Any] = field(default_factory=dict)


def nothing_written(done: int, of: int) -> Step:
    """A step that only tells how far the work is: what it found out is still held."""
    return Step(lambda: None, done, of)


@dataclass(frozen=True)
class Result:
    """How a work ended well.

    sentence: for people; values: what was made of it as JSON; file_id: of the file that it made; page: where its answer
    is seen, if that is known only now.
    """

    sentence: str
    values: Mapping[str, Any] = field(default_factory=dict)
    file_id: int | None = None
    page: str = ""


class Refused(Exception):
    """The work can't be done, for a reason that the person who asked can understand: the sentence."""


@dataclass(frozen=True)
class Asked:
    """What a work was asked for: wanted as JSON, by whom, when, and the place where an earlier worker was lost.

    file_id: of the file that it was given.
    """

    wanted: Mapping[str, Any]
    actor: Any
    asked_at: datetime
    place: Mapping[str, Any] = field(default_factory=dict)
    file_id: int | None = None


Steps = Generator[Step, None, Result]


@dataclass(frozen=True)
class Kind:
    """A kind of work.

    right: who may ask for it, asked again when it runs; steps: computes chunk by chunk, outside of any transaction,
    and yields what to write. The same step may come twice, when a worker was lost between writing and going on.
    is_everybodys: whether whoever may not ask for it may see how far it is; has_pace: whether its steps take about
    alike, so that those that are done tell how long the others take; makes_file: whether its page is a file to open.
    """

    right: str
    steps: Callable[[Asked], Steps]
    is_everybodys: bool = False
    has_pace: bool = True
    makes_file: bool = False


def next_count(count: int, took_s: float, chunk_s: float = CHUNK_S) -> int:
    """How many things the next chunk should hold, after one of `count` things that took so long.

    At most half as many more, since the first ones may have been easy ones.
    """
    most = count + max(1, count // 2)
    fitting = int(count * chunk_s / took_s) if took_s > 0 else most
    return max(1, min(fitting, most))


def time_left_s(done: int, of: int, before: int, took_s: float, since_s: float) -> float | None:
    """Seconds until a work is done, at the pace since it was taken; None: not known yet.

    before: done when it was taken; took_s: from then to the last step; since_s: from the last step until now.
    """
    if done <= before or took_s <= 0:
        return None
    return max(0.0, (of - done) * took_s / (done - before) - since_s)
