"""The files of a site in a backup: they never change, so one that an older backup holds is held once on the disk."""

import hashlib
import os
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from kits.config.backup.label import (
    FILES_FOLDER,
    LIST_FILE,
    SHA256,
    Label,
    NotRestored,
    read_regular,
    refuse_irregular,
)
from kits.config.backup.shelf import settle
from kits.files.store import Lost, get, names, path_of, put

_LINE_BYTES: Final = 65
"""Of the list: a sha256 and the end of its line."""


@dataclass(frozen=True)
class Taken:
    """What came along: how many, how large together, the sha256 of their list, and what rows name but is lost."""

    count: int
    size_bytes: int
    list_sha256: str
    lost: tuple[str, ...]


def take(source: Path, place: Path, older: Path | None, named: Collection[str]) -> Taken:
    """Bring every file into a backup. The database has to be there first: what it names is whole by then.

    source: the folder of files; place: the backup; older: one whose files may be shared, where the disk can; named:
    what rows name. A file that is damaged is left out, and told where a row names it. Raises OSError.
    """
    folder = place / FILES_FOLDER
    folder.mkdir()
    taken, size = [], 0
    for sha256 in sorted({name for name, _ in names(source)}):
        if _bring(sha256, source, folder, older):
            taken.append(sha256)
            size += path_of(folder, sha256).stat().st_size
    text = "".join(f"{sha256}\n" for sha256 in taken)
    (place / LIST_FILE).write_text(text, encoding="ascii")
    lost = tuple(sorted(set(named).difference(taken)))
    return Taken(len(taken), size, hashlib.sha256(text.encode()).hexdigest(), lost)


def listed(place: Path, label: Label) -> list[str]:
    """The files that a backup holds by its own list. Raises NotRestored."""
    path = place / LIST_FILE
    try:
        is_so_long = refuse_irregular(path).st_size == label.files_count * _LINE_BYTES
        content = read_regular(path, label.files_count * _LINE_BYTES) if is_so_long else b""
    except OSError as problem:
        raise NotRestored(f"{path} can't be read: {problem.strerror}.") from None
    if not is_so_long or hashlib.sha256(content).hexdigest() != label.list_sha256:
        raise NotRestored(f"{path} was changed since the backup was made.")
    lines = content.decode("ascii", errors="replace").splitlines()
    if not all(map(SHA256.fullmatch, lines)):
        raise NotRestored(f"{path} names what is no file of a backup. Take another backup.")
    return lines


def check(place: Path, sha256s: Iterable[str]) -> None:
    """Make sure that each file is there as it was put there. Raises NotRestored."""
    for sha256 in sha256s:
        try:
            refuse_irregular(path_of(place / FILES_FOLDER, sha256))
            get(place / FILES_FOLDER, sha256)
        except (Lost, OSError) as problem:
            said = problem if isinstance(problem, Lost) else f"{sha256} can't be read: {problem.strerror}."
            raise NotRestored(f"A file of the backup is missing or damaged in {place}: {said}") from None


def put_back(place: Path, sha256s: Iterable[str], target: Path) -> int:
    """Bring those into the folder of files that are not there, and whole; returns how many. Raises NotKept, OSError."""
    count = 0
    for sha256 in sha256s:
        try:
            get(target, sha256)
        except Lost:
            path_of(target, sha256).unlink(missing_ok=True)
            put(target, get(place / FILES_FOLDER, sha256))
            count += 1
    return count


def _bring(sha256: str, source: Path, folder: Path, older: Path | None) -> bool:
    target = path_of(folder, sha256)
    target.parent.mkdir(exist_ok=True)
    if older is not None and _linked(path_of(older / FILES_FOLDER, sha256), target):
        return True
    try:
        content = get(source, sha256)
    except Lost:
        return False
    target.write_bytes(content)
    settle(target)
    return True


def _linked(old: Path, new: Path) -> bool:
    """Whether both could become one on the disk; not where it is another disk, or one without such links."""
    try:
        os.link(old, new)
    except OSError:
        return False
    return True
