"""A part that contains itself is found with the way, at any depth and in any company."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.parts.loops import loop_through, way_in_words

PARTS = "ABCDEFG"


@pytest.mark.parametrize(
    ("content", "way"),
    [
        ({"A": "A"}, "A → A"),
        ({"A": "B", "B": "A"}, "A → B → A"),
        ({"A": "BD", "B": "CE", "C": "A", "D": "E"}, "A → B → C → A"),
        ({"A": "B", "B": "C", "C": "B"}, ""),
        ({"A": "B", "B": "CD", "C": "D"}, ""),
        ({"A": "B"}, ""),
    ],
)
def test_the_way_of_a_loop_is_told(content, way):
    assert way_in_words(loop_through("A", content["A"][0], content)) == way


@given(st.dictionaries(st.sampled_from(PARTS), st.frozensets(st.sampled_from(PARTS), min_size=1)))
def test_a_loop_is_told_where_one_can_walk_back_and_only_there(content):
    for start, children in content.items():
        for child in children:
            reached, waiting = set(), [child]
            while waiting:
                part = waiting.pop()
                if part not in reached:
                    reached.add(part)
                    waiting += content.get(part, ())
            way = loop_through(start, child, content)
            assert bool(way) == (start in reached)
            assert all(inner in content[outer] for outer, inner in pairwise(way))


def test_a_thousand_parts_in_a_row_are_walked():
    content = {f"{n}": [f"{n + 1}"] for n in range(1000)} | {"1000": ["0"]}
    assert len(loop_through("0", "1", content)) == 1002
