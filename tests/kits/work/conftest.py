"""Works that wait for a worker, of a kind that counts."""

import pytest

from kits.work.actions import ask
from tests.kits.work import counting


@pytest.fixture(autouse=True)
def counted(settings, monkeypatch):
    """The kind that counts is known, nothing happens on the way, and works wait in the queue."""
    settings.WORK_AT_ONCE = False
    settings.WORK_KINDS = counting.KINDS
    settings.SHORT_WORKS = ("short",)
    for when in counting.meanwhile:
        monkeypatch.setitem(counting.meanwhile, when, lambda number: None)


@pytest.fixture
def happens(monkeypatch):
    """Let something happen while a step is computed or written."""
    return lambda when, act: monkeypatch.setitem(counting.meanwhile, when, act)


@pytest.fixture
def asked(manager):
    """A work asked for by the manager."""

    def make(key="k", last=3, actor=manager):
        return ask(actor=actor, kind="count", key=key, title="Markets", wanted={"last": last}, page="/")

    return make
