"""Secrets of the second step are drawn by the system's chance; what is signed for one purpose serves no other."""

import pytest
from django.core import signing
from django_otp import util
from django_otp.plugins.otp_static import models as static
from django_otp.plugins.otp_static.models import StaticToken
from django_otp.plugins.otp_totp.models import TOTPDevice, default_key

from kits.people.invitation.queries import SALT as INVITATION
from kits.people.signing.access import BROWSER
from kits.people.signing.bridge import SALT as TYPED
from kits.people.signing.bridge import kept
from kits.people.signing.middleware import SEEN

SEED_BITS, CODE_BITS = 160, 40


@pytest.fixture
def drawn(monkeypatch):
    """How many bytes the system's chance is asked for."""
    counts: list[int] = []

    def draw(count: int) -> bytes:
        counts.append(count)
        return bytes(range(count))

    for module in (util, static):
        monkeypatch.setattr(module, "urandom", draw)
    return counts


def test_the_seed_of_a_telephone_is_drawn_whole(drawn):
    assert TOTPDevice._meta.get_field("key").default is default_key
    assert default_key() == bytes(range(SEED_BITS // 8)).hex()
    assert drawn == [SEED_BITS // 8]


def test_a_recovery_code_is_drawn_whole(drawn):
    assert StaticToken.random_token() == "aaaqeayea"[:8]
    assert drawn == [CODE_BITS // 8]


def test_what_is_signed_for_one_purpose_serves_no_other():
    assert len({INVITATION, BROWSER, TYPED, SEEN}) == 4
    held = {"to": "/fit/", "back": "", "fields": [], "can_send": True, "by": None}
    assert kept(signing.dumps(held, salt=TYPED, compress=True)) is not None
    for other in (INVITATION, BROWSER, SEEN):
        assert kept(signing.dumps(held, salt=other, compress=True)) is None
