"""What lies where, and how large it may be."""

import re
from pathlib import Path

from tests.architecture.tree import ROOT, modules, templates

TOP = frozenset(
    "README.md DEVELOPERS.md manage.py pyproject.toml requirements.txt requirements-dev.txt Makefile "
    "kits vehicles templates tests".split()
)
# What running the site leaves behind; never committed.
LEFT_BEHIND = frozenset({"var", "__pycache__", "test-results"})
LONGEST_MODULE = 400
LONGEST_TEMPLATE = 120

# Who reads the code need not know where it was written. Spelt so that this file is not caught itself.
FORBIDDEN = [
    re.compile(pattern, re.IGNORECASE)
    for pattern in (
        r"(?<!\w)/wo[r]k/",
        r"/tmp/br[i]ef",
        r"/ro[o]t/",
        r"\bthe br[i]ef\b",
        r"\bthe s[e]ed issue\b",
        r"\biss[u]e #?\d",
    )
]
TEXT = frozenset({".py", ".html", ".css", ".js", ".md", ".toml", ".json", ".svg", ".txt", ".csv", ""})


def strangers(names: set[str]) -> set[str]:
    """Names at the top that have no place there."""
    return {name for name in names if not name.startswith(".")} - TOP - LEFT_BEHIND


def too_long(text: str, most: int) -> bool:
    """Whether a text has more lines than it may."""
    return len(text.splitlines()) > most


def forbidden(text: str) -> list[str]:
    """What should not be said in the repository."""
    return [match.group() for pattern in FORBIDDEN for match in pattern.finditer(text)]


def texts() -> list[Path]:
    """Every text file that is ours."""
    kept = [
        ROOT / name for name in sorted(TOP) if (ROOT / name).is_file() and not name.startswith("requirements")
    ]
    for folder in ("kits", "vehicles", "templates", "tests", ".ci"):
        kept += sorted(path for path in (ROOT / folder).rglob("*") if path.is_file() and path.suffix in TEXT)
    return kept


def read(path: Path) -> str:
    """The text of a file."""
    return path.read_text(encoding="utf-8")


def named(path: Path) -> str:
    """The file's path from the root."""
    return path.relative_to(ROOT).as_posix()


def test_nothing_else_lies_at_the_top():
    assert strangers({path.name for path in ROOT.iterdir()}) == set()


def test_a_stranger_at_the_top_is_caught():
    assert strangers({"kits", "scripts", "var", ".ci", "docs"}) == {"scripts", "docs"}


def test_no_module_is_longer_than_a_reader_bears():
    ours = [module for module in modules("kits", "vehicles", "tests") if not module.is_migration]
    # the direct solution stays one file, so that it can be read and trusted on its own
    whole = ("tests/reference/direct_balance.py", "tests/reference/test_direct_balance.py")
    long = [module.path for module in ours if too_long(module.text, LONGEST_MODULE)]
    assert [path for path in long if path not in whole] == []


def test_no_template_is_longer_than_a_reader_bears():
    assert [named(path) for path in templates() if too_long(read(path), LONGEST_TEMPLATE)] == []


def test_one_line_too_many_is_caught():
    assert too_long("x\n" * 401, LONGEST_MODULE)
    assert not too_long("x\n" * 400, LONGEST_MODULE)


def test_each_folder_of_tests_is_a_package():
    folders = {path.parent for path in (ROOT / "tests").rglob("*.py")}
    assert sorted(named(folder) for folder in folders if not (folder / "__init__.py").exists()) == []


def test_nothing_tells_where_it_was_written():
    assert [(named(path), words) for path in texts() if (words := forbidden(read(path)))] == []


def test_telling_where_it_was_written_is_caught():
    assert (
        forbidden("see " + "/wo" + "rk/main")
        and forbidden("as the br" + "ief asks")
        and forbidden("iss" + "ue 2")
    )
    assert not forbidden("a worker of kits/" + "wo" + "rk/, issued twice; rooted in /var")
