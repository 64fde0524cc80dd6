"""What takes long to make and is only read, made once and kept in a file for every process and every run.

The file's name bears a hash over all that it could have been made from: code, data and workbooks of both apps, the
locked packages, and the module that makes it with what that imports of the tests. So whatever changes, it is made anew.
A test of the demonstration's world makes that afresh in every run and holds it against the kept one.
"""

import ast
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
    helpers = _with_imports(Path(maker), set())
    return hashlib.sha256(
        "\n".join([_apps(), *(_told(file) for file in sorted(helpers))]).encode()
    ).hexdigest()[:24]


def _with_imports(file: Path, seen: set[Path]) -> set[Path]:
    """The file, and every module of the tests that it imports, and they in turn."""
    seen.add(file)
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        names = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            names = [node.module, *(f"{node.module}.{alias.name}" for alias in node.names)]
        for name in names:
            module = (ROOT / name.replace(".", "/")).with_suffix(".py")
            if name.startswith("tests.") and module.exists() and module not in seen:
                _with_imports(module, seen)
    return seen


@cache
def _apps() -> str:
    """What both apps and the packages contribute; no page or paper is kept, so neither styles nor templates count."""
    files = [file for folder in ("kits", "vehicles") for file in (ROOT / folder).rglob("*")]
    made_of = [file for file in files if file.is_file() and not {"__pycache__", "static"} & {*file.parts}]
    told = [_told(file) for file in sorted([*made_of, ROOT / "requirements-dev.txt"])]
    return "\n".join([sys.version, platform.machine(), *told])


def _told(file: Path) -> str:
    return f"{file.relative_to(ROOT)} {hashlib.sha256(file.read_bytes()).hexdigest()}"
