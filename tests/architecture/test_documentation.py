"""What can be typed is written down: each make target, management command and setting."""

import re

import pytest

from kits.config.env import VARIABLES
from tests.architecture.tree import ROOT

DOCUMENTS = ("README.md", "DEVELOPERS.md")


def targets(makefile: str) -> list[str]:
    """The targets that are meant to be typed: those with a description."""
    return re.findall(r"^([a-z-]+):.*## ", makefile, re.MULTILINE)


def commands() -> list[str]:
    """Our management commands."""
    return sorted(path.stem for path in (ROOT / "kits/management/commands").glob("[a-z]*.py"))


def unmentioned(text: str, words: list[str]) -> list[str]:
    """The words that the text does not hold as words."""
    return [word for word in words if not re.search(rf"(?<![\w-]){re.escape(word)}(?![\w-])", text)]


@pytest.fixture(scope="module")
def documentation() -> str:
    """Both documents."""
    return "\n".join((ROOT / name).read_text(encoding="utf-8") for name in DOCUMENTS)


def test_each_make_target_is_documented(documentation):
    typed = [f"make {target}" for target in targets((ROOT / "Makefile").read_text())]
    assert unmentioned(documentation, typed) == []


def test_each_command_is_documented(documentation):
    assert unmentioned(documentation, commands()) == []


def test_each_setting_is_documented(documentation):
    assert unmentioned(documentation, sorted(VARIABLES)) == []


def test_no_target_command_or_setting_is_documented_that_does_not_exist(documentation):
    typed = set(re.findall(r"`make ([a-z-]+)", documentation))
    assert typed <= set(targets((ROOT / "Makefile").read_text()))
    assert set(re.findall(r"manage\.py ([a-z_]+)", documentation)) <= {*commands(), *DJANGO_COMMANDS}
    assert set(re.findall(r"KITWRIGHT_[A-Z_]+", documentation)) <= set(VARIABLES)


DJANGO_COMMANDS = {"migrate", "makemigrations", "collectstatic", "check", "shell", "changepassword"}


def test_what_is_missing_is_caught():
    assert unmentioned("run `make test`", ["make test", "make tes", "make run"]) == ["make tes", "make run"]
    assert targets("run: x  ## try it\nmachine:\n\ttrue\n") == ["run"]


def test_there_is_something_to_document():
    assert {"run", "test", "check"} <= set(targets((ROOT / "Makefile").read_text()))
    assert "start_demo" in commands()
