"""A worker gives signs of life as long as the process lives that looks after those which work."""

import pytest
from django.db import OperationalError, connection

from kits.management.commands import worker
from kits.work.kind import SIGN_EVERY_S
from kits.work.models import WorkersBeat

pytestmark = pytest.mark.django_db


class Cluster:
    """A cluster whose first process lives for so many looks; it is its own sentinel."""

    def __init__(self, looks):
        self.sentinel, self.looks, self.waited = self, looks, []

    def is_alive(self):
        self.looks -= 1
        return self.looks >= 0

    def join(self, seconds):
        self.waited.append(seconds)


@pytest.fixture(autouse=True)
def patience(monkeypatch):
    """The connection of the test stays open; what the worker asks for is noted."""
    asked = []
    monkeypatch.setattr(worker, "wait_at_most", asked.append)
    monkeypatch.setattr(connection, "close", lambda: None)
    return asked


def test_there_is_one_row_however_often_it_tells(patience):
    cluster = Cluster(3)
    worker.tell_that_it_lives(cluster)
    assert cluster.waited == [SIGN_EVERY_S] * 3
    assert WorkersBeat.objects.count() == 1
    assert patience == [worker.WEB_S], "an order to end must not wait for a lock"


def test_a_worker_whose_first_process_has_ended_tells_nothing():
    worker.tell_that_it_lives(Cluster(0))
    assert not WorkersBeat.objects.exists()


def test_a_database_that_is_away_is_asked_again_next_time(monkeypatch):
    left = [1]
    kept = worker.give_sign

    def away_at_first(now):
        if left.pop() if left else 0:
            raise OperationalError("the database is away")
        kept(now)

    monkeypatch.setattr(worker, "give_sign", away_at_first)
    worker.tell_that_it_lives(Cluster(1))
    assert not WorkersBeat.objects.exists()
    worker.tell_that_it_lives(Cluster(1))
    assert WorkersBeat.objects.exists()
