"""Which passwords are taken, and that each is taken as it was typed."""

import re
from datetime import UTC, datetime

import pytest
from django.conf import global_settings
from django.contrib.auth.hashers import identify_hasher, make_password
from django.contrib.auth.models import User
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.test import Client

from kits.config import settings as of_the_site
from tests.conftest import PASSWORD

ODD = "  Kettle Ü ß  " + "k" * 90 + "  "


def signs_in(name: str, password: str) -> bool:
    """Whether a new browser is let in."""
    answer = Client().post("/sign-in/", {"username": name, "password": password})
    return answer.status_code == 302


@pytest.mark.parametrize(
    "password", ["kettle", "1", "kettle ü", "password123", "1q2w3e4r5t", "iloveyou12", "qwertyuiop"]
)
def test_a_short_one_and_one_that_many_use_are_refused(password):
    with pytest.raises(ValidationError, match=r"\w"):
        validate_password(password)


@pytest.mark.parametrize(
    "password",
    [
        "7302946158", "thirteen grey kettles", "THIRTEEN GREY KETTLES", "-.-.-.-:;-.-", "  spaces  at  both  ",
        "чайник на берегу", "☂☃☄★☆☇☈☉☊☋☌", "k" + "ettle " * 11, "kettle " * 40,
    ],
)  # fmt: skip
def test_any_signs_make_a_password_and_long_ones_too(password):
    validate_password(password)


@pytest.mark.parametrize(
    "password", ["Kitwright2026!", "manager-manager", "MANAGER owner 1", "aircon.aircon", "brindle-moor-99"]
)
def test_words_that_anybody_would_try_here_make_none(settings, password):
    settings.BASE_URL = "https://kits.brindle-moor.example"
    with pytest.raises(ValidationError, match="words that anybody would try here"):
        validate_password(password)


def test_such_a_word_among_others_does_no_harm(settings):
    settings.BASE_URL = "https://kits.brindle-moor.example"
    for password in ("a kitwright on the moor", "thirteen managers", PASSWORD):
        validate_password(password)


def test_one_like_the_name_of_its_account_is_refused():
    with pytest.raises(ValidationError, match="too similar"):
        validate_password("rutherford-1", User(username="rutherford"))


@pytest.mark.parametrize(
    "other", [ODD.strip(), ODD.lower(), ODD[:64], ODD[:72], ODD + " ", ODD.replace("ß", "ss"), ODD[1:]]
)
def test_it_is_taken_as_it_was_typed_and_no_other_way(installer, other):
    installer.set_password(ODD)
    installer.save()
    assert signs_in("installer", ODD)
    assert not signs_in("installer", other)


def test_it_does_not_grow_old(installer):
    long_ago = datetime(2006, 1, 1, tzinfo=UTC)
    User.objects.filter(pk=installer.pk).update(date_joined=long_ago, last_login=long_ago)
    assert signs_in("installer", PASSWORD)


def test_its_field_hides_it_and_lets_a_password_manager_help(client, db):
    page = client.get("/sign-in/").content.decode()
    (field,) = re.findall(r"<input[^>]*name=\"password\"[^>]*>", page)
    assert 'type="password"' in field and 'autocomplete="current-password"' in field
    assert "readonly" not in field
    assert all(int(most) > 128 for most in re.findall(r'maxlength="(\d+)"', field))
    form = page.partition('name="password"')[0].rpartition("<form")[2]
    assert 'method="post"' in form.partition(">")[0]


def test_nothing_but_a_name_and_a_password_is_asked_and_no_hint_is_given(client, db):
    page = client.get("/sign-in/").content.decode()
    names = set(re.findall(r"<(?:input|select|textarea)[^>]* name=\"(\w+)\"", page))
    assert names == {"csrfmiddlewaretoken", "next", "username", "password"}


def test_it_is_kept_as_a_slow_hash_with_a_salt(settings):
    settings.PASSWORD_HASHERS = getattr(of_the_site, "PASSWORD_HASHERS", global_settings.PASSWORD_HASHERS)
    kept = make_password(PASSWORD)
    algorithm, rounds, salt, _ = kept.split("$")
    # OWASP's figure for this function; Django raises its own from release to release
    assert algorithm == "pbkdf2_sha256" and int(rounds) >= 600_000
    assert len(salt) >= 22
    assert make_password(PASSWORD) != kept
    weaker = make_password(PASSWORD, hasher="pbkdf2_sha1")
    assert identify_hasher(weaker).algorithm != algorithm


@pytest.mark.django_db
def test_one_that_was_kept_in_a_weaker_way_is_kept_anew_when_it_is_used(settings, installer):
    weak = "django.contrib.auth.hashers.PBKDF2SHA1PasswordHasher"
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.PBKDF2PasswordHasher", weak]
    installer.password = make_password(PASSWORD, hasher="pbkdf2_sha1")
    installer.save()
    assert signs_in("installer", PASSWORD)
    installer.refresh_from_db()
    assert installer.password.startswith("pbkdf2_sha256$")
