"""A work that takes its time and notes which process did each step."""

import os
import time

from kits.fitment.models import Market
from kits.work.kind import Kind, Result, Step

STEP_S = 0.2


def steps(asked):
    last, name = asked.wanted["last"], asked.wanted["name"]
    for number in range(asked.place.get("next", 1), last + 1):
        time.sleep(STEP_S)
        yield Step(lambda number=number: write(name, number), number, last, {"next": number + 1})
    return Result("Done.")


def write(name, number):
    Market.objects.create(code=f"{name}-{number}", name=str(os.getpid()))


SLOW = Kind("size_all", steps)


def made(name):
    """The numbers of the steps that were written, and the process of the last one."""
    rows = list(Market.objects.filter(code__startswith=f"{name}-").order_by("pk").values_list("code", "name"))
    return [int(code.rpartition("-")[2]) for code, _ in rows], int(rows[-1][1]) if rows else 0
