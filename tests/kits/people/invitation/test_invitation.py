"""The link by which somebody chooses his password."""

from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.utils import timezone

from kits.people.actions import make_link, person_leaves
from kits.people.invitation import queries
from kits.people.invitation.actions import choose_password
from kits.people.invitation.queries import link_of, token_of
from kits.people.models import Person
from kits.people.signing.models import SignInRecord
from kits.people.signing.queries import locks
from tests.kits.people.cast import NOW, invited
from vehicles.records.access import CONSOLE
from vehicles.records.asked import Sent

pytestmark = pytest.mark.django_db
PASSWORD = "a kettle on the slate coast"
ENDED = "This link does not work"


@pytest.fixture
def person():
    """Somebody who was invited just now."""
    return invited("anna.berg", name="Coast Walker", now=timezone.now())


def address(person):
    """The page of his link."""
    return f"/invitation/{token_of(Person.objects.get(pk=person.pk))}/"


def chosen(client, where, first=PASSWORD, second=None):
    """Send the form."""
    return client.post(where, {"new_password1": first, "new_password2": first if second is None else second})


def test_a_link_sets_a_password_once(client, person):
    where = address(person)
    assert "anna" in client.get(where).content.decode()
    answer = chosen(client, where)
    assert (answer.status_code, answer["Location"]) == (302, "/sign-in/")
    assert "Sign in as “anna.berg”" in client.get("/sign-in/").content.decode()
    assert Client().login(username="anna.berg", password=PASSWORD)
    for again in (client.get(where), chosen(client, where, "another kettle on the coast")):
        assert (again.status_code, ENDED in again.content.decode()) == (404, True)
    assert User.objects.get(username="anna.berg").check_password(PASSWORD)
    last = Person.objects.get(pk=person.pk).changes.last()
    assert (last.act.person.username, last.fields["link_made_at"][1]) == ("anna.berg", None)


def test_no_cache_keeps_the_page_and_no_request_tells_its_address(client, person):
    for where in (address(person), "/invitation/x/"):
        answer = client.get(where)
        assert (answer["Cache-Control"], answer["Referrer-Policy"]) == ("no-store", "strict-origin")


def test_whatever_is_wrong_with_a_link_the_answer_is_the_same(client, person):
    token = token_of(person)
    number, signature = token.split("-")
    wrong = (
        f"{number}-{'0' * 64}", f"{int(number) + 1}-{signature}", token[:-1], f"{token}0", "x", "-", "1",
        "9" * 40 + "-x", f"0{token}", "1-\u00e9", f"{number}-",
    )  # fmt: skip
    bodies = {client.get(f"/invitation/{one}/").content for one in wrong}
    assert len({body.partition(b"request <span")[0] for body in bodies}) == 1
    assert all("anna" not in body.decode() and ENDED in body.decode() for body in bodies)


@pytest.mark.parametrize(
    ("after", "works"), [(timedelta(days=3, seconds=-1), True), (timedelta(days=3), False)]
)
def test_a_link_ends_after_three_days(person, after, works):
    at = person.link_made_at + after
    token = token_of(person)
    assert bool(queries.invited(token, at)) is works
    assert bool(link_of(person, at)) is works
    assert bool(choose_password(token=token, password=PASSWORD, now=at, address="")) is works


def test_the_next_link_ends_the_one_before(client, person):
    old = address(person)
    later = timezone.now()
    make_link(actor=CONSOLE, person_id=person.pk, reason="", sent=Sent(), expected_version=1, now=later)
    assert client.get(old).status_code == 404
    assert client.get(address(person)).status_code == 200


def test_signing_in_with_the_old_password_does_not_end_a_link(client, person):
    person.user.set_password("the old kettle")
    person.user.save()
    where = address(person)
    signed_in = Client().post("/sign-in/", {"username": "anna.berg", "password": "the old kettle"})
    assert signed_in.status_code == 302
    assert User.objects.get(username="anna.berg").last_login is not None
    assert chosen(client, where).status_code == 302
    assert User.objects.get(username="anna.berg").check_password(PASSWORD)


def test_a_password_chosen_by_a_link_is_recorded_and_lifts_the_locks_of_its_name_only(client, person):
    there = Client(REMOTE_ADDR="203.0.113.7")
    for name in ("anna.berg", "another"):
        for _ in range(5):
            there.post("/sign-in/", {"username": name, "password": "wrong"})
    chosen(client, address(person))
    record = SignInRecord.objects.get(event="password")
    assert (record.user, record.name, record.address) == (person.user, "anna.berg", "127.0.0.1")
    assert [lock.name for lock in locks(timezone.now())] == ["another"]
    signed_in = there.post("/sign-in/", {"username": "anna.berg", "password": PASSWORD})
    assert signed_in.status_code == 302


def test_a_link_ends_with_a_password_or_a_closed_account(client, person):
    where = address(person)
    person.user.set_password("x")
    person.user.save()
    assert client.get(where).status_code == 404
    where = address(person)
    assert client.get(where).status_code == 200
    today = timezone.localdate()
    person_leaves(
        actor=CONSOLE,
        person_id=person.pk,
        last_day=today,
        reason="",
        expected_version=1,
        now=NOW,
        today=today,
    )
    assert client.get(where).status_code == 404
    assert link_of(Person.objects.get(pk=person.pk), NOW) == ""


@pytest.mark.parametrize(
    ("first", "second", "said"),
    [
        ("", "", "Type a password"),
        ("short", None, "at least 10 characters"),
        ("password123", None, "too common"),
        ("anna.berg.1", None, "too similar to the username"),
        ("Coast Walker!", None, "too similar to the first name"),
        (PASSWORD, "another", "The two are not the same"),
        ("x" * 4097, None, "at most 4,096 characters"),
        ("a kettle\x00 on the coast", None, "Null characters are not allowed"),
    ],
)
def test_a_password_that_will_not_do_is_refused_in_a_sentence(client, person, first, second, said):
    answer = chosen(client, address(person), first, second)
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert not User.objects.get(username="anna.berg").has_usable_password()


def test_somebody_who_is_signed_in_may_open_it_too(manager_client, person):
    assert manager_client.get(address(person)).status_code == 200
