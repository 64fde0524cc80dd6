"""Accounts and roles."""

from datetime import date, timedelta
from functools import partial

import pytest
from django.contrib.auth.models import AnonymousUser, Group, User
from django.core.exceptions import PermissionDenied, ValidationError
from django.utils import timezone

from kits.people import actions
from kits.people.actions import (
    DEMONSTRATION_PASSWORD,
    change_person,
    give_roles,
    invite_person,
    make_demonstration_users,
    make_link,
    make_roles,
    make_user,
    person_comes_back,
    person_leaves,
)
from kits.people.models import Certificate, Firm, Person, RoleChange
from tests.conftest import unsaved
from tests.keys import a_key
from tests.kits.people.cast import NOW, certificate, invited
from vehicles.records.access import CONSOLE, ROLES, roles_of
from vehicles.records.actions import Reused, Stale
from vehicles.records.asked import Sent

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


def test_an_account_has_its_person_with_initials_and_its_role_on_record():
    person = make_user(actor=CONSOLE, name="ines", password="x", role="owner", called="Ines Kolb").person
    assert (f"{person}", person.initials) == ("Ines Kolb", "IK")
    assert make_user(actor=CONSOLE, name="ida.kolb", password="x", role="owner").person.initials == "ID"
    (given,) = person.role_changes.all()
    assert (given.role, given.is_given, given.made_by) == ("owner", True, None)


def test_the_demonstration_has_an_invented_certificate():
    make_demonstration_users(actor=CONSOLE)
    (row,) = Certificate.objects.all()
    assert (row.person.user.username, row.kind, row.valid_until) == (
        "installer",
        "refrigerant",
        date(2027, 5, 31),
    )
    assert "demonstration" in row.issued_by
    assert {f"{person}" for person in Person.objects.all()} == set(actions.DEMONSTRATION_NAMES.values())


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


# Inviting


def invite(actor=CONSOLE, sent=None, **values):
    """Invite somebody."""
    given = {
        "account": "anna",
        "name": "Anna Berg",
        "initials": "",
        "roles": ["installer"],
        "firm": "",
        "reason": "",
    }
    return invite_person(actor=actor, sent=sent or Sent(), now=NOW, **given | values)


def test_somebody_who_is_invited_has_roles_and_no_password(manager):
    person = invite(manager, roles=["installer", "production"], reason="new bench")
    assert roles_of(person.user) == {"installer", "production"}
    assert not person.user.has_usable_password() and person.user.is_active
    assert (person.initials, person.link_made_at) == ("AB", NOW)
    assert {(row.role, row.made_by, row.reason) for row in RoleChange.objects.all()} == {
        ("installer", manager, "new bench"), ("production", manager, "new bench"),
    }  # fmt: skip
    (entry,) = person.changes.all()
    assert (entry.act.person, entry.act.reason, entry.is_new) == (manager, "new bench", True)


def test_an_invitation_that_is_sent_twice_is_one(manager):
    sent = Sent(a_key("key"), "digest")
    assert invite(manager, sent).pk == invite(manager, sent).pk
    assert User.objects.filter(username="anna").count() == 1
    with pytest.raises(Reused):
        invite(manager, Sent(a_key("key"), "other"), account="berta")


@pytest.mark.parametrize("account", ["anna", "ANNA", "ａnna", " anna "])
def test_a_name_that_looks_like_another_is_refused(account):
    invite()
    with pytest.raises(ValidationError, match="already an account called") as refused:
        invite(account=account)
    assert set(refused.value.message_dict) == {"account"}


@pytest.mark.parametrize(
    "account", ["", "two words", "<b>", "a\x00", "a" * 41, "a/b", "a\u200bb", "\u3164", "a\u1160", "..."]
)
def test_a_name_that_can_not_be_signed_in_with_is_refused(account):
    with pytest.raises(ValidationError) as refused:
        invite(account=account)
    assert set(refused.value.message_dict) == {"account"}
    assert not User.objects.exists()


def test_initials_are_never_given_twice_not_even_those_that_were_changed():
    person = invite()
    with pytest.raises(ValidationError, match="AB are or were somebody else’s initials. ABE are free"):
        invite(account="other", initials="ab")
    person.initials = "ZZ"
    person.save()
    with pytest.raises(ValidationError, match="are or were"):
        invite(account="other", initials="AB")
    assert invite(account="other", initials="ax").initials == "AX"
    assert invite(account="third").initials == "ABE"


