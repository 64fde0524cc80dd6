"""The folder of backups: each is a dated folder that is there whole or not at all, and is never written over."""

import fcntl
import logging
import os
import re
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

from kits.config.backup.label import NIGHTLY, Label, NoLabel, NotBackedUp, read_label

DAILY_KEPT: Final = 14
WEEKLY_KEPT: Final = 8
CLOCKS_DIFFER: Final = timedelta(minutes=10)
"""One that was made later than so long from now says when wrongly: by then no clock is ahead in order."""
LOCK_FILE: Final = ".lock"
# What begins with a dot is no backup: not yet, or not any more.
_UNFINISHED: Final = ".unfinished-"
_GOING: Final = ".going-"
_NAME: Final = re.compile(r"kitwright-(\d{4}-\d\d-\d\dT\d{4}Z)(?:-(\d+))?", re.ASCII)
log = logging.getLogger("kitwright.backup")


def places(shelf: Path) -> list[Path]:
    """The dated folders, the newest first; none where there is no such folder."""
    if not shelf.is_dir():
        return []
    found = [(match[1], int(match[2] or 1), path) for path in shelf.iterdir() if (match := _match(path))]
    return [path for _, _, path in sorted(found, reverse=True)]


def labels(shelf: Path) -> Iterator[tuple[Path, Label]]:
    """Each whole backup with its label, the newest first."""
    for place in places(shelf):
        try:
            yield place, read_label(place)
        except NoLabel:
            continue


def is_to_come(label: Label, now: datetime) -> bool:
    """Whether it says that it was made at a time to come; such a one tells nothing about how old the newest is."""
    return label.made_at > now + CLOCKS_DIFFER


@contextmanager
def one_at_a_time(shelf: Path) -> Iterator[None]:
    """Nobody else makes or clears away backups here meanwhile. Raises NotBackedUp, OSError."""
    if shelf.exists() and not shelf.is_dir():
        raise NotBackedUp(f"{shelf} is a file; backups need a folder.")
    shelf.mkdir(parents=True, exist_ok=True)
    handle = os.open(shelf / LOCK_FILE, os.O_RDONLY | os.O_CREAT, 0o644)
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise NotBackedUp(
                f"Another backup is being made in {shelf}. Try again when it is done."
            ) from None
        yield
    finally:
        os.close(handle)


@contextmanager
def new_place(shelf: Path, at: datetime) -> Iterator[Path]:
    """A folder to fill, that gets its name when all of it is on the disk; nothing is left if that fails.

    To be called by whoever holds the folder of backups: what killed ones have left is cleared away first.
    """
    for remains in (*shelf.glob(f"{_UNFINISHED}*"), *shelf.glob(f"{_GOING}*")):
        shutil.rmtree(remains, ignore_errors=True)
    name = _free_name(shelf, at)
    unfinished = shelf / f"{_UNFINISHED}{name}"
    unfinished.mkdir()
    try:
        yield unfinished
        settle_tree(unfinished)
        unfinished.rename(shelf / name)
    except BaseException:
        shutil.rmtree(unfinished, ignore_errors=True)
        raise
    settle(shelf)


def name_at(shelf: Path, unfinished: Path) -> Path:
    """Where what was filled lies now."""
    return shelf / unfinished.name.removeprefix(_UNFINISHED)


def to_let_go(nightly: list[tuple[Path, datetime]]) -> list[Path]:
    """Those of the nightly backups that are neither the newest of one of the last days nor of one of the last weeks.

    Days and weeks without a backup don't count: after a pause the old ones stay until new ones stand in their place.
    """
    by_day: dict[tuple[int, ...], Path] = {}
    by_week: dict[tuple[int, ...], Path] = {}
    for place, at in sorted(nightly, key=lambda one: one[1], reverse=True):
        by_day.setdefault((at.year, at.month, at.day), place)
        by_week.setdefault(tuple(at.isocalendar())[:2], place)
    kept = {*list(by_day.values())[:DAILY_KEPT], *list(by_week.values())[:WEEKLY_KEPT]}
    return [place for place, _ in nightly if place not in kept]


def let_go(shelf: Path, now: datetime) -> int:
    """Clear away the nightly backups that have had their time; returns how many. Raises NotBackedUp, OSError.

    Those that were made by hand or before something else are for people to clear away; so are those of a time to come,
    which take nobody's place.
    """
    with one_at_a_time(shelf):
        nightly = []
        for place, label in labels(shelf):
            if is_to_come(label, now):
                told = f"{place} says that it was made on {label.made_at}, which is to come: it doesn't count"
                log.warning({"message": told})
            elif label.made_by == NIGHTLY:
                nightly.append((place, label.made_at))
        old = to_let_go(nightly)
        for place in old:
            # no longer a backup from here on, should this be ended in the middle
            going = place.rename(shelf / f"{_GOING}{place.name}")
            shutil.rmtree(going)
    return len(old)


def settle(path: Path) -> None:
    """Have a file, or a folder's entries, on the disk."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def settle_tree(folder: Path) -> None:
    """Have all that was written into a folder on the disk; a file that an older backup holds too is there already."""
    for path in folder.rglob("*"):
        if path.is_dir() or path.stat().st_nlink == 1:
            settle(path)
    settle(folder)


def size_bytes(place: Path) -> int:
    """What a backup holds, counting what it shares with older ones too."""
    return sum(path.stat().st_size for path in place.rglob("*") if path.is_file())


def _match(path: Path) -> re.Match[str] | None:
    return _NAME.fullmatch(path.name)


def _free_name(shelf: Path, at: datetime) -> str:
    first = f"kitwright-{at.astimezone(UTC):%Y-%m-%dT%H%MZ}"
    name, number = first, 1
    while (shelf / name).exists():
        number += 1
        name = f"{first}-{number}"
    return name
