"""The second step: a code after the password, each good once, and ways out when the telephone is lost."""

import re

import pytest
from django_otp.oath import TOTP
from django_otp.plugins.otp_static.models import StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice

from kits.people.signing import actions
from kits.people.signing.models import SignInRecord, SignInTry
from kits.people.signing.queries import has_second_step
from tests.conftest import PASSWORD
from tests.kits.config.access_table import TABLE
from tests.kits.config.test_access_table import asked
from tests.kits.fitment.pages import main_text
from tests.kits.people.signing.people import ELSEWHERE, at, entered, is_in

pytestmark = pytest.mark.django_db


class Telephone:
    """Shows codes of a device, at the time of the test's clock."""

    def __init__(self, device, clock, monkeypatch) -> None:
        self.device, self.clock = device, clock
        monkeypatch.setattr("django_otp.plugins.otp_totp.models.time.time", self.time)

    def time(self) -> float:
        """Seconds of the clock."""
        from django.utils import timezone

        return timezone.now().timestamp()

    def code(self) -> str:
        """What is shown now."""
        totp = TOTP(self.device.bin_key)
        totp.time = self.time()
        return f"{totp.token():06}"

    def wrong_code(self) -> str:
        """Six digits that are shown neither now, nor before, nor next."""
        totp = TOTP(self.device.bin_key)
        near = set()
        for seconds in (-60, -30, 0, 30, 60):
            totp.time = self.time() + seconds
            near.add(f"{totp.token():06}")
        return next(
            code for code in ("111111", "222222", "333333", "444444", "555555", "666666") if code not in near
        )


def turned_on(user, clock, monkeypatch) -> tuple[Telephone, list[str]]:
    """The telephone of somebody whose second step is on, and his recovery codes."""
    actions.begin_second_step(actor=user)
    telephone = Telephone(TOTPDevice.objects.get(user=user), clock, monkeypatch)
    codes = actions.confirm_second_step(actor=user, code=telephone.code(), address="x")
    clock.forward(minutes=2)
    return telephone, codes


@pytest.fixture
def with_codes(manager, clock, monkeypatch):
    """The manager's telephone and recovery codes."""
    return turned_on(manager, clock, monkeypatch)


@pytest.fixture
def telephone(with_codes):
    """The manager's telephone."""
    return with_codes[0]


def code_given(client, code):
    """Give a code."""
    return client.post("/sign-in/code/", {"one_time_code": code})


def test_the_password_alone_signs_nobody_in_and_the_code_does(telephone):
    client = at()
    assert entered(client, next="/kits/?page=2")["Location"] == "/sign-in/code/"
    assert not is_in(client)
    assert code_given(client, telephone.code())["Location"] == "/kits/?page=2"
    assert is_in(client)


def test_the_code_may_be_typed_with_spaces(telephone):
    client = at()
    entered(client)
    code = telephone.code()
    assert code_given(client, f" {code[:3]} {code[3:]} ").status_code == 302


@pytest.mark.parametrize("method", ["GET", "POST"])
def test_between_password_and_code_every_page_is_closed(telephone, method):
    client = at()
    entered(client)
    closed = [
        line for line in TABLE if "anonymous" not in ((line.get if method == "GET" else line.post) or ())
    ]
    assert len(closed) > 50
    answers = {line.route: asked(client, method, line) for line in closed}
    let_in = {
        route: answer.status_code
        for route, answer in answers.items()
        if answer.status_code != 405 and not answer.headers.get("Location", "").startswith("/sign-in/")
    }
    assert let_in == {}
    assert code_given(client, telephone.code()).status_code == 302


def test_a_code_is_good_once(telephone):
    code = telephone.code()
    first, second = at(), at()
    for client in (first, second):
        entered(client)
    assert code_given(first, code).status_code == 302
    assert "not right, or was used already" in main_text(code_given(second, code))
    assert not is_in(second)


def test_wrong_codes_count_like_wrong_passwords_and_the_password_does_not_forget_them(telephone, clock):
    client = at()
    for _ in range(2):
        entered(client)
        for _ in range(2):
            assert code_given(client, telephone.wrong_code()).status_code == 200
            clock.forward(seconds=20)
    answer = code_given(client, telephone.wrong_code())
    assert answer.status_code == 429 and "Retry-After" in answer
    assert code_given(client, telephone.code()).status_code == 429
    assert entered(at()).status_code == 429
    assert SignInRecord.objects.filter(event="code refused").count() == 5
    clock.forward(seconds=61)
    entered(client)
    assert code_given(client, telephone.wrong_code()).status_code == 429, "the wait goes on growing"


def test_wrong_codes_from_elsewhere_keep_nobody_out_of_his_own_browser(telephone, manager, clock):
    own = at()
    entered(own)
    code_given(own, telephone.code())
    own.post("/sign-out/")
    clock.forward(minutes=2)
    answers = []
    for number in range(8):
        thief = at(f"192.0.2.{number}")
        entered(thief)
        answers += [code_given(thief, telephone.wrong_code()).status_code for _ in range(4)]
    assert answers == [200] * 19 + [429] * 13, "all strange places together have twenty"
    late = at("192.0.2.99")
    entered(late)
    assert code_given(late, telephone.code()).status_code == 429, "the right one is not looked at either"
    assert SignInRecord.objects.filter(event="code refused").count() == 20
    entered(own)
    assert code_given(own, telephone.code()).status_code == 302
    lock = SignInTry.objects.get(place="")
    assert lock.failed_count == 20 and f"{lock}" == "manager with a code from any new place"
    assert "wherever manager has not signed in before" in main_text(own.get("/sign-ins/"))


