"""How long one waits and how long one stays."""

from datetime import timedelta

import pytest

from kits.people.signing.limits import (
    BENCH,
    OFFICE,
    STAYS,
    TRIES_OF_A_NAME,
    span,
    stay_of,
    wait_after,
)
from vehicles.records.access import ROLES

MINUTE = timedelta(minutes=1)


def test_the_wait_begins_with_the_fifth_wrong_one_and_doubles_up_to_an_hour():
    waits = [wait_after(count, TRIES_OF_A_NAME) for count in range(1, 14)]
    minutes = [1, 2, 4, 8, 16, 32, 60, 60, 60]
    assert waits == [None] * 4 + [MINUTE * count for count in minutes]


def test_a_million_wrong_ones_wait_no_longer_than_an_hour():
    assert wait_after(1_000_000, TRIES_OF_A_NAME) == timedelta(hours=1)


def test_each_role_has_its_time():
    assert set(STAYS) == set(ROLES)


@pytest.mark.parametrize(
    ("roles", "stay"),
    [
        (("manager",), OFFICE),
        (("owner",), OFFICE),
        (("production",), BENCH),
        (("installer",), BENCH),
        (("installer", "production"), BENCH),
        (("installer", "manager"), OFFICE),
        ((), OFFICE),
    ],
)
def test_who_has_two_roles_stays_the_shorter_time(roles, stay):
    assert stay_of(roles) == stay


@pytest.mark.parametrize(
    ("time", "words"),
    [
        (timedelta(seconds=1), "a minute"),
        (timedelta(seconds=60), "a minute"),
        (timedelta(seconds=61), "2 minutes"),
        (timedelta(minutes=60), "60 minutes"),
        (timedelta(hours=12), "12 hours"),
        (timedelta(days=7), "7 days"),
    ],
)
def test_a_time_is_told_in_words_and_never_too_short(time, words):
    assert span(time) == words
