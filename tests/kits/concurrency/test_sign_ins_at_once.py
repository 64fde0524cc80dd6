"""Guesses that come at the same time count as if one came after the other; a code is good for one of them."""

from functools import partial

import pytest
from django.contrib.auth.hashers import MD5PasswordHasher
from django_otp.oath import TOTP
from django_otp.plugins.otp_static.models import StaticDevice, StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice

from kits.people.signing.access import Whence
from kits.people.signing.actions import Locked, check_code, check_password, sign_out_everywhere
from kits.people.signing.limits import TRIES_OF_A_NAME
from kits.people.signing.models import SignInTry
from tests.kits.concurrency.people import at_once

HERE = Whence("203.0.113.7", "203.0.113.7", False)
TRY = r'^(INSERT INTO|UPDATE) "kits_signintry"'
GUESSES = 12


@pytest.fixture
def known(one):
    """Somebody with a password, and no devices of the test before."""
    for kind in (TOTPDevice, StaticDevice):
        kind.objects.all().delete()
    one.set_password("kettle")
    one.save()
    return one


def guess(password="wrong"):
    """Try one's password."""
    return partial(check_password, name="one", password=password, at=HERE)


def test_many_guesses_at_once_are_no_more_than_one_after_the_other(known, monkeypatch):
    worked = []
    whole = MD5PasswordHasher.encode
    monkeypatch.setattr(
        MD5PasswordHasher, "encode", lambda self, word, salt: worked.append(word) or whole(self, word, salt)
    )
    told = at_once(*[guess() for _ in range(GUESSES)])
    kinds = sorted(type(answer).__name__ for answer in told)
    assert kinds == ["Locked"] * (GUESSES - TRIES_OF_A_NAME + 1) + ["NoneType"] * (TRIES_OF_A_NAME - 1)
    assert len(worked) == TRIES_OF_A_NAME
    assert SignInTry.objects.get(name="one").failed_count == TRIES_OF_A_NAME


def test_two_first_guesses_from_an_address_are_both_counted(together, known):
    assert together(guess(), guess(), after=TRY) == [None, None]
    assert set(SignInTry.objects.values_list("name", "failed_count")) == {("one", 2), ("", 2)}


def test_of_a_right_and_a_wrong_one_at_once_the_right_one_is_let_in(together, known):
    for _ in range(TRIES_OF_A_NAME - 3):
        guess()()
    told = together(guess("kettle"), guess(), after=TRY)
    assert told == [known, None]


def test_a_code_that_two_send_at_once_lets_one_in(together, known):
    device = TOTPDevice.objects.create(user=known, name="telephone", confirmed=True)
    code = f"{TOTP(device.bin_key).token():06}"
    check = partial(check_code, user=known, code=code, at=HERE)
    told = together(check, check, after=r'^UPDATE "otp_totp_totpdevice"')
    assert sorted(told) == [False, True]


def test_a_recovery_code_that_two_send_at_once_lets_one_in(together, known):
    device = StaticDevice.objects.create(user=known, name="recovery codes", confirmed=True)
    StaticToken.objects.create(device=device, token="abcdefgh")
    check = partial(check_code, user=known, code="abcdefgh", at=HERE)
    told = together(check, check, after=r'^DELETE FROM "otp_static_statictoken"')
    assert sorted(told) == [False, True]


def test_two_who_sign_out_everywhere_at_once_make_one_person(together, known):
    act = partial(sign_out_everywhere, user=known, address="203.0.113.7")
    assert together(act, act, after=r'^INSERT INTO "kits_person"') == [None, None]
    known.refresh_from_db()
    assert known.person.signed_out_at


def test_a_lock_that_was_raised_for_two_is_of_the_name(together, known):
    for _ in range(TRIES_OF_A_NAME - 1):
        guess()()
    told = together(guess(), guess(), after=TRY)
    assert [type(answer) for answer in told] == [Locked, Locked]
    assert all(answer.of_name for answer in told)
