"""A work that makes markets, one a step, so that what was written can be counted; and what may happen on the way."""

import os
import signal

from django.utils import timezone

from kits.files.actions import keep
from kits.fitment.models import Market
from kits.work.kind import Kind, Refused, Result, Step
from kits.work.models import Work

KINDS = {"count": "tests.kits.work.counting.COUNT", "short": "tests.kits.work.counting.SHORT"}
# Called with the number of each step before it is computed, and within its transaction.
meanwhile = {"computing": lambda number: None, "writing": lambda number: None}


def steps(asked):
    first, last = asked.place.get("next", 1), asked.wanted["last"]
    for number in range(first, last + 1):
        meanwhile["computing"](number)
        yield Step(lambda number=number: write(number), number, last, {"next": number + 1})
    return Result(f"Made {last} markets.", {"last": last})


def write(number):
    Market.objects.create(code=f"M{number}", name="made")
    meanwhile["writing"](number)


def one_file(asked):
    """Makes one file at once."""
    file = keep(b"made", timezone.now())
    yield from ()
    return Result("Made.", file_id=file.pk, page="/made/")


COUNT = Kind("size_all", steps, is_everybodys=True)
OF_MANAGERS = Kind("size_all", steps)
SHORT = Kind("print_paper", one_file)
FILE = Kind("print_paper", one_file, makes_file=True)


def at(wanted, act):
    """Something that happens at one step only."""
    return lambda number: act() if number == wanted else None


def refuse():
    raise Refused("There is no such thing.")


def fault():
    raise ZeroDivisionError


def killed():
    """As the power, or the system for want of memory, ends a process."""
    os.kill(os.getpid(), signal.SIGKILL)


def made():
    """The numbers of the markets, in the order in which they were made."""
    return [int(code[1:]) for code in Market.objects.order_by("pk").values_list("code", flat=True)]


def fresh(work):
    """The row as it is now."""
    return Work.objects.get(pk=work.pk)
