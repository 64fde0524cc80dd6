"""A change is made to what the person saw, and counted."""

import pytest

from vehicles.catalogue.models import ModelLine
from vehicles.records.actions import Stale, take_version


def test_a_row_that_is_changed_gets_the_next_version():
    row = ModelLine(name="Slate", version=3)
    assert take_version(row, 3) is row
    assert row.version == 4


@pytest.mark.parametrize("seen", [2, 4])
def test_who_saw_another_version_is_told_both_and_the_row_keeps_its_own(seen):
    row = ModelLine(name="Slate", version=3)
    with pytest.raises(Stale, match=rf"“Slate” was changed .*version 3, you saw {seen}\b"):
        take_version(row, seen)
    assert row.version == 3


def test_two_people_cannot_both_change_what_they_saw():
    row = ModelLine(name="Slate", version=1)
    take_version(row, 1)
    with pytest.raises(Stale):
        take_version(row, 1)
