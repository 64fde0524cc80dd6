"""Who looks after the works sends again what is lost, and notices a worker that takes nothing."""

import time
from datetime import timedelta

import pytest
from django.db import OperationalError
from django.utils import timezone
from django_q.models import OrmQ

from kits.fitment.models import SizedFitment
from kits.management.commands import serve
from kits.management.commands.serve import Watch
from kits.work.kind import RUNNING, STUCK_AFTER
from kits.work.models import Work
from tests.kits.documents.fitment import make_fitment, store_answer

pytestmark = pytest.mark.django_db


@pytest.fixture
def waiting():
    long_ago = timezone.now() - timedelta(hours=1)
    return Work.objects.create(kind="size", key="||", title="Sizing", asked_at=long_ago)


@pytest.fixture
def later(monkeypatch):
    """Let the clock that measures spans go on."""
    gone = [0.0]
    clock = time.monotonic
    monkeypatch.setattr(serve.time, "monotonic", lambda: clock() + gone[0])
    return lambda seconds: gone.append(gone.pop() + seconds)


def test_a_waiting_work_without_a_message_is_sent_again(waiting):
    assert Watch().look() == ()
    assert [row.task["args"] for row in OrmQ.objects.all()] == [(waiting.pk,)]


def test_the_worker_is_started_anew_once_nothing_is_taken_for_too_long(waiting, later):
    watch = Watch()
    assert watch.look() == ()
    later(STUCK_AFTER.total_seconds() - 1)
    assert watch.look() == (), "it may just have become free"
    later(2)
    assert watch.look() == ("worker",)
    assert watch.look() == (), "the new one gets its time too"


def test_while_a_work_runs_the_others_may_wait(waiting, later):
    watch = Watch()
    Work.objects.create(
        kind="size", key="a", title="x", asked_at=timezone.now(), state=RUNNING, beat_at=timezone.now()
    )
    later(STUCK_AFTER.total_seconds() + 1)
    assert watch.look() == ()


def test_a_database_that_is_away_is_waited_for(monkeypatch):
    def away():
        raise OperationalError("the database is away")

    monkeypatch.setattr(serve, "sweep", away)
    monkeypatch.setattr(serve.connection, "close", lambda: None)
    assert Watch().look() == ()


def test_answers_of_another_program_are_sized_again_from_the_start(settings):
    settings.WORK_AT_ONCE = False
    fitment = make_fitment()
    store_answer(fitment)
    Watch().look()
    assert not Work.objects.filter(kind="size").exists(), "they are of this program"
    SizedFitment.objects.update(method=0)
    watch = Watch()
    watch.look()
    watch.look()
    assert Work.objects.filter(kind="size").values_list("key", flat=True).get() == f"|{fitment.kit.code}|"
