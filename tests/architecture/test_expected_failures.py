"""A test may be expected to fail only if it stands here with its reason; `.ci/run` lets no other word pass."""

import ast
import subprocess
from collections.abc import Iterator

import pytest

from tests.architecture.tree import ROOT, Module, modules

KNOWN: dict[str, str] = {}
WORD = "x" + "fail"  # spelt so that this file is not caught itself


def marked(module: Module) -> Iterator[tuple[str, str]]:
    """The tests of a module that are expected to fail, each with the reason its mark gives."""
    for node in ast.walk(module.tree):
        if not isinstance(node, ast.FunctionDef):
            continue
        for mark in node.decorator_list:
            if isinstance(mark, ast.Call) and ast.unparse(mark.func) == f"pytest.mark.{WORD}":
                given = {
                    word.arg: ast.literal_eval(word.value) for word in mark.keywords if word.arg != "raises"
                }
                yield f"{module.path}::{node.name}", given["reason"] if given.get("strict") else "not strict"


def mentions(module: Module) -> int:
    """How often a module says that something is expected to fail, by whatever way."""
    names = (getattr(node, "attr", None) or getattr(node, "id", None) for node in ast.walk(module.tree))
    texts = (node.value for node in ast.walk(module.tree) if isinstance(node, ast.Constant))
    return sum(name == WORD for name in names) + sum(text == WORD for text in texts)


def test_only_what_is_known_is_expected_to_fail():
    assert dict(found for module in modules("tests") for found in marked(module)) == KNOWN


def test_nothing_is_expected_to_fail_by_another_way_than_a_mark_of_its_own():
    other = {module.path: mentions(module) - len(list(marked(module))) for module in modules("tests")}
    assert {path: count for path, count in other.items() if count} == {}


@pytest.mark.parametrize(
    "text",
    [
        f"pytestmark = pytest.mark.{WORD}(strict=True, reason='x')",
        f"def test_x():\n    pytest.{WORD}('x')",
        f"def test_x(request):\n    request.node.add_marker('{WORD}')",
        f"from pytest import {WORD}\ndef test_x():\n    {WORD}('x')",
        f"@pytest.mark.parametrize('x', [pytest.param(1, marks=pytest.mark.{WORD})])\ndef test_x(x):\n    pass",
        f"@pytest.mark.{WORD}\ndef test_x():\n    pass",
    ],
)
def test_another_way_is_caught(text):
    module = Module("tests/test_x.py", text)
    assert mentions(module) > len(list(marked(module)))


def test_a_mark_that_is_not_strict_is_caught():
    text = f"@pytest.mark.{WORD}(strict=False, reason='x')\ndef test_x():\n    pass"
    assert list(marked(Module("tests/test_x.py", text))) == [("tests/test_x.py::test_x", "not strict")]


def complete(closing: str, tmp_path) -> bool:
    """Whether `.ci/run` takes a run that closes with this line for complete."""
    script = (ROOT / ".ci/run").read_text(encoding="utf-8")
    functions = script[script.index("closing() {") : script.index("\nsay ", script.index("\nran() {"))]
    (tmp_path / "log").write_text(f"..\n===== {closing} in 1.00s =====\n")
    ran = subprocess.run(
        ["bash", "-c", f'{functions}\nran "{tmp_path}/log" it'], capture_output=True, text=True, check=False
    )
    return ran.returncode == 0


@pytest.mark.parametrize("closing", ["9 passed", "9 passed, 2 deselected", f"9 passed, 2 {WORD}ed"])
def test_a_run_without_what_is_unexpected_is_complete(closing, tmp_path):
    assert complete(closing, tmp_path)


@pytest.mark.parametrize(
    "closing",
    [
        f"2 {WORD}ed",
        "1 failed, 9 passed",
        f"1 failed, 9 passed, 2 {WORD}ed",
        "9 passed, 1 skipped",
        f"9 passed, 1 skipped, 2 {WORD}ed",
        "9 passed, 1 error",
        f"9 passed, 2 {WORD}ed, 1 error",
        "9 passed, 1 xpassed",
        "no tests ran",
    ],
)
def test_a_run_with_anything_else_is_not(closing, tmp_path):
    assert not complete(closing, tmp_path)
