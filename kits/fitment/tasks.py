"""Sizing as a work: fitments in chunks, each stored as soon as it is worked out."""

import time
from collections.abc import Generator
from datetime import date
from functools import partial
from typing import NamedTuple

from django.utils import timezone

from kits.fitment.actions import store_answers, worked_out
from kits.fitment.bridge import Key
from kits.fitment.queries import fitments_of, overtaken, still_to_size
from kits.work.kind import Asked, Kind, Result, Step, Steps, next_count

MOST_ROUNDS = 3
"""What is overtaken by a change while it is worked out is worked out again, so often at most."""
FIRST_COUNT = 2
"""The first chunk also waits for what is loaded once in a process."""


class Scope(NamedTuple):
    """Codes of what is to be sized; empty: any."""

    line: str
    kit: str
    variant: str


def _steps(asked: Asked) -> Steps:
    """Size what lies in the scope and was not answered since it was asked for; a lost worker's answers stay."""
    scope = Scope(*(str(asked.wanted[name]) for name in ("line", "kit", "variant")))
    asked_on = date.fromisoformat(str(asked.wanted["on"]))
    keys = still_to_size(*scope, asked.asked_at, _day(asked_on))
    of = max(fitments_of(*scope).count(), len(keys))
    unworked: set[int] = set()
    for _ in range(MOST_ROUNDS):
        yield from _chunks(keys, asked_on, of, unworked)
        keys = overtaken(*scope, asked.asked_at, _day(asked_on))
        if not keys:
            break
    sized = f"Sized {of} fitment{'' if of == 1 else 's'}"
    if unworked:
        sized += f", of which {len(unworked)} could not be worked out: see those that are not sized"
    if keys:
        return Result(f"{sized}; meanwhile the data of {len(keys)} changed, which are out of date again.")
    return Result(f"{sized}; the answers are up to date.")


def _day(asked_on: date) -> date:
    """The day for which answers are worked out: a work that waited over midnight is done for the new one."""
    return max(asked_on, timezone.localdate())


def _chunks(keys: list[Key], asked_on: date, of: int, unworked: set[int]) -> Generator[Step, None, None]:
    """Also notes which fitments could not be worked out."""
    count = FIRST_COUNT
    while keys:
        chunk, keys = keys[:count], keys[count:]
        began = time.monotonic()
        answers = worked_out(_day(asked_on), chunk)
        unworked.difference_update(a.fitment_id for a in answers.answers)
        unworked.update(a.fitment_id for a in answers.answers if not a.is_worked_out)
        count = next_count(len(chunk), time.monotonic() - began)
        yield Step(partial(store_answers, answers, timezone.now()), of - len(keys), of)


SIZE = Kind("size_all", _steps, is_everybodys=True)
