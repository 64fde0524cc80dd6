"""The numbers of signing in: how often one may try, how long one must wait, how long one stays signed in.

All of them are common practice, no source.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import timedelta
from typing import Final

TRIES_OF_A_NAME: Final = 5
"""Wrong passwords of one name from one place before it has to wait: room for a slip and for an old password."""
TRIES_OF_AN_ADDRESS: Final = 20
"""The same of all names from one address together; a whole workshop may share one."""
CODES_FROM_STRANGE_PLACES: Final = 20
"""Wrong codes of one account from all places together that are no browser of its owner: of a million codes three or
four are right at a time, and the waits leave some 25 in the first hour and one an hour after it."""
FIRST_WAIT: Final = timedelta(minutes=1)
LONGEST_WAIT: Final = timedelta(hours=1)
FORGOTTEN_AFTER: Final = timedelta(days=1)
"""A day after the last wrong password all of them are forgotten."""
RECORDS_KEPT: Final = timedelta(days=90)
BROWSER_KNOWN: Final = timedelta(days=90)
"""A browser in which somebody signed in is his for so long, each time anew."""
CODE_WITHIN: Final = timedelta(minutes=5)
"""Between the password and the code of the second step."""
TYPED_KEPT: Final = timedelta(hours=2)
LONGEST_PASSWORD: Final = 4096
"""Characters, wherever one is chosen or given: none can be chosen that would be refused at signing in."""
SEEN_EVERY: Final = timedelta(minutes=1)
"""How often the last request of a session is written down."""


@dataclass(frozen=True)
class Stay:
    """How long somebody stays signed in: without asking for anything, and at all."""

    idle: timedelta
    whole: timedelta


OFFICE: Final = Stay(timedelta(minutes=60), timedelta(days=7))
BENCH: Final = Stay(timedelta(hours=12), timedelta(days=30))
STAYS: Final = {
    # at a desk that others pass, and may change or read everything
    "manager": OFFICE,
    "owner": OFFICE,
    # at the bench and beside the car: gloves on, a tablet that lies there for a shift, and little that can be changed
    "production": BENCH,
    "installer": BENCH,
}


def wait_after(failed_count: int, tries_count: int) -> timedelta | None:
    """How long to wait after so many wrong passwords, None within the free tries: 1 min, 2, 4, 8 …, 60 at most."""
    beyond = failed_count - tries_count
    if beyond < 0:
        return None
    doubled: int = 2 ** min(beyond, 20)
    return min(FIRST_WAIT * doubled, LONGEST_WAIT)


def stay_of(roles: Collection[str]) -> Stay:
    """How long the roles let one stay: who has two has the shorter of both, who has none the office's."""
    found = [STAYS[role] for role in roles] or [OFFICE]
    return Stay(min(stay.idle for stay in found), min(stay.whole for stay in found))


def span(time: timedelta) -> str:
    """A span of time in words, rounded up: 60 minutes, 12 hours, 7 days."""
    minutes = -(-int(time.total_seconds()) // 60)
    for unit, length in (("day", 1440), ("hour", 60)):
        if minutes % length == 0 and minutes > length:
            return f"{minutes // length} {unit}s"
    return "a minute" if minutes <= 1 else f"{minutes} minutes"
