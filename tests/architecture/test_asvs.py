"""tests/reference/asvs_5.json is complete, names tests that exist, and DEVELOPERS.md tells what it says.

The file holds the program against the levels 1 and 2 of OWASP's Application Security Verification Standard 5.0.0.
"""

import ast
import json
import re
from collections import Counter
from functools import cache
from typing import Any

from tests.architecture.tree import ROOT

# How many requirements of level 1, and how many more of level 2, each chapter of the standard has.
CHAPTERS = {
    "V1": (8, 19), "V2": (4, 7), "V3": (8, 11), "V4": (2, 8), "V5": (4, 5), "V6": (13, 22), "V7": (6, 12), "V8": (4, 3),
    "V9": (4, 3), "V10": (5, 24), "V11": (3, 11), "V12": (3, 6), "V13": (1, 12), "V14": (2, 7), "V15": (3, 10),
    "V16": (0, 16), "V17": (0, 7),
}  # fmt: skip
STATES = ("held", "partly", "open", "by the operator", "not for us")
ID = re.compile(r"v5\.0\.0-(\d+)\.\d+\.\d+")
FIELDS = {"id", "level", "chapter", "words", "state", "why", "tests", "written"}
MOST_WORDS = 120
WRITTEN = "tests/architecture/test_asvs.py::test_what_is_to_be_written_down_stands_there"

Row = dict[str, Any]


@cache
def file() -> dict[str, Any]:
    """The file."""
    found: dict[str, Any] = json.loads((ROOT / "tests/reference/asvs_5.json").read_text(encoding="utf-8"))
    return found


def rows() -> list[Row]:
    """A row for each requirement."""
    return list(file()["rows"])


@cache
def held_in(path: str) -> frozenset[str]:
    """The tests that a file holds."""
    if not (ROOT / path).is_file():
        return frozenset()
    tree = ast.parse((ROOT / path).read_text(encoding="utf-8"))
    return frozenset(
        n.name for n in tree.body if isinstance(n, ast.FunctionDef) and n.name.startswith("test_")
    )


def plain(text: str) -> str:
    """A text with one space wherever lines break."""
    return " ".join(text.split())


@cache
def document(name: str) -> str:
    """A document at the top."""
    return plain((ROOT / name).read_text(encoding="utf-8"))


def faults(row: Row) -> list[str]:
    """What is wrong with a row by itself."""
    state, chapter = row["state"], ID.fullmatch(row["id"])
    named = [
        test
        for test in row.get("tests", ())
        if test.partition("::")[2] not in held_in(test.partition("::")[0])
    ]
    checks = {
        "no such id": chapter is None or row["chapter"] != f"V{chapter[1]}",
        "a field nobody knows": not set(row) <= FIELDS,
        "no words, or too many": not 0 < len(row["words"]) <= MOST_WORDS,
        "no such state": state not in STATES,
        "held by no test": state in ("held", "partly") and not row.get("tests"),
        "does not say why": state in ("partly", "open", "not for us")
        and len(row.get("why", "")) < len("There is no …"),
        "has tests though it is open": state == "open" and "tests" in row,
        "does not say what the operator does": state == "by the operator" and not row.get("written"),
        "its words are looked for by no test": ("written" in row) != (WRITTEN in row.get("tests", ())),
        f"no such test: {named}": bool(named),
        "names a test twice": len(set(row.get("tests", ()))) != len(row.get("tests", ())),
    }
    return [what for what, is_so in checks.items() if is_so]


def counted(found: list[Row]) -> dict[str, tuple[int, int]]:
    """How many rows of each level each chapter has."""
    by = Counter((row["chapter"], row["level"]) for row in found)
    return {chapter: (by[chapter, 1], by[chapter, 2]) for chapter in CHAPTERS}


def test_every_requirement_has_one_row():
    ids = [row["id"] for row in rows()]
    assert len(set(ids)) == len(ids) == sum(map(sum, CHAPTERS.values())) == 253
    assert {row["chapter"] for row in rows()} == set(CHAPTERS)
    assert counted(rows()) == CHAPTERS
    assert {c["chapter"]: (c["level_1"], c["level_2"]) for c in file()["chapters"]} == CHAPTERS


def test_every_row_is_in_order():
    assert {row["id"]: wrong for row in rows() if (wrong := faults(row))} == {}


def test_what_is_to_be_written_down_stands_there():
    wanted = [
        (row["id"], name, words)
        for row in rows()
        for name, all_ in row.get("written", {}).items()
        for words in all_
    ]
    assert len(wanted) > 30
    assert [(i, words) for i, name, words in wanted if plain(words) not in document(name)] == []


def test_the_counts_are_those_that_are_told():
    by = Counter(row["state"] for row in rows())
    told = (
        f"Now {by['held']} are held, {by['partly']} partly, {by['open']} open, {by['by the operator']} by the operator "
        f"and {by['not for us']} not for us."
    )
    assert told in document("DEVELOPERS.md"), told


def test_the_file_says_where_the_list_is_from():
    assert (
        "5.0.0" in file()["source"] and "OWASP/ASVS" in file()["address"] and "CC BY-SA" in file()["licence"]
    )


def test_a_row_that_is_not_in_order_is_caught():
    good = {
        "id": "v5.0.0-1.2.1",
        "level": 1,
        "chapter": "V1",
        "words": "x",
        "state": "held",
        "tests": [WRITTEN],
    }
    good["written"] = {"README.md": ["Kitwright"]}
    assert faults(good) == []
    for change, what in (
        ({"id": "1.2.1"}, "no such id"),
        ({"chapter": "V2"}, "no such id"),
        ({"note": "x"}, "a field nobody knows"),
        ({"words": "x" * 121}, "no words, or too many"),
        ({"state": "fine"}, "no such state"),
        ({"state": "partly"}, "does not say why"),
        ({"tests": [WRITTEN, "tests/nowhere.py::test_x"]}, "no such test: ['tests/nowhere.py::test_x']"),
        ({"tests": [WRITTEN, "tests/architecture/test_asvs.py::test_x"]}, "no such test: "),
        ({"state": "open", "why": "Nobody has decided it."}, "has tests though it is open"),
    ):
        assert any(found.startswith(what) for found in faults({**good, **change})), change
    bare = {name: value for name, value in good.items() if name not in ("tests", "written")}
    assert faults(bare) == ["held by no test"]
    assert faults({**bare, "state": "by the operator"}) == ["does not say what the operator does"]
    assert "its words are looked for by no test" in faults({**good, "tests": ["tests/test_kept.py::test_x"]})
