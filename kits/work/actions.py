"""Ask for a work, run it, cancel it, and look after works whose worker was lost.

`run` is right for any number of messages about the same work: one worker takes it, and whoever was taken for lost
writes nothing any more, since each step carries the token of its worker into the transaction that writes the rows.
"""

import logging
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime, timedelta
from functools import partial
from signal import SIGUSR1, pthread_kill, signal
from threading import Event, Thread, current_thread, get_ident, main_thread
from time import monotonic
from types import FrameType
from typing import Any
from uuid import uuid4

from django.conf import settings
from django.contrib.auth.models import AbstractUser
from django.core.exceptions import PermissionDenied
from django.db import DatabaseError, IntegrityError, OperationalError, connections, transaction
from django.db.models import F, Q
from django.utils import timezone
from django_q.models import Task
from django_q.tasks import async_task

from kits.files.models import File
from kits.files.store import NotKept
from kits.work.access import may_cancel
from kits.work.kind import (
    BEAT_S,
    CANCELLED,
    DONE,
    FAILED,
    KEPT,
    LONGEST_CHUNK_S,
    MOST_OPEN,
    MOST_TRIES,
    RUNNING,
    WAITING,
    Asked,
    Refused,
    Result,
    Step,
)
from kits.work.models import Work, WorkersBeat
from kits.work.queries import (
    announced,
    done_since,
    kind_of,
    lost,
    may_ask_for_more,
    shorter_waits,
    to_be_taken,
)
from vehicles.records.access import CONSOLE, Actor, may, require, user_of

LOST_TOO_OFTEN = (
    f"It was begun {MOST_TRIES} times and each time broke off in the middle: the program ended, or the database was "
    "away. What was written before is whole. Tell who looks after the server; the log says more."
)
OUR_FAULT = (
    "A fault of ours ended it; the log says more. What was written before is whole. Ask again; if it ends like this "
    "again, tell who looks after the server."
)
CANCELLED_BY = "Cancelled by {}. What was written before is whole; the rest is as it was."
log = logging.getLogger("kitwright.work")


class TooMany(PermissionDenied):
    """The person has as many works waiting as one may have."""

    def __init__(self) -> None:
        super().__init__(
            f"You have {MOST_OPEN} works waiting or running already. Wait until some are done, or cancel some."
        )


class _Interrupted(BaseException):
    """The chunk in hand is for nothing: the work was cancelled. No library's `except Exception` may swallow it."""


class _Gone(Exception):
    """The work is no longer this worker's: it was cancelled, or the worker was taken for lost."""


def ask(
    *,
    actor: Actor,
    kind: str,
    key: str,
    title: str,
    wanted: Mapping[str, Any],
    page: str = "",
    file: File | None = None,
) -> Work:
    """Ask for a work; the same kind and key waiting already is the one that is returned.

    wanted: as JSON; page: where its answer will be seen; file: what it is given. Raises PermissionDenied, TooMany.
    """  # fmt: skip
    require(actor, "ask_for_work")
    require(actor, kind_of(kind).right)
    if kind in settings.SHORT_WORKS and not may_ask_for_more(user_of(actor), kind, key):
        raise TooMany
    values = {"title": title[:200], "wanted": dict(wanted), "page": page, "by": user_of(actor), "file": file}
    work, is_new = _placed(kind, key, values)
    if is_new and settings.WORK_AT_ONCE:
        run(work.pk)
        work.refresh_from_db()
    return work


def made_or_asked(*, actor: Actor, kind: str, key: str, now: datetime, **asked: Any) -> Work:
    """The work of this kind and key that was done just now, else one that is asked for as by `ask`.

    key: tells all that what it makes depends on. Raises PermissionDenied, TooMany.
    """
    return done_since(kind, key, now - KEPT) or ask(actor=actor, kind=kind, key=key, **asked)


