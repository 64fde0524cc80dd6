"""A worker that is killed at any moment loses no step and writes none twice."""

import pytest

from kits.work.actions import ask, run
from kits.work.kind import DONE, RUNNING
from tests.kits.work.counting import at, fresh, killed, made
from tests.kits.work.killing import lose, run_in_a_process
from vehicles.records.access import CONSOLE


@pytest.mark.parametrize("when", ["computing", "writing"])
@pytest.mark.parametrize("number", [1, 2, 3])
def test_after_a_kill_at_any_step_each_is_written_once(file_database, happens, when, number):
    work = ask(actor=CONSOLE, kind="count", key="k", title="Markets", wanted={"last": 3})
    happens(when, at(number, killed))
    run_in_a_process(work)
    assert (fresh(work).state, made()) == (RUNNING, list(range(1, number)))
    happens(when, lambda number: None)
    lose(work)
    run(work.pk)
    assert (fresh(work).state, fresh(work).tries_count, made()) == (DONE, 2, [1, 2, 3])
