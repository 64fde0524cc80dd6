"""Which page a list shows for what the address asks."""

import pytest

from vehicles.records.tables import page_number


@pytest.mark.parametrize(
    ("asked", "shown"),
    [
        ("", 1),
        ("1", 1),
        ("7", 7),
        ("8", 7),
        ("0", 1),
        ("-4", 1),
        ("9" * 30, 7),
        ("9" * 5000, 1),
        ("two", 1),
        ("1.5", 1),
    ],
)
def test_a_page_that_is_not_there_is_answered_by_the_nearest_and_a_sentence(asked, shown):
    number, sentence = page_number(asked, last=7)
    assert number == shown
    assert bool(sentence) == (asked not in ("", "1", "7"))
    assert len(sentence) < 120


def test_an_empty_list_has_one_page():
    assert page_number("", last=1) == (1, "")
    assert page_number("2", last=1)[0] == 1
