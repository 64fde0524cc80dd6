"""A worker gives signs of life, whatever else it does, until it ends."""

import pytest
from django.db import OperationalError, connection

from kits.management.commands import worker
from kits.work.kind import SIGN_EVERY_S
from kits.work.models import WorkersBeat

pytestmark = pytest.mark.django_db


class End:
    """The worker ends after so many signs."""

    def __init__(self, signs):
        self.signs, self.waited = signs, []

    def wait(self, seconds):
        self.waited.append(seconds)
        return len(self.waited) == self.signs


@pytest.fixture(autouse=True)
def kept_open(monkeypatch):
    """The connection of the test stays open."""
    monkeypatch.setattr(connection, "close", lambda: None)


def test_there_is_one_row_however_often_it_tells():
    end = End(3)
    worker.give_signs(end)
    assert end.waited == [SIGN_EVERY_S] * 3
    assert WorkersBeat.objects.count() == 1


def test_a_database_that_is_away_is_asked_again_next_time(monkeypatch):
    kept, away = worker.give_sign, [True]

    def away_at_first(now):
        if away.pop():
            away.append(False)
            raise OperationalError("the database is away")
        kept(now)

    monkeypatch.setattr(worker, "give_sign", away_at_first)
    worker.give_signs(End(1))
    assert not WorkersBeat.objects.exists()
    worker.give_signs(End(1))
    assert WorkersBeat.objects.exists()
