"""A module of this folder run as a process of its own, since the tests' connection has a database already."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]


def printed(name: str, *said: str) -> str:
    """What it prints."""
    ran = subprocess.run(
        [sys.executable, "-m", f"tests.migrations.{name}", *said],
        cwd=ROOT, capture_output=True, text=True, timeout=300, check=False,
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr[-2000:]
    return ran.stdout