def cancel(*, actor: Actor, work: Work) -> bool:
    """End a work that waits or runs; what it has written stays. False: it had ended. Raises PermissionDenied."""
    require(actor, "cancel_work")
    if not may_cancel(actor, work):
        raise PermissionDenied("Only who asked for a work, or a manager, may cancel it.")
    still_open = Work.objects.filter(pk=work.pk, state__in=(WAITING, RUNNING))
    with transaction.atomic():
        ended = still_open.update(
            state=CANCELLED, token=None, sentence=CANCELLED_BY.format(actor), ended_at=timezone.now()
        )
        _announce_next(work)
    return bool(ended)


def run(pk: int, is_to_stop: Callable[[], bool] = lambda: False) -> None:
    """Do the work if nobody else does; may be called any number of times.

    is_to_stop: asked after each step; when it says so the work goes back to the waiting ones, as it does when a
    shorter one waits.
    """
    work = _take(pk)
    if work is None:
        return
    try:
        result = _go(work, is_to_stop)
        if result is None:
            _hand_back(work)
        else:
            made = {"file_id": result.file_id} if result.file_id else {}
            seen = {"page": result.page} if result.page else {}
            _end(work, DONE, result.sentence, result=dict(result.values), **made, **seen)
    except _Gone:
        return
    except _Interrupted:
        connections.close_all()  # one may have been in the middle of a question
    except OperationalError:
        # The database is away or locked, so nothing can be noted; soon the work counts as lost and is taken again.
        raise
    except (Refused, PermissionDenied, NotKept) as refused:
        _end_if_ours(work, str(refused))
    except Exception:
        log.exception("work %s (%s) failed", work.pk, work.kind)
        _end_if_ours(work, OUR_FAULT)
    if settings.WORK_AT_ONCE:
        for kept_waiting in _like(work):
            run(kept_waiting)


def give_sign(now: datetime) -> None:
    """Note that a worker lives, in one statement whoever else does so at the same time."""
    WorkersBeat.objects.bulk_create(
        [WorkersBeat(pk=1, at=now)], update_conflicts=True, unique_fields=["id"], update_fields=["at"]
    )


def sweep() -> None:
    """Announce again what waits without a message or was lost, and give up what was lost too often."""
    now = timezone.now()
    hopeless = Work.objects.filter(lost(now), tries_count__gte=MOST_TRIES)
    if hopeless.exists():  # on SQLite an update that finds nothing would wait for the lock all the same
        hopeless.update(state=FAILED, token=None, sentence=LOST_TOO_OFTEN, ended_at=now)
    known = announced(now)
    for pk in to_be_taken(now).values_list("pk", flat=True):
        if pk not in known:
            _announce(pk)


def tidy_works(before: datetime) -> int:
    """Forget works that ended before a moment; returns how many."""
    Task.objects.filter(stopped__lt=before).delete()  # what the queue notes of its messages that failed
    return Work.objects.filter(state__in=(DONE, FAILED, CANCELLED), ended_at__lt=before).delete()[0]


def _placed(kind: str, key: str, values: Mapping[str, Any]) -> tuple[Work, bool]:
    """The work that waits for this kind and key, and whether it was made now."""
    for _ in range(MOST_TRIES):
        try:
            with transaction.atomic():
                work = Work.objects.create(kind=kind, key=key, asked_at=timezone.now(), **values)
                if not settings.WORK_AT_ONCE:
                    _announce(work.pk)
                return work, True
        except IntegrityError:
            waiting = Work.objects.filter(kind=kind, key=key, state=WAITING).first()
        if waiting is not None:
            return waiting, False
    raise OperationalError("Works of the same kind and key come and go too fast.")


def _announce(pk: int) -> None:
    """Put a message into the queue, whose table is in our own database: within a transaction it goes with it."""
    async_task("kits.work.tasks.look_at", pk)


def _announce_next(work: Work) -> None:
    if not settings.WORK_AT_ONCE:
        for kept_waiting in _like(work):
            _announce(kept_waiting)


def _like(work: Work) -> list[int]:
    """The one of the same kind and key that had to wait for this one, if there is one."""
    waiting = Work.objects.filter(kind=work.kind, key=work.key, state=WAITING)
    return list(waiting.values_list("pk", flat=True))


