"""What happened at signing in: on the page, in the log, and for 90 days."""

import json
import logging
from datetime import timedelta

import pytest
from django.utils import timezone

from kits.people.signing.actions import tidy_sign_ins
from kits.people.signing.models import SignInRecord, SignInTry
from tests.conftest import PASSWORD
from tests.kits.fitment.pages import main_text
from tests.kits.people.signing.people import ELSEWHERE, HOME, at, entered, tried, wrong

pytestmark = pytest.mark.django_db


@pytest.fixture
def lines():
    """What the log of signing in is given."""
    written = []

    class Collect(logging.Handler):
        def emit(self, record):
            written.append(record.msg)

    handler = Collect()
    log = logging.getLogger("kitwright.sign-in")
    log.addHandler(handler)
    yield written
    log.removeHandler(handler)


def test_the_log_names_whom_and_whence_and_never_a_password(manager, lines):
    client = at()
    tried(client, "manager", "hunter2")
    tried(client, "nobody", "hunter2")
    entered(client)
    client.post("/sign-out/")
    told = [(line["event"], line["name"], line["user"], line["address"]) for line in lines]
    assert told == [
        ("refused", "manager", manager.pk, HOME),
        ("refused", "nobody", None, HOME),
        ("signed in", "manager", manager.pk, HOME),
        ("signed out", "manager", manager.pk, HOME),
    ]
    assert "hunter2" not in json.dumps(lines) and PASSWORD not in json.dumps(lines)


def test_each_try_that_a_lock_meets_is_logged_and_its_beginning_recorded(manager, lines):
    wrong(7, at())
    assert [line["event"] for line in lines] == ["refused"] * 5 + ["locked"] * 3
    assert SignInRecord.objects.filter(event="locked").count() == 1


def test_managers_see_who_signed_in_from_where_in_pages(manager_client, installer):
    entered(at(ELSEWHERE), "installer")
    page = main_text(manager_client.get("/sign-ins/"))
    assert "installer" in page and "signed in" in page and ELSEWHERE in page
    now = timezone.now()
    SignInRecord.objects.bulk_create(
        SignInRecord(at=now, event="refused", name=f"n{number}", address=HOME) for number in range(120)
    )
    assert "Page 2 of 3" in main_text(manager_client.get("/sign-ins/?page=2"))
    assert "There is no page" in main_text(manager_client.get("/sign-ins/?page=99"))


def test_one_sees_ones_own_and_nobody_elses(installer_client, installer, manager):
    entered(at(ELSEWHERE), "installer")
    entered(at("192.0.2.77"))
    page = main_text(installer_client.get("/account/"))
    assert ELSEWHERE in page and "192.0.2.77" not in page


def test_they_are_kept_for_90_days_and_tries_as_long_as_they_count(manager):
    now = timezone.now()
    for days in (1, 89, 91):
        SignInRecord.objects.create(
            at=now - timedelta(days=days), event="refused", name=f"{days}", address=HOME
        )
    for name, hours in (("counts", 23), ("forgotten", 25)):
        then = now - timedelta(hours=hours)
        SignInTry.objects.create(name=name, place=HOME, failed_count=1, first_at=then, last_at=then)
    assert tidy_sign_ins(now) == 1
    assert set(SignInRecord.objects.values_list("name", flat=True)) == {"1", "89"}
    assert list(SignInTry.objects.values_list("name", flat=True)) == ["counts"]
