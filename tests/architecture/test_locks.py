"""What is installed is named by version and sum, and is what pyproject.toml asks for."""

import re
import tomllib

from tests.architecture.tree import ROOT

LINE = re.compile(r"^([A-Za-z0-9._-]+)(?:\[[\w,-]+\])?==([\w.!+-]+)(?: ; [^\\]+?)? \\$", re.MULTILINE)


def plain(name: str) -> str:
    """One spelling of a package's name."""
    return re.sub(r"[-_.]+", "-", name).lower()


def locked(text: str) -> dict[str, str]:
    """The packages of a lock with their versions."""
    return {plain(name): version for name, version in LINE.findall(text)}


def faults(text: str) -> list[str]:
    """The lines of a lock that name no version or have no sum."""
    entries = re.split(r"\n(?=\S)", text.rstrip())
    named = [entry for entry in entries if not entry.startswith("#")]
    return [
        e.splitlines()[0] for e in named if not LINE.match(e.splitlines()[0]) or "--hash=sha256:" not in e
    ]


def asked(group: str) -> set[str]:
    """What pyproject.toml asks for."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    wanted = project["dependencies"] if group == "run" else project["optional-dependencies"][group]
    return {plain(re.split(r"[\[<>=; ]", line)[0]) for line in wanted}


def read(name: str) -> str:
    """A lock's text."""
    return (ROOT / name).read_text(encoding="utf-8")


def test_every_package_is_named_by_version_and_sum():
    assert {name: faults(read(name)) for name in ("requirements.txt", "requirements-dev.txt")} == {
        "requirements.txt": [], "requirements-dev.txt": [],
    }  # fmt: skip


def test_what_is_asked_for_is_locked_in_the_same_version_for_running_and_for_developing():
    run, dev = locked(read("requirements.txt")), locked(read("requirements-dev.txt"))
    assert len(run) > 40
    assert asked("run") - set(run) == set()
    assert asked("dev") - set(dev) == set()
    assert {name: version for name, version in run.items() if dev.get(name) != version} == {}


def test_what_only_developers_need_is_not_installed_where_it_runs():
    tools = asked("dev") - {"fluids"}
    assert tools & set(locked(read("requirements.txt"))) == set()


def test_it_is_installed_with_its_sums_only():
    assert "install --no-deps --require-hashes" in (ROOT / "Makefile").read_text(encoding="utf-8")
    assert "--extra-index-url" not in read("requirements.txt") + read("pyproject.toml")


def test_what_is_not_pinned_is_caught():
    good = "a==1.0 \\\n    --hash=sha256:00\n"
    assert faults(good) == [] and locked(good) == {"a": "1.0"}
    assert faults("a>=1.0 \\\n    --hash=sha256:00\n") == ["a>=1.0 \\"]
    assert faults("a==1.0\nb==2 \\\n    --hash=sha256:00\n") == ["a==1.0"]
