"""Wrong passwords: counted by name and place, with a wait that grows and that no stranger can renew."""

from contextlib import contextmanager

import pytest
from django.contrib.auth import hashers
from django.contrib.auth.models import User
from django.core.exceptions import PermissionDenied

from kits.people.signing import actions
from kits.people.signing.access import BROWSER, key_of
from kits.people.signing.models import SignInRecord, SignInTry
from tests.conftest import PASSWORD
from tests.kits.fitment.pages import main_text
from tests.kits.people.signing.people import ELSEWHERE, HOME, at, entered, is_in, tried, wrong
from vehicles.records.access import CONSOLE

pytestmark = pytest.mark.django_db


@contextmanager
def hashes(monkeypatch):
    """The passwords that are worked on."""
    seen = []
    whole = hashers.MD5PasswordHasher.encode
    monkeypatch.setattr(
        hashers.MD5PasswordHasher,
        "encode",
        lambda self, word, salt: seen.append(word) or whole(self, word, salt),
    )
    yield seen


def test_the_fifth_wrong_password_locks_the_name_from_there_for_a_minute(manager, clock):
    client = at()
    assert wrong(4, client) == [200] * 4
    answer = tried(client)
    assert answer.status_code == 429
    assert 50 <= int(answer["Retry-After"]) <= 60
    assert "closed for a minute" in main_text(answer) and "ask a manager" in main_text(answer)
    assert entered(client).status_code == 429
    clock.forward(seconds=61)
    assert entered(client).status_code == 302


def test_the_name_stays_open_from_anywhere_else(manager):
    wrong(5, at(ELSEWHERE))
    assert entered(at(HOME)).status_code == 302


def test_the_wait_grows_with_each_wrong_one_after_it(manager, clock):
    client, waits = at(), []
    wrong(4, client)
    for _ in range(8):
        waits.append(round(int(tried(client)["Retry-After"]) / 60))
        clock.forward(hours=1, seconds=1)
    assert waits == [1, 2, 4, 8, 16, 32, 60, 60]


def test_a_try_during_the_lock_is_neither_looked_at_nor_counted_nor_makes_it_longer(
    manager, clock, monkeypatch
):
    client = at()
    wrong(5, client)
    held = SignInTry.objects.get(name="manager")
    records = SignInRecord.objects.count()
    clock.forward(seconds=30)
    with hashes(monkeypatch) as seen:
        assert wrong(10, client) == [429] * 10
    assert seen == []
    now = SignInTry.objects.get(name="manager")
    assert (now.failed_count, now.locked_until, now.last_at) == (5, held.locked_until, held.last_at)
    assert SignInRecord.objects.count() == records, "a stranger could fill the database"
    clock.forward(seconds=31)
    assert tried(client).status_code == 429 and SignInTry.objects.get(name="manager").failed_count == 6


def test_a_right_password_forgets_the_wrong_ones(manager):
    client = at()
    wrong(4, client)
    entered(client)
    assert SignInTry.objects.get(name="manager").failed_count == 0
    assert wrong(4, at()) == [200] * 4


def test_wrong_ones_are_forgotten_a_day_after_the_last(manager, clock):
    wrong(4, at())
    clock.forward(hours=23)
    assert wrong(1, at()) == [429]
    clock.forward(days=1, minutes=1)
    assert wrong(4, at()) == [200] * 4


@pytest.mark.parametrize(
    "spelling", ["Manager", "MANAGER", "manager ", "  manager", "ｍａｎａｇｅｒ", "manaGer\t"]
)
def test_another_spelling_of_a_name_gets_no_more_tries(manager, spelling):
    client = at()
    wrong(4, client)
    assert tried(client, spelling).status_code == 429
    assert set(SignInTry.objects.values_list("name", flat=True)) == {"manager", ""}


@pytest.mark.parametrize("name", ["manager\x00", "m" * 151, "m" * 10_000, "", " "])
def test_what_can_be_no_name_is_not_looked_at(manager, monkeypatch, name):
    with hashes(monkeypatch) as seen:
        assert tried(at(), name, PASSWORD).status_code == 200
    assert seen == [] and not SignInTry.objects.exists() and not SignInRecord.objects.exists()


def test_a_name_of_150_signs_that_grow_when_folded_fits(db):
    assert tried(at(), "ß" * 150).status_code == 200
    assert len(key_of("ß" * 150)) == 150


def test_a_name_that_looks_alike_is_another_name(manager):
    client = at()
    wrong(5, client, "mаnager")  # with a letter of another alphabet: it is nobody's, and never gets in
    assert entered(client).status_code == 302


def test_a_name_that_nobody_has_is_answered_alike_and_costs_as_much(manager, monkeypatch):
    with hashes(monkeypatch) as seen:
        known, unknown = tried(at(), "manager", "one"), tried(at(), "nobody", "two")
    assert seen == ["one", "two"]
    assert known.status_code == unknown.status_code == 200
    assert main_text(known) == main_text(unknown)
    assert wrong(5, at(ELSEWHERE), "nobody")[-1] == 429, "whether a name is locked tells nothing either"


def test_an_address_that_tries_many_names_is_slowed_for_all_of_them(manager, owner):
    client = at()
    assert [tried(client, f"name {number}").status_code for number in range(19)] == [200] * 19
    answer = tried(client, "name 19")
    assert answer.status_code == 429 and "from your address" in main_text(answer)
    assert entered(at(), "owner").status_code == 429
    assert entered(at(ELSEWHERE), "owner").status_code == 302