def test_many_strange_places_together_guess_some_twenty_codes_and_then_hardly_one_an_hour(telephone, clock):
    for number in range(80):  # two hours, whenever a wait could be over from another place
        thief = at(f"192.0.2.{number}")
        entered(thief)
        code_given(thief, telephone.wrong_code())
        if number % 2:
            clock.forward(minutes=3)
    assert 20 < SignInRecord.objects.filter(event="code refused").count() <= 27


def test_slips_from_a_new_place_do_not_hinder_who_then_gets_in(telephone, clock):
    for number in range(8):
        client = at(f"192.0.2.{number}")
        entered(client)
        code_given(client, telephone.wrong_code())
        assert code_given(client, telephone.code()).status_code == 302
        clock.forward(minutes=2)
    assert SignInTry.objects.get(place="").failed_count == 8


def test_the_code_must_come_within_five_minutes_of_the_password(telephone, clock):
    client = at()
    entered(client)
    clock.forward(minutes=5, seconds=1)
    page = main_text(code_given(client, telephone.code()))
    assert "more than 5 minutes ago" in page
    assert not is_in(client)


def test_without_a_password_there_is_no_page_for_a_code(telephone):
    for answer in (at().get("/sign-in/code/"), code_given(at(), telephone.code())):
        assert "Password" in main_text(answer) and "Now the code" not in main_text(answer)


def test_a_password_that_is_changed_meanwhile_ends_it(telephone, manager):
    client = at()
    entered(client)
    manager.set_password("changed meanwhile")
    manager.save()
    code_given(client, telephone.code())
    assert not is_in(client)


def test_a_recovery_code_lets_in_once(with_codes):
    _, codes = with_codes
    assert len(set(codes)) == 10
    client = at()
    entered(client)
    assert code_given(client, codes[0].upper()).status_code == 302
    other = at()
    entered(other)
    assert code_given(other, codes[0]).status_code == 200
    assert not is_in(other)
    assert StaticToken.objects.count() == 9


def test_it_is_turned_on_with_the_password_and_a_code_and_the_codes_are_shown_once(
    manager, clock, monkeypatch
):
    client = at()
    entered(client)
    assert "not your password" in main_text(client.post("/account/second-step/", {"password": "guess"}))
    assert not TOTPDevice.objects.exists()
    where = client.post("/account/second-step/", {"password": PASSWORD})["Location"]
    page = client.get(where)
    device = TOTPDevice.objects.get()
    telephone = Telephone(device, clock, monkeypatch)
    assert not has_second_step(manager), "until a code has shown that the secret arrived"
    from base64 import b32encode

    secret = b32encode(device.bin_key).decode()
    assert secret in re.sub(r"\s", "", main_text(page))
    picture = client.get("/account/second-step/code.svg")
    assert (
        picture["Content-Type"] == "image/svg+xml; charset=utf-8" and "no-store" in picture["Cache-Control"]
    )
    assert b"xmlns" in picture.content and b"style" not in picture.content
    assert client.post("/account/second-step/", {"one_time_code": telephone.wrong_code()}).status_code == 422
    clock.forward(seconds=40)
    shown = client.post("/account/second-step/", {"one_time_code": telephone.code()})
    codes = list(StaticToken.objects.values_list("token", flat=True))
    assert len(codes) == 10 and all(code in shown.content.decode() for code in codes)
    assert "no-store" in shown["Cache-Control"]
    assert has_second_step(manager)
    for address in ("/account/", "/account/second-step/"):
        later = client.get(address, follow=True).content.decode()
        assert not any(code in later for code in [*codes, secret])
    assert client.get("/account/second-step/code.svg").status_code == 404


def test_it_is_turned_off_with_the_password(telephone, manager):
    client = at()
    entered(client)
    code_given(client, telephone.code())
    assert client.post("/account/second-step/off/", {"password": "guess"}).status_code == 422
    assert has_second_step(manager)
    assert client.post("/account/second-step/off/", {"password": PASSWORD}).status_code == 302
    assert not has_second_step(manager) and not StaticToken.objects.exists()
    assert entered(at(ELSEWHERE))["Location"] == "/"


def test_a_manager_takes_it_away_from_another_but_not_from_himself(
    telephone, manager, owner, clock, monkeypatch
):
    turned_on(owner, clock, monkeypatch)
    actions.sign_out_everywhere(user=owner, address="")  # makes him a person, too
    clock.forward(minutes=2)
    owners = at(ELSEWHERE)
    owners.force_login(owner)
    assert is_in(owners)
    client = at()
    entered(client)
    code_given(client, telephone.code())
    page = client.get("/sign-ins/")
    assert "gets in with that alone" in main_text(page)
    assert f'href="/people/{owner.person.initials}/link/"' in page.content.decode()
    answer = client.post(f"/sign-ins/second-steps/{owner.pk}/reset/", follow=True)
    assert "make a new link on the page of owner" in main_text(answer)
    assert not has_second_step(owner) and not is_in(owners)
    assert SignInRecord.objects.get(event="second step reset").by == manager
    assert client.post(f"/sign-ins/second-steps/{manager.pk}/reset/").status_code == 403
    assert has_second_step(manager)


def test_the_console_takes_it_away(telephone, manager, command):
    assert "password alone" in command("reset_second_step", "manager")
    assert entered(at())["Location"] == "/"


def test_it_is_for_managers_and_owners(installer_client, production_client):
    for client in (installer_client, production_client):
        assert client.get("/account/second-step/").status_code == 403
        assert "Second step" not in main_text(client.get("/account/"))
