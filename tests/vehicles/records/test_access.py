"""Rights of actions: who has them, and that a refusal is a sentence."""

import pytest
from django.contrib.auth.models import AnonymousUser, Group
from django.core.exceptions import PermissionDenied

from vehicles.records.access import (
    CONSOLE,
    EVERY_ROLE,
    RIGHTS,
    Rights,
    may,
    require,
    roles_of,
    user_of,
)


def test_roles_are_the_groups_of_that_name(manager):
    manager.groups.add(Group.objects.create(name="darts team"))
    assert roles_of(manager) == {"manager"}


def test_a_superuser_has_no_role_by_that(stranger):
    stranger.is_superuser = True
    assert roles_of(stranger) == frozenset()


@pytest.mark.parametrize("nobody", [None, AnonymousUser()])
def test_nobody_has_no_right(nobody):
    assert not any(may(nobody, right) for right in RIGHTS)


def test_the_console_does_what_a_manager_does():
    require(CONSOLE, "import_workbook")
    assert user_of(CONSOLE) is None


def test_the_refusal_names_who_may(installer):
    with pytest.raises(PermissionDenied, match=r"^Only a manager may import workbook\.$"):
        require(installer, "import_workbook")


def test_a_right_that_is_not_in_the_table_is_a_fault(manager):
    with pytest.raises(KeyError):
        require(manager, "import_workbok")
    with pytest.raises(LookupError, match="import_workbok"):
        Rights(manager)["import_workbok"]


def test_a_right_is_for_its_roles_only(manager, owner, production, installer, stranger):
    holders = [
        who.username
        for who in (manager, owner, production, installer, stranger)
        if may(who, "export_workbook")
    ]
    assert holders == ["manager", "owner"]


def test_prices_are_for_all_but_the_installer():
    assert RIGHTS["see_prices"] == {"manager", "production", "owner"}


def test_the_owner_only_reads_has_papers_made_and_guards_his_own_account():
    held = {right for right, roles in RIGHTS.items() if "owner" in roles}
    reading = {right for right in RIGHTS if right.startswith(("see_", "export_"))}
    assert held <= reading | {"print_paper", "ask_for_work", "cancel_work", "use_second_step"}


def test_the_table_names_known_roles_only():
    assert all(roles and roles <= EVERY_ROLE for roles in RIGHTS.values())


def test_roles_cost_one_query(manager, django_assert_num_queries):
    with django_assert_num_queries(1):
        roles_of(manager)
        roles_of(manager)
