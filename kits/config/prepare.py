"""Look at the machine before anything is installed: Python, write permission, port, Debian's libraries.

Runs on the machine's own Python, before the environment exists, so it uses the standard library only, and
syntax that Python 3.6 reads as well: a wrong Python must get a sentence, not a traceback.
Usage: python3 -m kits.config.prepare [--port 8000]
"""

import ctypes
import ctypes.util
import importlib.util
import os
import re
import shutil
import socket
import subprocess
import sys

PROJECT = os.path.join(os.path.dirname(__file__), "..", "..", "pyproject.toml")
# Read as text: an old Python has no reader of TOML.
DECLARED = re.compile(r'^requires-python = ">=(\d+)\.(\d+),<(\d+)\.(\d+)"$', re.MULTILINE)

# Debian package -> the names its library loads under. WeasyPrint makes the PDFs with them.
LIBRARIES = (
    ("libpango-1.0-0", "libpango-1.0.so.0", "pango-1.0"),
    ("libpangoft2-1.0-0", "libpangoft2-1.0.so.0", "pangoft2-1.0"),
    ("libharfbuzz-subset0", "libharfbuzz-subset.so.0", "harfbuzz-subset"),
)
# Without this one PDFs are right but take twice as long.
OPTIONAL = ("libharfbuzz-subset0",)


def python_problem(version: "tuple[int, ...]", project: str) -> str:
    """A sentence if this Python can't run Kitwright, or "".

    Parameters: version (major, minor); project, the text of pyproject.toml, which declares the versions that can.
    """
    found = DECLARED.search(project)
    if found is None:
        return "pyproject.toml doesn't say which Python Kitwright needs."
    oldest, too_new = (int(found.group(1)), int(found.group(2))), (int(found.group(3)), int(found.group(4)))
    if oldest <= version[:2] < too_new:
        return ""
    first, last, this = ("{}.{}".format(*each) for each in (oldest, (too_new[0], too_new[1] - 1), version))
    return (
        f"Kitwright needs Python {first} to {last} and this is {this}; "
        f"name another with: make run PYTHON=python{first}"
    )


def venv_problem() -> str:
    """A sentence if this Python can't make an environment (Debian packs that apart), or ""."""
    if importlib.util.find_spec("venv") and importlib.util.find_spec("ensurepip"):
        return ""
    return "Python's venv is missing; install it with: apt-get install -y python3-venv"


def write_problem(root: str) -> str:
    """A sentence if the environment or the data folder can't be written in the checkout, or ""."""
    for name in (".venv", "var"):
        path = os.path.join(root, name)
        if os.path.exists(path) and not os.path.isdir(path):
            return f"{path} is in the way: a folder of that name is needed."
        place = path if os.path.isdir(path) else root
        if not os.access(place, os.W_OK | os.X_OK):
            return f"No permission to write in {place}; run as the owner of that folder."
    return ""


def port_problem(port: str) -> str:
    """A sentence if the site can't listen on the port of this machine, or ""."""
    if not port.isdigit() or not 0 < int(port) < 65536:
        return f"{port} is not a port; name a number from 1 to 65535: make run PORT=8001"
    probe = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        probe.bind(("127.0.0.1", int(port)))
    except PermissionError:
        return f"Port {port} may not be used by this user; name another: make run PORT=8001"
    except OSError:
        return f"Port {port} is in use by another program; name another: make run PORT=8001"
    finally:
        probe.close()
    return ""


def loads(*names: str) -> bool:
    """Whether a shared library loads under its file name or its plain name."""
    for name in names:
        try:
            ctypes.CDLL(name)
            return True
        except OSError:
            found = ctypes.util.find_library(name)
            if found:
                return True
    return False


def missing_libraries() -> "list[str]":
    """The Debian packages whose library doesn't load."""
    return [package for package, file_name, name in LIBRARIES if not loads(file_name, name)]


def apt_line(packages: "list[str]") -> str:
    """The command that installs the packages."""
    return "apt-get install -y --no-install-recommends " + " ".join(packages)


def libraries_problem(is_root: bool) -> str:
    """Install what Debian must supply when root; otherwise a sentence with the command to type, or ""."""
    missing = missing_libraries()
    if missing and is_root and shutil.which("apt-get"):
        print("Installing from Debian: " + " ".join(missing), flush=True)
        environment = dict(os.environ, DEBIAN_FRONTEND="noninteractive")
        for command in ("apt-get update -qq", apt_line(missing) + " -qq"):
            subprocess.call(command.split(), env=environment, stdout=subprocess.DEVNULL)
        missing = missing_libraries()
    if [package for package in missing if package not in OPTIONAL]:
        return "PDFs need libraries of Debian; install them with: sudo " + apt_line(missing)
    if missing:
        print("Good to have, PDFs are made twice as fast: sudo " + apt_line(missing))
    return ""


def main(arguments: "list[str]") -> int:
    """Print the first problem and return 1, or return 0."""
    with open(PROJECT, encoding="utf-8") as file:
        declared = file.read()
    port = arguments[1] if arguments[:1] == ["--port"] and len(arguments) == 2 else None
    problem = (
        python_problem(sys.version_info[:2], declared)
        or venv_problem()
        or write_problem(os.getcwd())
        or (port_problem(port) if port is not None else "")
        or libraries_problem(hasattr(os, "geteuid") and os.geteuid() == 0)
    )
    if problem:
        print(problem)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
