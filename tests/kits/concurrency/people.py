"""People who write at the same time: each a thread with a database connection of its own."""

import re
import time
from collections.abc import Callable
from threading import Event, Thread
from typing import Any

from django.db import connection, connections

LONGEST_S = 30.0
# What the other's transaction may keep waiting: on SQLite its beginning, on PostgreSQL a lock or a write.
LOCKS = r"^(BEGIN|INSERT|UPDATE|DELETE)|FOR UPDATE"
# Counting the stamp up is the last thing an edit writes.
STAMP = r'^UPDATE "kits_cataloguestamp"'


class Person:
    """Somebody who does one act, and may stand still before or after a statement until he is told to go on."""

    def __init__(self, act: Callable[[], Any], before: str = "", after: str = "") -> None:
        self._act, self._before, self._after = act, before, after
        self._stands, self._may_go, self._asked = Event(), Event(), Event()
        self._told: Any = None
        self._thread = Thread(target=self._run, daemon=True)
        self._thread.start()

    def _run(self) -> None:
        try:
            with connection.execute_wrapper(self._watched):
                self._told = self._act()
        except Exception as raised:
            self._told = raised
        finally:
            connections.close_all()

    def _watched(self, execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        self._stop_at(self._before, sql)
        if re.search(LOCKS, sql):
            self._asked.set()
        done = execute(sql, params, many, context)
        self._stop_at(self._after, sql)
        return done

    def _stop_at(self, pattern: str, sql: str) -> None:
        if pattern and not self._stands.is_set() and re.search(pattern, sql):
            self._stands.set()
            assert self._may_go.wait(LONGEST_S), f"nobody told it to go on from {pattern}"

    def stands(self) -> "Person":
        """Return once he stands at his statement."""
        assert self._stands.wait(LONGEST_S), (
            f"it never came to a statement like {self._before or self._after}"
        )
        return self

    def waits(self) -> "Person":
        """Return once he has asked for what another holds; PostgreSQL says itself whether he waits for it."""
        assert self._asked.wait(LONGEST_S), "it never asked for a lock"
        until = time.monotonic() + LONGEST_S
        while connection.vendor == "postgresql" and not _is_somebody_kept_waiting():
            assert self._thread.is_alive(), f"it was not kept waiting: {self._told!r}"
            assert time.monotonic() < until, "it neither waits nor ends"
            time.sleep(0.005)
        return self

    def go(self) -> "Person":
        """Let him go on."""
        self._may_go.set()
        return self

    def ends(self) -> Any:
        """What his act returned, or the exception that it raised."""
        self.go()
        self._thread.join(LONGEST_S)
        assert not self._thread.is_alive(), "it never ended"
        return self._told


def _is_somebody_kept_waiting() -> bool:
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT count(*) FROM pg_stat_activity "
            "WHERE datname = current_database() AND wait_event_type = 'Lock'"
        )
        return bool(cursor.fetchone()[0])


def at_once(*acts: Callable[[], Any], after: str = "") -> list[Any]:
    """Everybody comes to the first statement that may have to wait, then all go on together; what each was told.

    after: as of `while_held`, so that both are called alike; nobody holds anything here.
    """
    people = [Person(act, before=LOCKS) for act in acts]
    for person in people:
        person.stands()
    for person in people:
        person.go()
    return [person.ends() for person in people]


def while_held(first: Callable[[], Any], second: Callable[[], Any], after: str = STAMP) -> list[Any]:
    """The second starts while the first has written and holds its transaction open; what each was told."""
    holder = Person(first, after=after).stands()
    late = Person(second).waits()
    return [holder.ends(), late.ends()]


TWO_WAYS = (at_once, while_held)
