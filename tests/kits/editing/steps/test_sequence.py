"""The order of rows: what typed places mean, and the fewest numbers that say it."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kits.editing.steps.sequence import arranged, renumbered


@pytest.mark.parametrize(
    ("places", "order"),
    [
        ([1, 2, 3, 4, 5], "abcde"),
        ([1, 2, 3, 4, 2], "aebcd"),
        ([1, 4, 3, 4, 5], "acdbe"),
        ([5, 2, 3, 4, 1], "ebcda"),
        ([5, 4, 3, 2, 1], "edcba"),
        ([1, 2, 3, 1, 1], "deabc"),
    ],
)
def test_a_row_goes_to_the_place_typed(places, order):
    assert "".join(arranged("abcde", places)) == order


@given(st.integers(2, 12), st.data())
def test_one_row_typed_to_a_place_stands_there(count, data):
    keys = [f"k{i}" for i in range(count)]
    i, to = data.draw(st.integers(0, count - 1)), data.draw(st.integers(1, count))
    places = [to if j == i else j + 1 for j in range(count)]
    assert arranged(keys, places).index(keys[i]) == to - 1


@given(st.lists(st.integers(0, 60), min_size=1, max_size=14), st.randoms())
def test_the_numbers_rise_in_the_wanted_order_and_only_changes_are_told(numbers, random):
    held = {f"k{i}": number for i, number in enumerate(numbers)}
    wanted = list(held)
    random.shuffle(wanted)
    told = renumbered(wanted, held)
    now = held | told
    assert all(now[a] < now[b] for a, b in pairwise(wanted))
    assert all(now[key] != held[key] for key in told)
    assert all(0 <= number <= 32_767 for number in now.values())


def test_one_moved_row_is_one_new_number():
    held = {"a": 10, "b": 20, "c": 30, "d": 40}
    assert renumbered("dabc", held) == {"d": 5}
    assert renumbered("bcda", held) == {"a": 50}
    assert renumbered("acbd", held) == {"c": 15}


def test_where_there_is_no_room_all_are_counted_anew():
    assert renumbered("acb", {"a": 1, "b": 2, "c": 3}) == {"a": 10, "c": 20, "b": 30}
    assert renumbered("cab", {"a": 1, "b": 2, "c": 3}) == {"c": 10, "a": 20, "b": 30}


def test_rows_in_order_get_no_number():
    assert renumbered("abc", {"a": 7, "b": 8, "c": 90}) == {}
    assert renumbered("", {}) == {}


def test_more_rows_than_numbers_are_refused():
    keys = [f"k{i}" for i in range(32_768)]
    with pytest.raises(ValueError, match="only 32767 numbers"):
        renumbered(keys, dict.fromkeys(keys, 1))
