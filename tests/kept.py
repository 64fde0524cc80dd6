"""What takes long to make and is only read, made once and kept in a file for every process and every run.

The file's name bears a hash over all that it could have been made from: code, data and workbooks of both apps, the
templates, the helpers of the tests, the file that makes it, and the locked packages. So whatever changes, it is made
anew. A test of the demonstration's world makes that afresh in every run and holds it against the kept one.
"""

import fcntl
import hashlib
import inspect
import os
import pickle
import platform
import sys
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import TypeVar

Made = TypeVar("Made")

ROOT = Path(__file__).resolve().parents[1]
FOLDER = ROOT / "var" / "cache" / "tests"
# Older files of the same name that stay, so that going back and forth between two states of the code costs nothing.
SPARES = 3


def kept(name: str, make: Callable[[], Made]) -> Made:
    """What `make` gives. It is made where no file of this state of the code has it; others wait for it meanwhile."""
    return _kept(FOLDER, name, _made_from(inspect.getfile(make)), make)


def _kept(folder: Path, name: str, made_from: str, make: Callable[[], Made]) -> Made:
    folder.mkdir(parents=True, exist_ok=True)
    file = folder / f"{name}.{made_from}"
    with (folder / f"{name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not file.exists():
            made = make()
            being_written = file.with_suffix(".new")
            being_written.write_bytes(pickle.dumps(made, protocol=pickle.HIGHEST_PROTOCOL))
            being_written.rename(file)
            _clear_away(folder, name, file)
            return made
        os.utime(file)
    made: Made = pickle.loads(file.read_bytes())
    return made


def _clear_away(folder: Path, name: str, newest: Path) -> None:
    """Remove the oldest files of the name."""
    others = [
        file for file in folder.glob(f"{name}.*") if file.suffix not in {".lock", ".new"} and file != newest
    ]
    for file in sorted(others, key=lambda file: file.stat().st_mtime)[:-SPARES]:
        file.unlink()


def _made_from(maker: str) -> str:
    return hashlib.sha256(f"{_shared()}{_digest(Path(maker))}".encode()).hexdigest()[:24]


@cache
def _shared() -> str:
    """A hash over what everything could be made from."""
    files = [file for folder in ("kits", "vehicles", "templates") for file in (ROOT / folder).rglob("*")]
    helpers = [file for file in (ROOT / "tests").rglob("*.py") if not file.name.startswith("test_")]
    parts = [sys.version, platform.machine()]
    for file in sorted([*files, *helpers, ROOT / "requirements-dev.txt"]):
        if file.is_file() and "__pycache__" not in file.parts:
            parts.append(f"{file.relative_to(ROOT)} {_digest(file)}")
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()


def _digest(file: Path) -> str:
    return hashlib.sha256(file.read_bytes()).hexdigest()
