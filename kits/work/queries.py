"""What is asked about works, and what kinds there are."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.contrib.auth.base_user import AbstractBaseUser
from django.db.models import Count, Exists, Max, Min, OuterRef, Q, QuerySet
from django.utils.module_loading import import_string
from django_q.models import OrmQ

from kits.files.queries import is_there
from kits.work.kind import DONE, LOST_AFTER, MOST_OPEN, RUNNING, STATES, WAITING, Kind, time_left_s
from kits.work.models import Work, WorkersBeat


def kind_of(name: str) -> Kind:
    """The kind that a room's tasks.py describes; read only now, so that this room imports no other.

    Raises KeyError for a kind that the settings do not name.
    """
    found: Kind = import_string(settings.WORK_KINDS[name])
    return found


def lost(now: datetime) -> Q:
    """Running, but its worker has given no sign of life for too long; one of times to come is of a clock set back."""
    return Q(state=RUNNING) & (Q(beat_at__lt=now - LOST_AFTER) | Q(beat_at__gt=now + LOST_AFTER))


def to_be_taken(now: datetime) -> QuerySet[Work]:
    """Works that a worker could take now: those of which another of the same kind and key runs have to wait."""
    running = Work.objects.filter(kind=OuterRef("kind"), key=OuterRef("key"), state=RUNNING)
    return Work.objects.filter(Q(state=WAITING) & ~Exists(running) | lost(now)).order_by("pk")


def announced(now: datetime) -> set[int]:
    """Works of which the queue holds a message that no cluster has taken yet."""
    return {pk for row in OrmQ.objects.filter(lock__lte=now) for pk in row.task.get("args") or ()}


def done_since(kind: str, key: str, since: datetime) -> Work | None:
    """The work of this kind and key that was done last, if not before a moment and what it made is still there."""
    done = Work.objects.filter(kind=kind, key=key, state=DONE, ended_at__gte=since)
    work = done.select_related("file").first()
    return work if work and work.file and is_there(work.file) else None


def count_before(work: Work) -> int:
    """How many works run, or were asked for before this one and are not done."""
    before = Work.objects.filter(Q(state=RUNNING) | Q(state=WAITING, pk__lt=work.pk))
    return before.exclude(pk=work.pk).count()


def may_ask_for_more(by: AbstractBaseUser | None, kind: str, key: str) -> bool:
    """Whether a person has room for one more work, or asks for one that waits already."""
    if by is None:  # the console
        return True
    mine = Work.objects.filter(by=by.pk, kind__in=settings.SHORT_WORKS, state__in=(WAITING, RUNNING))
    return mine.count() < MOST_OPEN or Work.objects.filter(kind=kind, key=key, state=WAITING).exists()


def shorter_waits(kind: str) -> bool:
    """Whether somebody waits for a work that a longer one lets go first."""
    if kind in settings.SHORT_WORKS:
        return False
    return Work.objects.filter(state=WAITING, kind__in=settings.SHORT_WORKS).exists()


def open_works(kind: str) -> QuerySet[Work]:
    """Works of a kind that wait or run, the one that was asked for first at the front."""
    return Work.objects.filter(kind=kind, state__in=(WAITING, RUNNING)).order_by("pk")


def makes_file(work: Work) -> bool:
    """Whether the page of a work is a file to open; of a kind that is no more nothing is known."""
    return work.kind in settings.WORK_KINDS and kind_of(work.kind).makes_file


def seconds_left(work: Work, now: datetime) -> float | None:
    """At the pace since it was taken; None while nothing can be said."""
    if work.state != RUNNING or not (work.taken_at and work.step_at) or work.of_count is None:
        return None
    if work.kind in settings.WORK_KINDS and not kind_of(work.kind).has_pace:
        return None
    took_s = (work.step_at - work.taken_at).total_seconds()
    since_s = (now - work.step_at).total_seconds()
    return time_left_s(work.done_count, work.of_count, work.before_count, took_s, since_s)


@dataclass(frozen=True)
class Standing:
    """How the works stand: since when the oldest one waits, and when a running one gave its last sign of life."""

    oldest_waiting_at: datetime | None
    youngest_beat_at: datetime | None

    def is_stuck(self, now: datetime, after: timedelta) -> bool:
        """Whether a work has waited for so long, or was lost and not taken again, while none runs: nothing is taken."""
        waits = self.oldest_waiting_at is not None and self.oldest_waiting_at < now - after
        if self.youngest_beat_at is None:
            return waits
        beat_before = now - self.youngest_beat_at
        return beat_before > LOST_AFTER + after or (waits and beat_before > LOST_AFTER)


def standing() -> Standing:
    """How the works stand now."""
    found = Work.objects.aggregate(
        waiting=Min("asked_at", filter=Q(state=WAITING)), beat=Max("beat_at", filter=Q(state=RUNNING))
    )
    return Standing(found["waiting"], found["beat"])


def workers_beat_at() -> datetime | None:
    """When a worker last gave a sign of life, with or without a work in hand; None: never."""
    return WorkersBeat.objects.filter(pk=1).values_list("at", flat=True).first()


def state_counts() -> dict[str, int]:
    """How many works there are in each state, those with none told too."""
    found = dict(Work.objects.order_by().values_list("state").annotate(Count("pk")))
    return {state: found.get(state, 0) for state in STATES}
