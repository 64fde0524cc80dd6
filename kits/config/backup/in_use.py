"""Whether the site runs: each of its processes holds a lock until it ends; a restore takes that lock alone."""

import fcntl
import logging
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings
from django.db import connection

from kits.config.backup.database import sqlite_path
from kits.config.backup.label import NotRestored

BEING_RESTORED = "A backup is being restored. Start the site again when that is done."
log = logging.getLogger("kitwright.backup")
_held: list[int] = []  # open files, each with its lock, until the process ends


class BeingRestored(Exception):
    """The site can't start while its database is replaced."""

    def __init__(self) -> None:
        super().__init__(BEING_RESTORED)


def lock_file() -> Path | None:
    """Beside SQLite’s file; for a server in the folder of files, which all machines share; None: in memory."""
    path = sqlite_path()
    if path is not None:
        return path.with_name(f"{path.name}.in-use")
    return None if connection.vendor == "sqlite" else settings.FILES_DIR / ".in-use"


def hold() -> None:
    """Say that this process is part of the running site, until it ends. Raises BeingRestored."""
    path = lock_file()
    if path is None:
        return
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle = os.open(path, os.O_RDONLY | os.O_CREAT, 0o644)
    except OSError:  # a disk that is full or can't be written is told by other checks
        log.exception("it can't be noted that the site runs")
        return
    try:
        fcntl.flock(handle, fcntl.LOCK_SH | fcntl.LOCK_NB)
    except BlockingIOError:
        os.close(handle)
        raise BeingRestored from None
    except OSError:  # a folder of another machine may know no locks
        log.exception("it can't be noted that the site runs")
    _held.append(handle)


@contextmanager
def alone() -> Iterator[None]:
    """No process of the site runs or starts meanwhile. Raises NotRestored."""
    path = lock_file()
    if path is None:
        raise NotRestored("The database lies in memory only: there is nothing to restore into.")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle = os.open(path, os.O_RDONLY | os.O_CREAT, 0o644)
    except OSError as problem:
        raise NotRestored(f"{path} can't be written: {problem.strerror}.") from None
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise NotRestored(
                "The site, or another restore, runs on this database. Stop it, or wait for it, and try again."
            ) from None
        yield
    finally:
        os.close(handle)
