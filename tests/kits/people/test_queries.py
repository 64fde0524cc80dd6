"""Who works here, whose certificates count, and what was done."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from kits.people.actions import change_person, give_roles, make_user, person_leaves
from kits.people.queries import (
    certificates_in_force,
    covers,
    days_of,
    ending,
    history_of,
    is_last_manager,
    managers_who_can_sign_in,
    people,
    told_certificates,
)
from tests.conftest import make_person
from tests.kits.people.cast import NOW, TODAY, certificate, invited
from vehicles.records.access import CONSOLE

pytestmark = pytest.mark.django_db
FIRST, LAST, DAY = date(2025, 1, 1), date(2026, 12, 31), timedelta(days=1)


@pytest.mark.parametrize(
    ("on", "counts"), [(FIRST - DAY, False), (FIRST, True), (LAST, True), (LAST + DAY, False)]
)
def test_a_certificate_counts_from_its_first_to_its_last_day(manager, on, counts):
    row = certificate(manager.person, valid_from=FIRST, valid_until=LAST)
    assert certificates_in_force(manager.person, "refrigerant", on).exists() is counts
    assert days_of(row).holds(on) is counts
    assert not certificates_in_force(manager.person, "high voltage", on).exists()


@pytest.mark.parametrize(("on", "counts"), [(TODAY - DAY, True), (TODAY, False), (TODAY + DAY, False)])
def test_one_that_was_withdrawn_counts_until_the_day_before(manager, on, counts):
    row = certificate(manager.person, withdrawn_on=TODAY)
    assert certificates_in_force(manager.person, "refrigerant", on).exists() is counts
    assert days_of(row).holds(on) is counts


def test_one_without_days_counts_always_and_for_nobody_else(manager, installer):
    certificate(manager.person, valid_from=None)
    assert certificates_in_force(manager.person, "refrigerant", date(1980, 1, 1)).exists()
    assert not certificates_in_force(installer.person, "refrigerant", TODAY).exists()


def test_what_ends_within_sixty_days_or_has_ended_is_told_of_those_who_are_here(manager, installer, owner):
    certificate(manager.person, valid_until=TODAY + 60 * DAY)
    certificate(manager.person, kind="high voltage", valid_until=TODAY + 61 * DAY)
    certificate(installer.person, valid_until=TODAY - DAY)
    certificate(owner.person, valid_until=TODAY)
    owner.person.left_on = TODAY
    owner.person.save()
    found = ending(TODAY)
    assert found.people == {manager.person.pk, installer.person.pk}
    assert (found.ended_count, found.soon_count) == (1, 1)


def test_one_that_was_renewed_or_withdrawn_is_no_news(manager, installer, django_assert_num_queries):
    certificate(manager.person, valid_until=TODAY)
    certificate(manager.person, number="R-2", valid_from=TODAY + DAY)
    certificate(installer.person, valid_until=TODAY, withdrawn_on=TODAY)
    with django_assert_num_queries(1):
        assert ending(TODAY).people == frozenset()
    assert [(kind, told.state) for kind, told in covers(manager.person.certificates.all(), TODAY)] == [
        ("refrigerant", "in force")
    ]
    assert [standing for _, standing in told_certificates(installer.person, TODAY)] == ["withdrawn"]


def test_the_list_asks_the_same_number_of_queries_for_many(manager, installer, django_assert_num_queries):
    for name in ("owner", "production"):
        certificate(make_person(name).person)
        with django_assert_num_queries(3):
            assert all([*row.user.groups.all(), *row.certificates.all()] for row in people())


def test_those_who_left_stand_last(manager, installer):
    installer.person.left_on = TODAY
    installer.person.save()
    make_person("owner")
    assert [row.initials for row in people()] == ["MA", "OW", "IN"]


def test_a_manager_counts_who_can_sign_in(manager):
    assert is_last_manager(manager)
    person = invited(roles=["manager"])
    assert set(managers_who_can_sign_in()) == {manager}
    person.user.set_password("a kettle on the slate coast")
    person.user.save()
    assert set(managers_who_can_sign_in()) == {manager, person.user}
    assert not is_last_manager(manager)
    person.user.is_active = False
    person.user.save()
    assert is_last_manager(manager) and not is_last_manager(person.user)


def test_history_tells_who_did_what_and_why_the_newest_first(manager):
    person = make_user(actor=CONSOLE, name="anna", password="x", role="installer").person
    change_person(
        actor=manager, person_id=person.pk, name="Anna Berg", firm="Coast Garage", reason="hired out",
        expected_version=1,
    )  # fmt: skip
    change_person(
        actor=manager, person_id=person.pk, name="Anna Berg", firm="", reason="ours", expected_version=2
    )
    give_roles(
        actor=manager, person_id=person.pk, roles=["production"], reason="bench", expected_version=3, now=NOW
    )
    person_leaves(
        actor=manager, person_id=person.pk, last_day=timezone.localdate(), reason="moved", expected_version=4, now=NOW,
        today=timezone.localdate(),
    )  # fmt: skip
    told = {(one.by, one.what, one.reason) for one in history_of(person)}
    assert ("the console", "entered here", "account made with its password") in told
    assert ("manager", "name: none → Anna Berg; firm: our own → Coast Garage", "hired out") in told
    assert ("manager", "firm: Coast Garage → our own", "ours") in told
    assert {
        ("manager", "role installer taken", "bench"),
        ("manager", "role production given", "bench"),
    } <= told
    assert ("manager", f"left, last day {timezone.localdate()}; account closed", "moved") in told
    at = [one.at for one in history_of(person)]
    assert at == sorted(at, reverse=True)


def test_history_asks_the_same_number_of_queries_for_much(manager, django_assert_num_queries):
    for number in range(3):
        certificate(manager.person, number=f"R-{number}")
        with django_assert_num_queries(2):
            history_of(manager.person)
