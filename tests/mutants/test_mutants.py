"""The mutants are what they say: each fits its file as it stands today, and together they are in every room."""

import json
from collections import Counter

from tests.mutants.mutants import KINDS, ROOT, mutants, rooms

LEAST = 40


def text_of(name: str) -> str:
    """The text of a file of the checkout."""
    return (ROOT / name).read_text(encoding="utf-8")


def test_there_are_enough_and_each_has_a_name_of_its_own():
    names = Counter(mutant.name for mutant in mutants())
    assert len(names) >= LEAST
    assert [name for name, count in names.items() if count > 1] == []


def test_each_is_of_a_known_kind():
    assert [m.name for m in mutants() if m.kind not in KINDS] == []


def test_the_old_text_of_each_stands_once_in_its_file():
    counts = {m.name: text_of(m.file).count(m.old) for m in mutants()}
    assert {name: count for name, count in counts.items() if count != 1} == {}


def test_each_changes_its_file_and_leaves_it_readable():
    for mutant in mutants():
        before = text_of(mutant.file)
        after = mutant.applied(before)
        assert after != before, mutant.name
        if mutant.file.endswith(".py"):
            compile(after, mutant.file, "exec")
        if mutant.file.endswith(".json"):
            assert json.loads(after) != json.loads(before), mutant.name


def test_every_room_has_one():
    hit = {room for room in rooms() if any(m.file.startswith(f"{room}/") for m in mutants())}
    assert rooms() - hit == set()


def test_the_tests_that_are_asked_exist():
    asked = {path for mutant in mutants() for path in (*mutant.nearest, *mutant.naming)}
    assert [path for path in sorted(asked) if not (ROOT / path).exists()] == []
