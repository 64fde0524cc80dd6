"""Initials that nobody has yet."""

from itertools import product

import pytest

from kits.people.initials import are_initials, capitals, free_initials


@pytest.mark.parametrize(
    ("name", "taken", "expected"),
    [
        ("Anna Berg", (), "AB"),
        ("Anna Berg", ("AB",), "ABE"),
        ("anna", (), "AN"),
        ("anna", ("AN",), "ANN"),
        ("Li X", ("LX",), "LXX"),
        ("o'neill-7", (), "ON"),
        ("x", (), "XX"),
        ("123", (), "XX"),
        ("Ada Bea Cora Dora", (), "ABC"),
        ("Øystein Ås", (), "ØÅ"),
        ("ßa ßb ßc ßd", (), "SSS"),
        ("ﬁ ﬂ", (), "FF"),
        ("ﬃ", (), "FF"),
        ("ŉ", (), "ʼN"),
        ("ΐ", (), "ΪX"),
    ],
)
def test_initials_follow_the_name_and_are_nobody_elses(name, taken, expected):
    assert free_initials(name, taken) == expected


@pytest.mark.parametrize(
    ("typed", "kept"),
    [("ab", "AB"), ("ß", "SS"), ("ﬁx", "FIX"), ("ａｂ", "AB"), ("øå", "ØÅ"), ("e\u0301a", "ÉA")],
)
def test_initials_are_kept_in_plain_capitals(typed, kept):
    assert capitals(typed) == kept and are_initials(kept)


@pytest.mark.parametrize("typed", ["a", "ßßß", "ﬃﬃ", "ßabcd", "a1", "a b", "a_b", "ǰa", "", "²³"])
def test_what_is_not_two_to_five_letters_in_capitals_is_none(typed):
    assert not are_initials(capitals(typed))


@pytest.mark.parametrize("name", ["ßßßßß", "ﬃ ﬃ ﬃ ﬃ", "ŉ ŉ ŉ ŉ ŉ", "ΐΐΐΐ"])
def test_letters_that_grow_in_capitals_make_no_longer_initials(name):
    taken: set[str] = set()
    for _ in range(60):
        taken.add(free_initials(name, taken))
    assert len(taken) == 60 and all(are_initials(initials) for initials in taken)


def test_a_thousand_of_one_name_have_a_thousand_initials():
    taken: set[str] = set()
    for _, _ in product(range(100), range(10)):
        taken.add(free_initials("Anna Berg", taken))
    assert len(taken) == 1000
    assert all(2 <= len(initials) <= 5 for initials in taken)
