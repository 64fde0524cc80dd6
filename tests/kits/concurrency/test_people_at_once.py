"""Managers who change each other at the same time: one manager who can sign in is always left."""

from functools import partial

import pytest
from django.contrib.auth.models import Group, User
from django.core.exceptions import ValidationError
from django.utils import timezone

from kits.people.actions import give_roles, invite_person, person_leaves
from kits.people.models import Person
from kits.people.queries import managers_who_can_sign_in
from tests.keys import a_key
from tests.kits.concurrency.acts import one_of_each
from vehicles.records.access import CONSOLE, MANAGER
from vehicles.records.actions import Stale
from vehicles.records.asked import Sent

NOW = timezone.now()
TAKEN = r'^INSERT INTO "kits_rolechange"'


@pytest.fixture
def two_managers(one, other):
    """Two who can sign in, with their entries; accounts are not among what is put back before a test."""
    User.objects.exclude(pk__in=(one.pk, other.pk)).delete()
    for user, initials in ((one, "ON"), (other, "OT")):
        user.is_active = True
        user.set_password("a kettle on the slate coast")
        user.save()
        user.groups.set([Group.objects.get(name=MANAGER)])
        Person.objects.create(user=user, initials=initials)
    yield one, other
    for user in (one, other):
        user.is_active = True
        user.save()
        user.groups.set([Group.objects.get(name=MANAGER)])


def demoted(actor, whom):
    """Take the role of a manager."""
    return partial(
        give_roles,
        actor=actor,
        person_id=whom.person.pk,
        roles=["owner"],
        reason="",
        expected_version=1,
        now=NOW,
    )


def gone(actor, whom):
    """Close an account."""
    today = timezone.localdate()
    return partial(
        person_leaves, actor=actor, person_id=whom.person.pk, last_day=today, reason="", expected_version=1,
        now=NOW, today=today,
    )  # fmt: skip


@pytest.mark.parametrize("first", [demoted, gone])
@pytest.mark.parametrize("second", [demoted, gone])
def test_two_managers_who_take_each_others_place_leave_one(together, two_managers, first, second):
    one, other = two_managers
    told = together(first(one, other), second(other, one), after=TAKEN)
    _, refused = one_of_each(told, [Person, ValidationError])
    assert "is the last manager who can sign in" in str(refused)
    assert managers_who_can_sign_in().count() == 1


def test_of_two_who_change_one_person_the_second_is_stale(together, two_managers):
    one, other = two_managers
    told = together(demoted(one, other), demoted(CONSOLE, other), after=TAKEN)
    one_of_each(told, [Person, Stale])
    assert managers_who_can_sign_in().count() == 1


def test_two_who_invite_somebody_of_one_name_make_one_account(together, two_managers):
    def invite(actor, account):
        return partial(
            invite_person, actor=actor, account=account, name="Anna Berg", initials="", roles=["installer"],
            firm="Coast Garage", reason="", sent=Sent(a_key(account), "d"), now=NOW,
        )  # fmt: skip

    one, other = two_managers
    told = together(invite(one, "anna"), invite(other, "ANNA"), after=TAKEN)
    _, refused = one_of_each(told, [Person, ValidationError])
    assert "already an account" in str(refused)
    assert User.objects.filter(username__iexact="anna").count() == 1
