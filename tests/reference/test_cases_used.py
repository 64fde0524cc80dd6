"""Every case of this folder is used by a test or listed with the reason why not; nothing is listed without need.

What a test uses is read from its text: it names the case, or the beginning that a family of cases shares, or it
takes a file of cases whole.
"""

import ast
import json
from functools import cache
from pathlib import Path

from tests.reference import FOLDER

TESTS = FOLDER.parent
OTHER_FILES = {"plant_ranges.json", "asvs_5.json"}
"""Not cases: the ranges that random plants are drawn from, and what security asks for."""
LEAST_REASON = 30


@cache
def cases() -> dict[str, dict[str, dict]]:
    """File of cases -> id -> case."""
    files = [p for p in FOLDER.glob("*.json") if p.name not in OTHER_FILES and "not_used" not in p.name]
    return {path.name: {c["id"]: c for c in json.loads(path.read_text(encoding="utf-8"))} for path in files}


@cache
def not_used() -> list[dict]:
    """The rows of all lists of what is not used."""
    return [row for p in FOLDER.glob("not_used*.json") for row in json.loads(p.read_text(encoding="utf-8"))]


def used_in(text: str, files: dict[str, dict[str, dict]]) -> set[str]:
    """The ids of the cases that a test module uses."""
    tree = ast.parse(text)
    words = {n.value for n in ast.walk(tree) if isinstance(n, ast.Constant) and isinstance(n.value, str)}
    families = {w for w in words if w.endswith("-")} | _beginnings(tree)
    found = set()
    for file in words & files.keys():
        whole = _takes_whole(tree, file)
        found |= {i for i in files[file] if whole or i in words or any(i.startswith(f) for f in families)}
    return found


def _beginnings(tree: ast.AST) -> set[str]:
    """What ids are asked to start with."""
    calls = (n for n in ast.walk(tree) if isinstance(n, ast.Call) and isinstance(n.func, ast.Attribute))
    asked = (a for n in calls if n.func.attr == "startswith" for a in n.args)  # type: ignore[attr-defined]
    return {a.value for a in asked if isinstance(a, ast.Constant) and isinstance(a.value, str)}


def _takes_whole(tree: ast.AST, file: str) -> bool:
    """Whether all cases of a file are taken: load(file) that no comprehension chooses from."""
    choosing = {
        id(part.iter)
        for n in ast.walk(tree)
        if isinstance(n, ast.ListComp | ast.GeneratorExp | ast.DictComp)
        for part in n.generators
        if part.ifs
    }
    return any(
        isinstance(n, ast.Call)
        and isinstance(n.func, ast.Name)
        and n.func.id == "load"
        and isinstance(n.args[0], ast.Constant)
        and n.args[0].value == file
        and id(n) not in choosing
        for n in ast.walk(tree)
    )


@cache
def used() -> frozenset[str]:
    """The ids that any test uses."""
    texts = (p.read_text(encoding="utf-8") for p in TESTS.rglob("*.py") if p != Path(__file__))
    return frozenset(i for text in texts for i in used_in(text, cases()))


def test_every_case_is_used_or_listed_with_the_reason_why_not():
    listed = {row["id"] for row in not_used()}
    ids = {i for of_file in cases().values() for i in of_file}
    assert len(ids) > 180
    assert sorted(ids - used() - listed) == []


def test_what_is_listed_exists_has_a_reason_and_is_listed_once():
    by_id = {i: c for of_file in cases().values() for i, c in of_file.items()}
    ids = [row["id"] for row in not_used()]
    assert sorted({i for i in ids if ids.count(i) > 1}) == []
    for row in not_used():
        assert set(row) <= {"id", "outputs", "reason"}
        if "outputs" in row:
            assert set(row["outputs"]) <= set(by_id[row["id"]]["outputs"]), row["id"]
        else:
            assert row["id"] in by_id
        assert len(row["reason"]) > LEAST_REASON or row["reason"].startswith("As for "), row["id"]


def test_every_case_says_its_source_tolerance_and_basis():
    for file, of_file in cases().items():
        for i, c in of_file.items():
            assert c["source"].strip(), (file, i)
            assert {"rel", "abs"} & set(c["tolerance"]), (file, i)
            assert c["basis"] in ("published", "computed", "memory"), (file, i)


def test_a_case_that_nothing_uses_is_seen():
    files = {"a.json": {"one-1": {}, "one-2": {}, "two": {}}}
    assert used_in("case('a.json', 'two')", files) == {"two"}
    assert used_in("[c for c in load('a.json') if c['id'].startswith('one')]", files) == {"one-1", "one-2"}
    assert used_in("case('a.json', f'one-{n}')", files) == {"one-1", "one-2"}
    assert used_in("ALL = load('a.json')", files) == {"one-1", "one-2", "two"}
    assert used_in("load('b.json'); 'two'", files) == set()
