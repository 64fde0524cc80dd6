"""Initials that nobody has yet."""

from itertools import product

import pytest

from kits.people.initials import free_initials


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
    ],
)
def test_initials_follow_the_name_and_are_nobody_elses(name, taken, expected):
    assert free_initials(name, taken) == expected


def test_a_thousand_of_one_name_have_a_thousand_initials():
    taken: set[str] = set()
    for _, _ in product(range(100), range(10)):
        taken.add(free_initials("Anna Berg", taken))
    assert len(taken) == 1000
    assert all(2 <= len(initials) <= 5 for initials in taken)
