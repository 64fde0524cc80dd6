"""What the tables hold to."""

from datetime import date

import pytest
from django.db import IntegrityError, transaction

from kits.people.models import RoleChange, Shop
from tests.kits.people.cast import NOW, certificate

pytestmark = pytest.mark.django_db


def refused(make):
    """Whether the database itself refuses."""
    with pytest.raises(IntegrityError), transaction.atomic():
        make()
    return True


def test_there_is_one_shop():
    Shop.objects.create(pk=1)
    assert refused(lambda: Shop.objects.create(pk=2))
    assert refused(lambda: Shop.objects.filter(pk=1).update(second_person="never"))


def test_a_certificate_may_count_on_one_day_and_not_end_before_it_begins(manager):
    day = date(2026, 1, 1)
    certificate(manager.person, valid_from=day, valid_until=day)
    assert refused(
        lambda: certificate(manager.person, number="2", valid_from=day, valid_until=date(2025, 12, 31))
    )


def test_one_that_is_renewed_keeps_its_number_and_one_that_was_withdrawn_is_recorded_again(manager):
    certificate(manager.person)
    assert refused(lambda: certificate(manager.person, number="r-1"))
    certificate(manager.person, valid_from=date(2026, 1, 1))
    certificate(manager.person, number="R-2", withdrawn_on=date(2026, 1, 1))
    certificate(manager.person, number="R-2")


def test_a_role_that_is_none_is_not_kept(manager):
    assert refused(
        lambda: RoleChange.objects.create(person=manager.person, role="boss", is_given=True, made_at=NOW)
    )