@pytest.mark.parametrize("typed", ["a", "ßßß", "a1", "ßabcd"])
def test_initials_that_are_not_two_to_five_letters_in_capitals_are_refused(typed):
    with pytest.raises(ValidationError, match="two to five letters"):
        invite(account="other", initials=typed)


def test_initials_that_grow_in_capitals_are_kept_as_they_then_are():
    assert invite(account="other", initials="ß").initials == "SS"


def test_a_firm_is_made_once_whatever_its_capitals_and_has_installers_only():
    assert invite(firm="Coast Garage").firm == invite(account="berta", firm="COAST garage").firm
    assert Firm.objects.count() == 1
    with pytest.raises(ValidationError, match="installers and nothing else"):
        invite(account="carl", firm="Coast Garage", roles=["installer", "manager"])


@pytest.mark.parametrize("roles", [[], ["boss"], ["installer", "boss"]])
def test_a_role_that_is_none_or_no_role_at_all_is_refused(roles, manager):
    for act in (partial(invite, roles=roles), partial(given, manager.person, roles)):
        with pytest.raises(ValidationError, match=r"no role “boss”|at least one role"):
            act()


# Changing


def given(person, roles, actor=CONSOLE, version=None):
    """Give a person these roles."""
    seen = Person.objects.get(pk=person.pk).version if version is None else version
    return give_roles(
        actor=actor, person_id=person.pk, roles=roles, reason="", expected_version=seen, now=NOW
    )


def left(person, actor=CONSOLE, last_day=None):
    """Let somebody leave."""
    today = timezone.localdate()
    return person_leaves(
        actor=actor, person_id=person.pk, last_day=last_day or today, reason="moved",
        expected_version=Person.objects.get(pk=person.pk).version, now=NOW, today=today,
    )  # fmt: skip


def back(person, roles=("installer",), sent=None):
    """Let somebody come back."""
    return person_comes_back(
        actor=CONSOLE, person_id=person.pk, roles=roles, reason="", sent=sent or Sent(), now=NOW,
        expected_version=Person.objects.get(pk=person.pk).version,
    )  # fmt: skip


def test_name_and_firm_are_changed_from_the_state_that_was_seen():
    person = invite()
    change = partial(change_person, actor=CONSOLE, person_id=person.pk, reason="", expected_version=1)
    changed = change(name="Anna Lund", firm="Coast Garage")
    assert (f"{changed}", f"{changed.firm}", changed.initials, changed.version) == (
        "Anna Lund",
        "Coast Garage",
        "AB",
        2,
    )
    with pytest.raises(Stale):
        change(name="Anna Sund", firm="")


def test_a_manager_can_not_be_made_a_partner(manager):
    with pytest.raises(ValidationError, match="installers and nothing else"):
        change_person(
            actor=CONSOLE,
            person_id=manager.person.pk,
            name="x",
            firm="Coast Garage",
            reason="",
            expected_version=1,
        )
    assert not Firm.objects.exists()


def test_roles_are_given_and_taken_and_each_is_on_record(manager, installer):
    given(installer.person, ["production", "owner"], manager)
    assert roles_of(User.objects.get(pk=installer.pk)) == {"production", "owner"}
    told = [(row.role, row.is_given) for row in installer.person.role_changes.all()]
    assert told == [("installer", False), ("production", True), ("owner", True)]
    with pytest.raises(Stale):
        given(installer.person, ["installer"], manager, version=1)


def test_groups_that_are_no_roles_stay(installer):
    installer.groups.add(Group.objects.create(name="darts team"))
    given(installer.person, ["production"])
    assert {group.name for group in installer.groups.all()} == {"production", "darts team"}


# The last manager


def test_the_last_manager_stays_one(manager):
    for act in (partial(given, manager.person, ["owner"]), partial(left, manager.person)):
        for actor in (CONSOLE, manager):
            with pytest.raises(ValidationError, match="manager is the last manager who can sign in"):
                act(actor=actor)
    assert roles_of(User.objects.get(pk=manager.pk)) == {"manager"}
    assert User.objects.get(pk=manager.pk).is_active and not RoleChange.objects.exists()
    given(manager.person, ["manager", "owner"])


