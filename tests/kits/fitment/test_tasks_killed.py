"""A worker that is killed while it sizes leaves whole answers only, and the next one makes those that lack."""

import pytest

from kits.fitment import tasks
from kits.fitment.actions import WorkedOut, ask_to_size
from kits.fitment.bridge import Sized
from kits.fitment.models import CatalogueStamp, Fitment, SizedFitment
from kits.work.actions import run
from kits.work.kind import DONE, RUNNING
from tests import snapshot
from tests.kits.fitment.answers import RECORD
from tests.kits.fitment.conftest import ON
from tests.kits.work.counting import at, fresh, killed
from tests.kits.work.killing import lose, run_in_a_process
from vehicles.records.access import CONSOLE


@pytest.fixture
def quick(file_database, first_line, settings, monkeypatch):
    """A line in a file, each of whose fitments has an answer at hand: called before the chunks are made and stored."""
    snapshot.put_back(first_line)
    settings.WORK_AT_ONCE = False
    stored = tasks.store_answers
    happens = {"computing": lambda number: None, "writing": lambda number: None}
    chunks = []

    def answered(on, keys):
        chunks.append(keys)
        happens["computing"](len(chunks))
        ids = [Fitment.objects.get(kit__code=k, variant__code=v).pk for k, _, v in keys]
        return WorkedOut(CatalogueStamp.objects.get().value, [Sized(pk, RECORD, 0) for pk in ids])

    def stored_slowly(answers, now):
        stored(answers, now)
        happens["writing"](len(chunks))

    monkeypatch.setattr(tasks, "worked_out", answered)
    monkeypatch.setattr(tasks, "store_answers", stored_slowly)
    return happens


@pytest.mark.parametrize("when", ["computing", "writing"])
@pytest.mark.parametrize("number", [1, 3])
def test_after_a_kill_at_a_chunk_each_fitment_has_one_answer(quick, when, number):
    work = ask_to_size(actor=CONSOLE, on=ON)
    quick[when] = at(number, killed)
    run_in_a_process(work)
    left = fresh(work)
    assert left.state == RUNNING
    assert SizedFitment.objects.count() == left.done_count == (0 if number == 1 else 2 + 3)
    quick[when] = lambda number: None
    lose(work)
    run(work.pk)
    assert (fresh(work).state, fresh(work).tries_count) == (DONE, 2)
    assert SizedFitment.objects.count() == Fitment.objects.count()
