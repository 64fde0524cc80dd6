"""One row's fault spoils its own answer and no other.

What a calculation refuses with a sentence, it is told by; what goes wrong unforeseen is told with a reference, by which
the log has the rest. In tests faults go through the guard, so that none hides; a test that is about them says so with
`goes_through(is_on=False)`.
"""

import logging
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from typing import TypeVar
from uuid import uuid4

from vehicles.physics.arrays import Refusal

Answer = TypeVar("Answer")
Case = TypeVar("Case")

log = logging.getLogger("kitwright.guard")
_through = {"all": False}


@dataclass(frozen=True)
class Fault:
    """What could not be worked out, and the reference under which the log tells why."""

    what: str
    reference: str
    refusal: str = ""
    """the sentence of the calculation that refused, where one did"""

    @property
    def sentence(self) -> str:
        """What is told to people."""
        if self.refusal:
            return f"{self.what} could not be worked out: {self.refusal}"
        return f"{self.what} could not be worked out (log {self.reference})."


class NotWorkedOut(Exception):
    """What a page was asked for rests on something that could not be worked out; it is told instead."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(fault.sentence)
        self.fault = fault


def logged(message: str, what: str) -> str:
    """Write the error that is being handled into the log; returns the reference of its line, for whoever is told."""
    reference = uuid4().hex[:8]
    log.exception({"message": message, "what": what, "reference": reference})
    return reference


@contextmanager
def goes_through(*, is_on: bool) -> Iterator[None]:
    """Whether a fault goes through the guard within the block."""
    before = _through["all"]
    _through["all"] = is_on
    try:
        yield
    finally:
        _through["all"] = before


def guarded(what: str, work: Callable[[], Answer]) -> Answer | Fault:
    """What `work` gives, or the fault that it ended in; what: what is worked out, in words that begin a sentence."""
    try:
        return work()
    except Exception as error:
        if _through["all"]:
            raise
        if isinstance(error, NotWorkedOut):
            return error.fault
        reference = logged("could not be worked out", what)
        return Fault(what, reference, str(error) if isinstance(error, Refusal) else "")


def each_guarded(
    cases: Sequence[Case], work: Callable[[Sequence[Case]], Sequence[Answer]], what: Callable[[Case], str]
) -> list[Answer | Fault]:
    """What `work` makes of all cases at once; where that ends in a fault, of halves, until the culprit stands alone."""
    if _through["all"] or not cases:
        return list(work(cases))
    if len(cases) == 1:
        found = guarded(what(cases[0]), lambda: work(cases))
        return [found] if isinstance(found, Fault) else list(found)
    with suppress(Exception):
        return list(work(cases))
    log.info({"message": "a batch is halved", "cases": len(cases)})
    half = len(cases) // 2
    return [*each_guarded(cases[:half], work, what), *each_guarded(cases[half:], work, what)]