def test_an_address_that_waits_leaves_no_row_for_another_name(manager):
    client = at()
    for number in range(20):
        tried(client, f"name {number}")
    tries, records = SignInTry.objects.count(), SignInRecord.objects.count()
    assert [tried(client, f"another {number}").status_code for number in range(5)] == [429] * 5
    assert (SignInTry.objects.count(), SignInRecord.objects.count()) == (tries, records)


def test_right_ones_do_not_count_for_the_address_and_wrong_ones_are_not_forgotten_by_them(manager, owner):
    client = at()
    for number in range(19):
        tried(client, f"name {number}")
    for _ in range(5):
        assert entered(at(), "owner").status_code == 302
    assert SignInTry.objects.get(name="").failed_count == 19
    assert tried(client, "name 19").status_code == 429


def test_slips_of_people_who_then_get_in_never_slow_their_address(manager, owner):
    for _ in range(8):
        wrong(3, at())
        assert entered(at()).status_code == 302
    assert SignInTry.objects.get(name="").failed_count == 0


def test_a_lifted_lock_that_had_lapsed_counts_no_more(manager, clock, command):
    for number in range(20):
        tried(at(), f"name {number}")
    clock.forward(minutes=2)
    assert command("lift_lock", "--all") == "No such lock holds now.\n"
    assert wrong(4, at()) == [200] * 4


def test_nobody_keeps_a_person_out_of_the_browser_he_works_with(manager, clock):
    own = at()
    entered(own)
    own.post("/sign-out/")
    for number in range(25):
        tried(at(), f"name {number}")
    wrong(6, at())
    assert entered(at()).status_code == 429
    assert entered(own).status_code == 302


def test_a_known_browser_has_no_endless_tries_either_and_knows_one_name_only(manager, owner):
    own = at()
    entered(own)
    own.post("/sign-out/")
    assert wrong(5, own) == [200] * 4 + [429]
    assert wrong(5, own, "owner") == [200] * 4 + [429]
    places = dict(SignInTry.objects.filter(failed_count=5).values_list("name", "place"))
    assert places["manager"].startswith("browser ") and places["owner"] == HOME


def test_a_browser_that_says_itself_that_it_is_known_is_not(manager):
    client = at()
    client.cookies[BROWSER] = '{"id": "x", "names": ["manager"]}'
    tried(client)
    assert SignInTry.objects.get(name="manager").place == HOME


def test_the_proxy_reports_the_address_and_others_are_not_believed(manager, settings):
    settings.TRUST_PROXY = True
    proxy = at("10.0.0.2")
    for number in range(5):
        forged = f"192.0.2.{number}, 2001:db8::{number}"
        proxy.post(
            "/sign-in/", {"username": "manager", "password": "wrong"}, headers={"X-Forwarded-For": forged}
        )
    assert SignInTry.objects.get(name="manager").place == "2001:db8::/64"
    assert SignInTry.objects.get(name="manager").failed_count == 5


def test_a_manager_lifts_a_lock_on_the_page(manager_client, installer):
    client = at(ELSEWHERE)
    wrong(5, client, "installer")
    page = main_text(manager_client.get("/sign-ins/"))
    assert "installer" in page and ELSEWHERE in page
    lock = SignInTry.objects.get(name="installer")
    assert manager_client.post(f"/sign-ins/locks/{lock.pk}/lift/").status_code == 302
    assert entered(client, "installer").status_code == 302
    lifted = SignInRecord.objects.get(event="lifted")
    assert (lifted.user, lifted.by.username, lifted.address) == (installer, "manager", "127.0.0.1")


def test_only_a_manager_lifts_a_lock(owner, installer):
    wrong(5, at())
    for person in (owner, installer):
        with pytest.raises(PermissionDenied):
            actions.lift_lock(actor=person, lock=SignInTry.objects.get(name="manager"))
    assert SignInTry.objects.get(name="manager").failed_count == 5


def test_the_console_lifts_the_locks_of_a_name_or_all(manager, command):
    wrong(5, at())
    wrong(5, at(ELSEWHERE))
    assert command("lift_lock", "Manager") == "2 locks lifted.\n"
    assert entered(at()).status_code == 302
    assert command("lift_lock", "manager") == "No such lock holds now.\n"
    for number in range(20):
        tried(at("192.0.2.1"), f"name {number}")
    assert command("lift_lock", "--all") == "1 lock lifted.\n"
    assert entered(at("192.0.2.1")).status_code == 302


def test_the_password_that_is_asked_for_again_counts_as_well(manager):
    client = at()
    entered(client)
    answers = [client.post("/account/second-step/", {"password": "guess"}) for _ in range(6)]
    assert "Wrong too often" in main_text(answers[-1])
    assert "Wrong too often" in main_text(client.post("/account/second-step/", {"password": PASSWORD}))
    assert is_in(client)


def test_a_closed_account_is_refused_like_a_wrong_password(manager):
    User.objects.filter(pk=manager.pk).update(is_active=False)
    assert main_text(entered(at())) == main_text(tried(at(), "nobody"))


def test_the_console_is_told_apart_from_a_person(manager, command):
    wrong(5, at())
    assert actions.lift_locks(actor=CONSOLE, name="manager") == 1
    assert SignInRecord.objects.get(event="lifted").by is None
