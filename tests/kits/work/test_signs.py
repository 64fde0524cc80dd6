"""While a chunk takes long its worker gives signs of life, not to be taken for lost; for so long and no longer."""

import signal
import time

from django.db import DatabaseError

from kits.work import actions
from kits.work.actions import ask, cancel, run
from kits.work.kind import CANCELLED, DONE
from kits.work.models import Work
from tests.kits.work.counting import at, fresh, made
from vehicles.records.access import CONSOLE

LONG_S = 0.5


def counted():
    return ask(actor=CONSOLE, kind="count", key="k", title="Markets", wanted={"last": 2})


def beats(work, seconds):
    """How often the row's last sign of life changed within some seconds."""
    seen, until = set(), time.monotonic() + seconds
    while time.monotonic() < until:
        seen.add(fresh(work).beat_at)
        time.sleep(0.01)
    return len(seen) - 1


def test_a_long_chunk_gives_signs_of_life(file_database, happens, monkeypatch):
    monkeypatch.setattr(actions, "BEAT_S", 0.05)
    work, seen = counted(), []
    happens("computing", at(2, lambda: seen.append(beats(work, LONG_S))))
    run(work.pk)
    assert seen[0] >= 2
    assert (fresh(work).state, made()) == (DONE, [1, 2])


def test_one_that_takes_far_too_long_gives_none_any_more(file_database, happens, monkeypatch):
    monkeypatch.setattr(actions, "BEAT_S", 0.05)
    monkeypatch.setattr(actions, "LONGEST_CHUNK_S", 0.1)
    work, seen = counted(), []
    happens("computing", at(2, lambda: seen.append((beats(work, LONG_S), beats(work, LONG_S))[1])))
    run(work.pk)
    assert seen == [0]


def test_a_sign_that_can_not_be_given_ends_nothing(file_database, happens, monkeypatch, caplog):
    monkeypatch.setattr(actions, "BEAT_S", 0.05)
    work, real = counted(), actions._change

    def busy(of, **values):
        if set(values) == {"beat_at"}:
            raise DatabaseError("busy")
        real(of, **values)

    monkeypatch.setattr(actions, "_change", busy)
    happens("computing", at(2, lambda: time.sleep(LONG_S)))
    run(work.pk)
    assert "could give no sign of life" in caplog.text
    assert fresh(work).state == DONE


def test_the_pace_is_that_of_the_steps_and_not_of_the_signs(file_database, happens, monkeypatch):
    monkeypatch.setattr(actions, "BEAT_S", 0.05)
    work, seen = counted(), []

    def look():
        time.sleep(LONG_S)
        seen.append(fresh(work))

    happens("computing", at(2, look))
    run(work.pk)
    assert seen[0].step_at < seen[0].beat_at
    assert Work.objects.get(pk=work.pk).step_at > seen[0].step_at


def test_a_work_cancelled_in_a_long_chunk_is_left_at_once_for_the_next(file_database, happens, monkeypatch):
    monkeypatch.setattr(actions, "BEAT_S", 0.05)
    before = signal.getsignal(signal.SIGUSR1)
    work, seen = counted(), []

    def look():
        cancel(actor=CONSOLE, work=work)
        try:
            time.sleep(10 * LONG_S)
            seen.append("it went on to the end")
        except Exception:
            seen.append("a library swallowed it")

    happens("computing", at(2, look))
    began = time.monotonic()
    run(work.pk)
    assert time.monotonic() - began < 5 * LONG_S
    assert (seen, fresh(work).state, made()) == ([], CANCELLED, [1])
    assert signal.getsignal(signal.SIGUSR1) == before
