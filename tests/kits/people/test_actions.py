"""Accounts and roles."""

import pytest
from django.contrib.auth.models import Group, User
from django.core.exceptions import PermissionDenied, ValidationError

from kits.people.actions import (
    DEMONSTRATION_PASSWORD,
    make_demonstration_users,
    make_roles,
    make_user,
)
from vehicles.records.access import CONSOLE, ROLES, roles_of

pytestmark = pytest.mark.django_db


def test_an_account_gets_the_role_and_the_password():
    user = make_user(actor=CONSOLE, name="Ines", password="a long kettle", role="installer")
    assert roles_of(user) == {"installer"}
    assert user.check_password("a long kettle")
    assert not user.is_superuser and not user.is_staff


def test_only_a_manager_makes_accounts(installer, owner, manager):
    for actor in (installer, owner):
        with pytest.raises(PermissionDenied):
            make_user(actor=actor, name="Ines", password="x", role="manager")
    assert not User.objects.filter(username="Ines").exists()
    make_user(actor=manager, name="Ines", password="x", role="manager")


def test_a_name_is_taken_whatever_its_capitals(manager):
    with pytest.raises(ValidationError, match="already an account"):
        make_user(actor=CONSOLE, name="Manager", password="x", role="manager")


def test_an_unknown_role_is_refused():
    with pytest.raises(ValidationError, match="no role “boss”"):
        make_user(actor=CONSOLE, name="Ines", password="x", role="boss")


def test_roles_are_made_once():
    make_roles()
    make_roles()
    assert set(Group.objects.values_list("name", flat=True)) == set(ROLES)


def test_demonstration_accounts_are_made_once_and_a_changed_password_stays():
    assert [user.username for user in make_demonstration_users(actor=CONSOLE)] == list(ROLES)
    owner = User.objects.get(username="owner")
    assert owner.check_password(DEMONSTRATION_PASSWORD)
    owner.set_password("another kettle")
    owner.save()
    assert make_demonstration_users(actor=CONSOLE) == []
    owner.refresh_from_db()
    assert owner.check_password("another kettle")


def test_there_are_no_demonstration_accounts_in_production(settings):
    settings.PRODUCTION = True
    with pytest.raises(PermissionDenied):
        make_demonstration_users(actor=CONSOLE)
    assert User.objects.count() == 0
