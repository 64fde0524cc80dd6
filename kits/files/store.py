"""Bytes in a folder, named by their own sha256: written whole or not at all, and never changed."""

import hashlib
import logging
import os
import re
from collections.abc import Iterator
from pathlib import Path
from tempfile import NamedTemporaryFile

_NAME = re.compile(r"[0-9a-f]{64}")
_UNFINISHED = ".part"
log = logging.getLogger("kitwright.files")


class NotKept(Exception):
    """The folder of files is full or can't be written, in a sentence for people."""

    def __init__(self) -> None:
        super().__init__(
            "The server has no room for files, or can't write them, so nothing was kept. "
            "Tell who looks after the server; the log says more."
        )


class Lost(Exception):
    """The bytes that a row names are not there, or are not those that were put there."""


def put(folder: Path, content: bytes) -> str:
    """Keep bytes; returns their sha256. Once it returns they are on the disk, whatever happens then. Raises NotKept."""
    try:
        return _put(folder, content)
    except OSError as problem:
        log.exception("nothing can be kept in the folder of files")
        raise NotKept from problem


def _put(folder: Path, content: bytes) -> str:
    sha256 = hashlib.sha256(content).hexdigest()
    path = path_of(folder, sha256)
    if path.exists() and path.stat().st_size == len(content):
        return sha256
    path.parent.mkdir(parents=True, exist_ok=True)
    # a name of its own, so that two who keep the same bytes do not write over each other
    with NamedTemporaryFile(dir=path.parent, suffix=_UNFINISHED, delete=False) as unfinished:
        try:
            unfinished.write(content)
            unfinished.flush()
            os.fsync(unfinished.fileno())
            Path(unfinished.name).replace(path)
        except BaseException:
            Path(unfinished.name).unlink(missing_ok=True)
            raise
    _settle(path.parent)
    return sha256


def get(folder: Path, sha256: str) -> bytes:
    """The bytes of this name. Raises Lost."""
    try:
        content = path_of(folder, sha256).read_bytes()
    except OSError as problem:
        raise Lost(f"{sha256} can't be read: {problem.strerror}.") from None
    if hashlib.sha256(content).hexdigest() != sha256:
        raise Lost(f"{sha256} has other bytes than were put there.")
    return content


def drop(folder: Path, sha256: str) -> None:
    """Let the bytes of this name go, if they are there."""
    path_of(folder, sha256).unlink(missing_ok=True)


def names(folder: Path) -> Iterator[tuple[str, float]]:
    """Each name that has bytes, and when they were put there, in seconds of the epoch."""
    for path in folder.glob("??/*"):
        if _NAME.fullmatch(path.name):
            yield path.name, path.stat().st_mtime


def unfinished(folder: Path) -> Iterator[Path]:
    """What is being written, or was when its writer was killed."""
    return folder.glob(f"??/*{_UNFINISHED}")


def path_of(folder: Path, sha256: str) -> Path:
    """Where the bytes of this name lie. Raises ValueError for what is no sha256."""
    if not _NAME.fullmatch(sha256):
        raise ValueError(f"{sha256[:80]} is no sha256 in lower-case digits.")
    return folder / sha256[:2] / sha256


def _settle(folder: Path) -> None:
    """Have the folder's new entry on the disk too."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
