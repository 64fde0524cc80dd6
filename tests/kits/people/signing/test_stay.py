"""How a session ends: unused, too old, signed out everywhere, another password."""

import pytest

from kits.people.models import Person
from kits.people.signing.middleware import SEEN
from kits.people.signing.models import SignInRecord
from tests.conftest import PASSWORD
from tests.kits.fitment.pages import main_text
from tests.kits.people.signing.people import at, entered, is_in

pytestmark = pytest.mark.django_db
NEW = "another kettle on the coast"


def told(client) -> str:
    """What the page says to who comes back."""
    return main_text(client.get("/account/", follow=True))


@pytest.mark.parametrize(
    ("who", "minutes"), [("manager", 60), ("owner", 60), ("installer", 720), ("production", 720)]
)
def test_who_does_nothing_for_his_roles_time_is_signed_out(clients, clock, who, minutes):
    client = at()
    entered(client, who)
    clock.forward(minutes=minutes - 1)
    assert is_in(client)
    clock.forward(minutes=minutes - 1)
    assert is_in(client), "each request begins the time anew"
    clock.forward(minutes=minutes + 1)
    time = "60 minutes" if minutes == 60 else "12 hours"
    assert f"You were signed out after {time} without a request." in told(client)
    assert SignInRecord.objects.get(event="idle").name == who
    assert not is_in(client)


def test_what_a_page_asks_by_itself_is_no_request_of_a_person(manager, clock):
    client = at()
    entered(client)
    for _ in range(7):
        clock.forward(minutes=10)
        polled = client.get("/works/1/?line", headers={"HX-Request": "true", "Kitwright-Polls": "yes"})
    assert polled.status_code == 286, "htmx then stops asking, and the page stays"
    assert "You are signed out" in polled.content.decode() and "/sign-in/" in polled.content.decode()
    assert not is_in(client)


def test_the_last_request_is_written_down_once_a_minute_and_never_in_the_database(manager, clock):
    client = at()
    entered(client)
    before = client.session.get("_auth_user_id"), dict(client.session)
    assert SEEN not in client.get("/account/").cookies
    clock.forward(seconds=61)
    assert SEEN in client.get("/account/").cookies
    clock.forward(seconds=59)
    assert SEEN not in client.get("/account/").cookies
    assert (client.session.get("_auth_user_id"), dict(client.session)) == before


def test_a_cookie_of_another_session_or_an_older_one_keeps_nobody_in(manager, owner, clock):
    client, other = at(), at()
    entered(client)
    entered(other, "owner")
    clock.forward(minutes=50)
    is_in(other)
    client.cookies[SEEN] = other.cookies[SEEN].value
    clock.forward(minutes=11)
    assert not is_in(client)
    old = other.cookies[SEEN].value
    clock.forward(minutes=30)
    assert is_in(other)
    other.cookies[SEEN] = old
    clock.forward(minutes=25)
    assert not is_in(other)


def test_a_spoilt_cookie_only_ends_the_session_sooner(manager, clock):
    client = at()
    entered(client)
    clock.forward(minutes=2)
    client.cookies[SEEN] = "x:y:z"
    assert is_in(client)
    client.cookies[SEEN] = "x:y:z"
    clock.forward(minutes=60)
    assert not is_in(client)


@pytest.mark.parametrize(("who", "days"), [("manager", 7), ("installer", 30)])
def test_a_session_ends_at_its_age_however_it_is_used(clients, clock, who, days):
    client = at()
    entered(client, who)
    for number in range(48 * days - 1):
        clock.forward(minutes=30)
        if who == "manager" or number % 20 == 0:
            assert is_in(client)
    assert is_in(client)
    clock.forward(minutes=31)
    assert f"as after every {days} days" in told(client)


def test_who_has_two_roles_is_signed_out_after_the_shorter_time(installer, manager, clock):
    installer.groups.add(manager.groups.get())
    client = at()
    entered(client, "installer")
    clock.forward(minutes=61)
    assert not is_in(client)


def test_signing_out_everywhere_ends_every_session_and_no_later_one(installer, clock):
    here, there = at(), at("192.0.2.1")
    entered(here, "installer")
    entered(there, "installer")
    clock.forward(seconds=5)
    assert "You are signed out everywhere." in main_text(
        here.post("/account/sign-out-everywhere/", follow=True)
    )
    assert "You were signed out everywhere at" in told(there)
    assert not is_in(here) and not is_in(there)
    assert Person.objects.get(user=installer).initials == "IN", "a person was made for the account"
    clock.forward(seconds=5)
    entered(there, "installer")
    assert is_in(there)


def test_another_password_ends_every_session_but_the_one_that_changed_it(manager, clock):
    here, there = at(), at("192.0.2.1")
    entered(here)
    entered(there)
    clock.forward(minutes=50)
    assert is_in(here)
    sent = {"old_password": PASSWORD, "new_password1": NEW, "new_password2": NEW}
    assert here.post("/account/password/", sent).status_code == 302
    assert is_in(here) and not is_in(there)
    clock.forward(minutes=50)
    assert is_in(here), "it counts as used"
    manager.refresh_from_db()
    assert manager.check_password(NEW)
    assert SignInRecord.objects.filter(event="password", user=manager).count() == 1


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"old_password": "guess"}, "not your password"),
        ({"new_password1": "short", "new_password2": "short"}, "too short"),
        ({"new_password1": "password1234", "new_password2": "password1234"}, "too common"),
        ({"new_password2": "something else"}, "didn’t match"),
    ],
)
def test_a_password_that_will_not_do_is_told_and_nothing_changes(manager, changed, sentence):
    client = at()
    entered(client)
    sent = {"old_password": PASSWORD, "new_password1": NEW, "new_password2": NEW} | changed
    answer = client.post("/account/password/", sent)
    assert answer.status_code == 422
    assert sentence in main_text(answer)
    assert NEW not in answer.content.decode()
    manager.refresh_from_db()
    assert manager.check_password(PASSWORD)


def test_who_has_no_role_has_an_account_page_too(stranger_client):
    assert stranger_client.get("/account/").status_code == 200
    assert stranger_client.get("/account/second-step/").status_code == 403