def _take(pk: int) -> Work | None:
    """The work with a token of our own; None: it ended, another one has it, or one like it runs."""
    now, token = timezone.now(), uuid4()
    free = Q(state=WAITING) | lost(now)
    try:
        with transaction.atomic():
            taken = Work.objects.filter(free, pk=pk, tries_count__lt=MOST_TRIES).update(
                state=RUNNING, token=token, tries_count=F("tries_count") + 1, taken_at=now, beat_at=now,
                step_at=None, before_count=F("done_count"),
            )  # fmt: skip
    except IntegrityError:
        return None
    return Work.objects.select_related("by").get(pk=pk) if taken else None


def _go(work: Work, is_to_stop: Callable[[], bool]) -> Result | None:
    """Go through the steps; None when told to stop on the way."""
    if work.kind not in settings.WORK_KINDS:
        raise Refused(f"This version of the program knows no work called “{work.kind}”.")
    kind = kind_of(work.kind)
    actor = _actor(work)
    if not may(actor, kind.right):
        raise Refused(f"{actor} asked for this, but may not do it any more. Nothing more was done.")
    steps = kind.steps(Asked(work.wanted, actor, work.asked_at, work.place, work.file_id))
    try:
        while True:
            with _giving_signs(work):
                step = next(steps)
            _write(work, step)
            if is_to_stop() or shorter_waits(work.kind):
                return None
    except StopIteration as ended:
        result: Result = ended.value
        return result
    finally:
        steps.close()


@contextmanager
def _giving_signs(work: Work) -> Iterator[None]:
    """While a chunk is computed that takes long, a thread gives signs of life for it, and ends it if it was cancelled.

    Raises _Interrupted, in the main thread of a process only.
    """
    if settings.WORK_AT_ONCE:
        yield
        return
    is_over, worker = Event(), get_ident()
    is_main = current_thread() is main_thread()

    def give() -> None:
        until = monotonic() + LONGEST_CHUNK_S
        while not is_over.wait(BEAT_S) and monotonic() < until:
            try:
                _change(work, beat_at=timezone.now())
            except _Gone:
                if is_main and not is_over.is_set():
                    pthread_kill(worker, SIGUSR1)
                break
            except DatabaseError:
                log.warning("work %s could give no sign of life", work.pk, exc_info=True)
            finally:
                connections.close_all()  # of this thread

    def interrupt(number: int, frame: FrameType | None) -> None:
        if not is_over.is_set():
            raise _Interrupted

    before = signal(SIGUSR1, interrupt) if is_main else None
    thread = Thread(target=give, daemon=True)
    thread.start()
    try:
        yield
    finally:
        is_over.set()
        thread.join()
        if is_main:
            signal(SIGUSR1, before)


def _actor(work: Work) -> Actor:
    if work.by is None:
        return CONSOLE
    person: AbstractUser = work.by
    if not person.is_active:
        raise Refused(f"{person} asked for this, but the account is closed. Nothing more was done.")
    return person


def _write(work: Work, step: Step) -> None:
    """A step is one transaction; the first thing in it makes sure that the work is still ours."""
    now = timezone.now()
    with transaction.atomic():
        _change(
            work, done_count=step.done, of_count=step.of, place=dict(step.place), beat_at=now, step_at=now
        )
        step.write()


def _change(work: Work, **values: Any) -> None:
    """Change the row while it is ours. Raises _Gone."""
    if not Work.objects.filter(pk=work.pk, token=work.token, state=RUNNING).update(**values):
        raise _Gone


def _end(work: Work, state: str, sentence: str, **values: Any) -> None:
    with transaction.atomic():
        _change(work, state=state, token=None, sentence=sentence, ended_at=timezone.now(), **values)
        _announce_next(work)


def _end_if_ours(work: Work, sentence: str) -> None:
    try:
        _end(work, FAILED, sentence)
    except _Gone:
        return


def _hand_back(work: Work) -> None:
    """Let another worker go on; one like it that waits already is to find this one lost, at once."""
    back = partial(_change, work, token=None, tries_count=F("tries_count") - 1)
    try:
        with transaction.atomic():
            back(state=WAITING)
            _announce(work.pk)
    except IntegrityError:
        back(beat_at=F("asked_at") - timedelta(days=1))