def test_somebody_who_is_invited_is_no_manager_yet(manager):
    person = invite(roles=["manager"])
    with pytest.raises(ValidationError, match="counts once he has chosen his password"):
        left(manager.person)
    person.user.set_password("a kettle on the slate coast")
    person.user.save()
    left(manager.person)
    with pytest.raises(ValidationError, match="Anna Berg is the last manager"):
        given(person, ["owner"])


def test_a_manager_who_can_not_sign_in_may_go_though_another_is_the_last(manager):
    left(invite(roles=["manager"]))
    with pytest.raises(ValidationError, match="last manager"):
        left(manager.person)


# Leaving and coming back


def test_who_leaves_has_no_role_no_open_link_and_is_signed_out(manager, installer):
    certificate(installer.person)
    person = left(installer.person, manager)
    user = User.objects.get(pk=installer.pk)
    assert not user.is_active and roles_of(user) == frozenset()
    assert (person.left_on, person.signed_out_at, person.link_made_at) == (timezone.localdate(), NOW, None)
    assert [(row.role, row.is_given, row.reason) for row in person.role_changes.all()] == [
        ("installer", False, "moved")
    ]
    assert Certificate.objects.filter(person=person, withdrawn_on__isnull=True).count() == 1
    with pytest.raises(ValidationError, match="has left already"):
        left(installer.person)
    with pytest.raises(ValidationError, match="has left"):
        given(installer.person, ["owner"])


@pytest.mark.parametrize(("days", "said"), [(1, "still to come"), (-1, "can’t have left before")])
def test_a_last_day_to_come_or_before_the_account_was_made_is_refused(installer, days, said):
    with pytest.raises(ValidationError, match=said) as refused:
        left(installer.person, last_day=timezone.localdate() + timedelta(days=days))
    assert set(refused.value.message_dict) == {"last_day"}
    assert User.objects.get(pk=installer.pk).is_active


def test_a_last_day_that_has_been_is_taken(installer):
    installer.date_joined -= timedelta(days=9)
    installer.save()
    day = timezone.localdate() - timedelta(days=9)
    assert left(installer.person, last_day=day).left_on == day


def test_who_comes_back_has_other_roles_and_chooses_another_password(installer):
    left(installer.person)
    sent = Sent(a_key("key"), "digest")
    person = back(installer.person, ["production"], sent)
    assert (person.left_on, person.link_made_at) == (None, NOW)
    assert person.user.is_active and not person.user.has_usable_password()
    assert roles_of(person.user) == {"production"}
    with pytest.raises(ValidationError, match="has not left"):
        back(installer.person)


def test_a_new_link_leaves_the_password_alone_and_is_for_those_who_are_here(manager, installer):
    link = partial(make_link, actor=manager, person_id=installer.person.pk, reason="forgot", now=NOW)
    sent = Sent(a_key("key"), "digest")
    assert [link(sent=sent, expected_version=1).link_made_at for _ in range(2)] == [NOW, NOW]
    assert User.objects.get(pk=installer.pk).has_usable_password()
    with pytest.raises(Stale):
        link(sent=Sent(), expected_version=1)
    left(installer.person)
    with pytest.raises(ValidationError, match="has left"):
        link(sent=Sent(), expected_version=3)


# Rights


@pytest.mark.parametrize("role", ["installer", "production", "owner", "stranger"])
def test_nobody_but_a_manager_changes_anything_about_people(role):
    actor, here = unsaved(role), {"person_id": 1, "reason": "", "expected_version": 1}
    for act in (
        partial(invite, actor),
        partial(change_person, actor=actor, name="x", firm="", **here),
        partial(give_roles, actor=actor, roles=["owner"], now=NOW, **here),
        partial(
            person_leaves, actor=actor, last_day=date(2026, 1, 1), now=NOW, today=date(2026, 1, 1), **here
        ),
        partial(person_comes_back, actor=actor, roles=["owner"], sent=Sent(), now=NOW, **here),
        partial(make_link, actor=actor, sent=Sent(), now=NOW, **here),
    ):
        with pytest.raises(PermissionDenied, match="Only a manager may"):
            act()
    with pytest.raises(PermissionDenied):
        invite(AnonymousUser())


def test_nothing_of_an_invitation_that_is_refused_stays(manager):
    with pytest.raises(ValidationError):
        invite(manager, Sent(a_key("key"), "digest"), initials="MA")
    assert not User.objects.filter(username="anna").exists() and invited().pk != manager.person.pk
    assert invite(manager, Sent(a_key("key"), "digest"), account="berta", name="Berta Lund").initials == "BL"
