"""Sizing as a work: fitments in chunks, each stored as soon as it is worked out."""

import time
from datetime import date
from functools import partial

from django.utils import timezone

from kits.fitment.actions import store_answers, worked_out
from kits.fitment.queries import fitments_of, still_to_size
from kits.work.kind import Asked, Kind, Result, Step, Steps, next_count

FIRST_COUNT = 2
"""The first chunk also waits for what is loaded once in a process."""


def _steps(asked: Asked) -> Steps:
    """Size what lies in the scope and was not answered since it was asked for; a lost worker's answers stay."""
    wanted = asked.wanted
    line, kit, variant = (str(wanted[name]) for name in ("line", "kit", "variant"))
    of = fitments_of(line, kit, variant).count()
    keys = still_to_size(line, kit, variant, asked.asked_at)
    of, count = max(of, len(keys)), FIRST_COUNT
    while keys:
        chunk, keys = keys[:count], keys[count:]
        began = time.monotonic()
        answers = worked_out(date.fromisoformat(str(wanted["on"])), chunk)
        count = next_count(len(chunk), time.monotonic() - began)
        yield Step(partial(store_answers, answers, timezone.now()), of - len(keys), of)
    return Result(f"Sized {of} fitment{'' if of == 1 else 's'}; the answers are up to date.", {"count": of})


SIZE = Kind("size_all", _steps)
